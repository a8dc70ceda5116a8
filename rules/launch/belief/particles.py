"""The cars of a cloud as standard normal numbers: one row a car, one column each thing unknown.

Beside the car's own numbers: how large each lever's effect is, where its crew draws its lines,
what its clock reads too much, and what thrust and grip did on each meeting and each pass.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.car.adjusters import adjusters
from rules.car.model import Car
from rules.launch.belief.faults import FAULTS
from rules.launch.belief.lane_air_track import MOST_MEETINGS, Times
from rules.launch.belief.likelihood import Crew
from rules.launch.cloud.car_cloud import Deviates, lever_names, pressure_window, standing_cars
from rules.launch.cloud.ensemble import DAMPER_NAMES, FURTHEST_SD, NAMES
from rules.launch.cloud.on_paper import Known, Params
from rules.launch.cloud.tyre_pressure import lost_today, rear_pressure
from rules.launch.passes_kept import MOST_PASSES
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]

# One standard deviation of a share: (thrust, grip). Common practice, no source.
A_PASS = (0.008, 0.02)
A_MEETING = (0.02, 0.05)
# How much wider those of a pass lie that the crew says was started or run otherwise; a judgement.
APART = 4.0
# A 60-foot clock starts after the roll-out, so it reads less than the launch takes; a judgement.
ROLL_OUT_S = (-0.15, 0.12)
STAND_CREWS = 0.12
# One knob in fifteen hardly acts, see `lazy`.
LAZY_BELOW = -1.5
LAZY_BY = 4.0
NEXT = -1
# How much further a lever's effect may lie from what the file and a typical knob say; a judgement.
LEVERS = 1.6
# How much further a curve may lie from its sheet, or from a typical damper, than elsewhere: bleeds
# differ most from damper to damper. A judgement.
_PARTS = {"kb": 4.0, "F0": 3.0, "chs": 2.0}
_WIDER = np.array(
    [_PARTS[name.rpartition(".")[2]] if name in DAMPER_NAMES else 1.0 for name in NAMES]
)


@dataclass(frozen=True)
class Layout:
    """Where the columns of a car's cloud lie: cuts of a row of standard normal numbers."""

    levers: int

    @property
    def width(self) -> int:
        """Columns in a row."""
        return self.days + 2 * (MOST_MEETINGS + MOST_PASSES + 1)

    @property
    def lines(self) -> int:
        return len(NAMES) + self.levers

    @property
    def days(self) -> int:
        return self.lines + len(FAULTS) + 4

    def deviates(self, z: Array) -> Deviates:
        """Return the cars' numbers and how large each lever's effect is on them."""
        return Deviates(z[:, : len(NAMES)] * _WIDER, LEVERS * lazy(z[:, len(NAMES) : self.lines]))

    def crew(self, z: Array) -> Crew:
        """Return where the crew of each car draws its lines."""
        lines = z[:, self.lines : self.lines + len(FAULTS)]
        rest = z[:, self.lines + len(FAULTS) : self.days]
        spread = np.array([kind.crews for kind in FAULTS])
        return Crew(
            lines * spread, rest[:, :3] * STAND_CREWS, ROLL_OUT_S[0] + ROLL_OUT_S[1] * rest[:, 3]
        )

    def of_day(self, meeting: int, number: int) -> tuple[int, int]:
        """Return where the two columns of a meeting begin, and those of a pass."""
        place = MOST_PASSES if number == NEXT else number
        return (
            self.days + 2 * min(meeting, MOST_MEETINGS - 1),
            self.days + 2 * (MOST_MEETINGS + place),
        )

    def day(self, z: Array, meeting: int, number: int, apart: bool = False) -> tuple[Array, Array]:
        """Return what thrust and grip are times on a pass, (n,) each; `NEXT` for the coming one.

        apart: the pass was started or run otherwise than others.
        """
        wider = APART if apart else 1.0
        first, own = self.of_day(meeting, number)
        both = [
            np.exp(A_MEETING[what] * z[:, first + what] + wider * A_PASS[what] * z[:, own + what])
            for what in (0, 1)
        ]
        return both[0], both[1]


