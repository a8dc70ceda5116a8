"""What a crew calls a fault, as an index of a launch: the further over its line, the plainer.

The lines are where crews commonly draw them, from memory, with how far crews differ; common
practice, no source. Each car of a cloud has its own lines, so that a crew's words teach them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rules.car.model import Car
from rules.launch.cloud.on_paper import Params
from rules.launch.mechanics.run import Launches
from rules.launch.mechanics.scalars import SIXTY_FEET_M
from rules.launch.mechanics.valve import force_of
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]

STAND_LINES_M = (0.02, 0.3, 0.6)
LOST_LIFT_M = 1.2
# A hard knock on the bars, and the stand at which bars that nobody measured commonly meet the road.
HARD_KNOCK_N = 1500.0
UNMEASURED_BARS_M = 0.4
A_BLINK_S = 0.08
# By thrust and spring alone a nose must be high to be called so.
NOSE_HIGH_M = 0.12
# Of 150 mm that a nose is up 0.9 s out, exp(-1.6 s / this), 20 mm, are left 2.5 s out; most settle
# twice as fast. How slowly: the bleed near this speed, over the spring.
SETTLES_S, SETTLES_AT_M_S = 0.8, 0.02
# A nose that went up by less than a hand's breadth is not high, however slowly it settles.
UP_M = 0.1
_FAR_M = 60.0
_LEAST = 1e-4
# How sharply an eye tells one side of its line from the other, in the logarithm of the index.
EYE = 0.12


@dataclass(frozen=True)
class Launched:
    """A batch of launches as a crew could see them: no number is missing.

    columns: by name, (n,); a car that went over stands high, lands hard and carries far.
    lost: the cars that went over or left the model, (n,).
    has_bars: the cars whose wheelie bars are known, (n,).
    may_have_bars: whether bars may be fitted that nobody measured.
    of: a parameter of the cars by name, dampers' as ``damper.front.comp.kb``, (n,).
    """

    columns: dict[str, Array]
    lost: NDArray[np.bool_]
    has_bars: NDArray[np.bool_]
    of: Callable[[str], Array]
    may_have_bars: bool = True

    def pick(self, rows: slice | NDArray[np.intp]) -> "Launched":
        """Return some of the launches only."""
        columns = {name: column[rows] for name, column in self.columns.items()}
        return replace(
            self,
            columns=columns,
            lost=self.lost[rows],
            has_bars=self.has_bars[rows],
            of=lambda name: self.of(name)[rows],
        )


def bars_possible(car: Car, passes: Sequence[Seen]) -> bool:
    """Tell whether wheelie bars may be fitted: by the car file, or as they were seen to touch."""
    return car.may_have_bars or any(
        "wheelie-bar-hits" in one.symptoms or dict(one.facts).get("bars") in ("touched", "hit")
        for one in passes
    )


def launched(run: Launches, cars: Sequence[Params], may_have_bars: bool = True) -> Launched:
    """Return a batch with every gap filled by what the crew would have seen."""

    def of(name: str) -> Array:
        found: list[Any] = list(cars)
        for part in name.split("."):
            found = [one[part] for one in found]
        return np.array(found, dtype=np.float64)

    columns = run.columns
    lost = np.isnan(columns["front_lift_max"])
    over = {
        "front_lift_max": np.full(len(cars), LOST_LIFT_M),
        "touchdown_x": np.full(len(cars), _FAR_M),
        "front_comp_max_after_td": 1.05 * of("front_bump"),
        "front_tyre_load_max_after_td": 8.0 * front_weight(of),
        "body_front_rise_0p2s": np.full(len(cars), LOST_LIFT_M),
        "bar_force_max": np.full(len(cars), 10.0 * HARD_KNOCK_N),
    }
    filled = {
        name: np.where(lost, over.get(name, np.zeros(len(cars))), np.nan_to_num(column))
        for name, column in columns.items()
    }
    filled["t_60ft"] = columns["t_60ft"]
    has_bars = np.array(["bar_height" in car for car in cars])
    return Launched(filled, lost, has_bars, of, may_have_bars)


def front_weight(of: Callable[[str], Array]) -> Array:
    """Return the weight on the front tyres at rest [N], (n,): (ms (L - a) / L + mf) g."""
    return (of("ms") * (1.0 - of("a") / of("L")) + of("mf")) * of("g")


@dataclass(frozen=True)
class FaultKind:
    """One thing a crew complains of.

    symptom: what the book calls it.
    index: from the launches, (n,); more is worse.
    line: the index above which crews commonly name it; crews: how far they differ, one standard
    deviation of the line's logarithm.
    """

    symptom: str
    index: Callable[[Launched], Array]
    line: float
    crews: float


def _bottoms(run: Launched) -> Array:
    return run.columns["front_comp_max_after_td"] / run.of("front_bump")


def _harsh(run: Launched) -> Array:
    flew = run.columns["front_lift_max"] > 0.0
    load = run.columns["front_tyre_load_max_after_td"] / front_weight(run.of)
    return np.where(flew, load, 0.0)


def _carries(run: Launched) -> Array:
    lift, carry = run.columns["front_lift_max"], run.columns["touchdown_x"]
    return np.maximum(lift / STAND_LINES_M[1], carry / SIXTY_FEET_M)


def _on_the_bars(run: Launched) -> Array:
    """Return the bars' load over a hard knock; by the stand where nobody measured the bars.

    None where none are fitted.
    """
    height = run.columns["front_lift_max"] / UNMEASURED_BARS_M
    unmeasured = height if run.may_have_bars else np.zeros_like(height)
    return np.where(run.has_bars, run.columns["bar_force_max"] / HARD_KNOCK_N, unmeasured)


def settling_s(run: Launched) -> Array:
    """Return how slowly the front dampers let the nose settle [s], (n,).

    The time constant of a first-order lag, c / k: what they hold at a slow pace over that pace, by
    the front springs' rate.
    """
    kb, f0, chs = (run.of(f"damper.front.comp.{part}") for part in ("kb", "F0", "chs"))
    force = force_of(kb, f0, chs, SETTLES_AT_M_S)
    return np.asarray(force / SETTLES_AT_M_S / run.of("kf"))


def _settles_slowly(run: Launched) -> Array:
    """Return how slowly the nose settles, the less so where it hardly went up."""
    up = run.columns["pitch_max"] * run.of("a")
    return settling_s(run) / SETTLES_S * np.minimum(1.0, np.maximum(up, 0.0) / UP_M)


def _stays_high(run: Launched) -> Array:
    """Return how high the nose is from 2 to 3 s out."""
    columns = run.columns
    return (columns["body_front_rise_2p0s"] + columns["body_front_rise_3p0s"]) / 2.0 / NOSE_HIGH_M


def _spins(run: Launched) -> Array:
    """Return how long the tyre spins from 0.1 s on, over a blink; an unloaded one spins too."""
    return run.columns["spin_s_after_0p1s"] / A_BLINK_S


FAULTS: tuple[FaultKind, ...] = (
    FaultKind("front-drops-hard", _bottoms, 0.97, 0.03),
    FaultKind("front-drops-hard", _harsh, 3.5, 0.3),
    FaultKind("front-bounces", lambda run: run.columns["relift_max"] / 0.03, 1.0, 0.5),
    FaultKind("front-carries", _carries, 1.0, 0.15),
    FaultKind("wheelie-bar-hits", _on_the_bars, 1.0, 0.4),
    FaultKind(
        "front-rises-violently",
        lambda run: run.columns["front_droop_force_max"] / front_weight(run.of),
        1.0,
        0.5,
    ),
    FaultKind(
        "front-slow-to-rise",
        lambda run: 0.04 / np.maximum(run.columns["body_front_rise_0p2s"], 1e-3),
        1.0,
        0.4,
    ),
    FaultKind("nose-stays-high", _settles_slowly, 1.0, 0.25),
    FaultKind("nose-stays-high", _stays_high, 1.0, 0.35),
    FaultKind(
        "rear-tops-out",
        lambda run: run.columns["rear_ext_max_0p3s"] / np.maximum(run.of("rear_droop"), 1e-3),
        0.9,
        0.12,
    ),
    FaultKind(
        "squats-and-drags",
        lambda run: run.columns["rear_comp_max"] / np.maximum(run.of("rear_bump"), 1e-3),
        0.7,
        0.3,
    ),
    FaultKind("spins-at-hit", _spins, 1.0, 0.4),
    FaultKind("unloads-after-hit", _spins, 1.5, 0.4),
)


def indices(run: Launched) -> Array:
    """Return the logarithm of every fault's index over its common line, (n, faults)."""
    return np.stack(
        [np.log(np.maximum(kind.index(run), _LEAST) / kind.line) for kind in FAULTS], axis=1
    )


def of_symptom(symptom: str) -> list[int]:
    """Return which faults a symptom names, by their places in `FAULTS`."""
    return [place for place, kind in enumerate(FAULTS) if kind.symptom == symptom]


SLOW_NOSE, HIGH_NOSE = of_symptom("nose-stays-high")
"""Where in `FAULTS` the two causes stand of a nose that stays high."""


def below(values: Array) -> Array:
    """Return the standard normal distribution function.

    Formula: logistic(1.702 x), within 0.0095 of it (Camilli, 1994; from memory).
    """
    return np.asarray(1.0 / (1.0 + np.exp(-1.702 * np.clip(values, -30.0, 30.0))))