def untouched(car: Car, passes: Sequence[Seen]) -> NDArray[np.bool_]:
    """Return the columns of which these passes can tell nothing, (columns,).

    How large the effect of a lever is that has stood where the file starts it, and the meetings
    and passes to come.
    """
    where, fitted, names = layout(car), adjusters(car), lever_names(car)
    free = np.zeros(where.width, dtype=bool)
    free[len(NAMES) : where.lines] = True
    free[where.days :] = True
    settings = [dict(each.settings) for each in passes]
    for name, one in zip(names, fitted.values(), strict=True):
        if any(each.get(one.id, one.start) != one.start for each in settings):
            free[len(NAMES) + names.index(name)] = False
    for number, meeting in enumerate(meetings_of(passes)):
        for column in where.of_day(meeting, number):
            free[column : column + 2] = False
    return free


def layout(car: Car) -> Layout:
    """Return where the columns of a car's cloud lie."""
    return Layout(len(adjusters(car)))


def lazy(levers: Array) -> Array:
    """Return the sizes of levers' effects with the smallest ones far smaller: knobs that stick."""
    return np.where(levers < LAZY_BELOW, levers - LAZY_BY, levers)


def drawn(car: Car, count: int, rng: np.random.Generator) -> Array:
    """Return `count` cars before anything was seen, (count, columns); the first is on paper."""
    z = any_cars(car, count, rng)
    z[0] = 0.0
    return z


def any_cars(car: Car, count: int, rng: np.random.Generator) -> Array:
    """Return `count` cars of which nothing was seen, (count, columns)."""
    return within(rng.standard_normal((count, layout(car).width)))


def within(z: Array) -> Array:
    """Keep numbers from so far out that they say more about the curve than about the car."""
    return np.clip(z, -FURTHEST_SD, FURTHEST_SD)


def nearby(z: Array, share: float, some: float, rng: np.random.Generator) -> Array:
    """Return each car with some of its numbers moved, so that standard normal rows stay so.

    share: how far a number moves.  some: share of the numbers that move; moving few at a time is
    what keeps a move likely where there are many.
    Formula: sqrt(1 - s^2) z + s z' (preconditioned Crank-Nicolson; Cotter and others, 2013, from
    memory), so that a move is accepted by the ratio of the likelihoods alone.
    """
    there = within(np.sqrt(1.0 - share**2) * z + share * rng.standard_normal(z.shape))
    return np.where(rng.random(z.shape) < some, there, z)


class Cars:
    """The cars of some rows, drawn once and taken to any settings and pass."""

    def __init__(self, car: Car, z: Array) -> None:
        self._z, self._layout = z, layout(car)
        self._standing = standing_cars(car, self._layout.deviates(z), slip=True)
        self._holds = self._at_todays_pressure(car, z)

    def _at_todays_pressure(self, car: Car, z: Array) -> Array:
        """Return the share of its grip that each car has where its pressure starts, (n,).

        What a crew measured it measured there.
        """
        known = self._standing.paper.known["mu"]
        if rear_pressure(car) is None or known is Known.MEASURED:
            return np.ones(len(z))
        return lost_today(*pressure_window(car, z))

    def on(
        self,
        settings: Mapping[str, float],
        meeting: int,
        number: int,
        noted: Times | None = None,
        *,
        apart: bool = False,
    ) -> list[Params]:
        """Return the cars at these settings with the thrust and grip of one pass.

        noted: what lane, air and track do to them, see `lane_air_track.times`.
        apart: see `Layout.day`.
        """
        thrust, grip = self._layout.day(self._z, meeting, number, apart)
        power = thrust
        if noted is not None:
            thrust, power, grip = thrust * noted.thrust, power * noted.power, grip * noted.grip
        grip = grip * self._holds
        cars = list(self._standing.at(settings).cars)
        for one, pushes, works, holds in zip(
            cars, thrust.tolist(), power.tolist(), grip.tolist(), strict=True
        ):
            one["F_launch"] *= pushes
            one["P"] *= works
            one["mu"] *= holds
        return cars


def meetings_of(passes: Sequence[Seen]) -> list[int]:
    """Return the number of the meeting of each pass, in the order in which they come."""
    order = list(dict.fromkeys(one.meeting for one in passes))
    return [order.index(one.meeting) for one in passes]
