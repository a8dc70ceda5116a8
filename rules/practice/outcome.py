"""What a launch of the virtual car truly was, and what a crew would call a fault of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, isfinite

from rules.launch.belief.faults import (
    FAULTS,
    SLOW_NOSE,
    STAND_LINES_M,
    Launched,
    indices,
    launched,
    of_symptom,
)
from rules.launch.belief.how_bad import EDGES
from rules.launch.cloud.on_paper import Params
from rules.launch.mechanics.recorder import LaunchStatus
from rules.launch.mechanics.run import Launches, launch_many

STEP_S = 0.002
_NEVER_S = 3.0
# A tyre that spins while the rear carries less than at rest has been unloaded; a judgement.
_SPINS, _UNLOADS = "spins-at-hit", "unloads-after-hit"


@dataclass(frozen=True)
class Outcome:
    """One launch.

    faults: how many times over the line at which crews commonly name it each fault is, by its
        symptom, the worst first.
    columns: the numbers of `rules.launch.mechanics.scalars`, without gaps.  car: its parameters.
    over: whether the car went over backwards.
    times: how many times over its line each cause is, in the order of `FAULTS`.
    """

    faults: Mapping[str, float]
    columns: Mapping[str, float]
    car: Params
    over: bool
    times: Sequence[float]

    @property
    def badness(self) -> float:
        """How bad it is in all; 0 where nothing is wrong."""
        return sum(1.0 + min(times, 5.0) for times in self.faults.values())

    @property
    def settles_slowly(self) -> bool:
        """Whether the front dampers hold the nose up."""
        return self.times[SLOW_NOSE] > 1.0

    def how_bad(self, symptom: str) -> int:
        """Return the worst band that a cause of it is in: 0 a little, 1 plainly, 2 badly."""
        causes = zip(of_symptom(symptom), EDGES[symptom], strict=True)
        return max(sum(self.times[place] >= edge for edge in edges) for place, edges in causes)

    @property
    def sixty_s(self) -> float:
        """The time at 60 ft [s]; of a car that never got there, a slow one."""
        time = self.columns["t_60ft"]
        return time if isfinite(time) else _NEVER_S

    @property
    def stand(self) -> int:
        """The band of the stand: 0 none, 1 small, 2 big, 3 dangerous."""
        return sum(self.columns["front_lift_max"] >= line for line in STAND_LINES_M)

    @property
    def bottomed(self) -> bool:
        """Whether the front used all its travel."""
        return bool(self.columns["front_comp_max_after_td"] >= self.car["front_bump"])


def outcomes(cars: Sequence[Params], may_have_bars: bool) -> list[Outcome]:
    """Launch cars and say what became of each."""
    return read(launch_many(cars, step_s=STEP_S), cars, may_have_bars)


def read(run: Launches, cars: Sequence[Params], may_have_bars: bool) -> list[Outcome]:
    """Return what became of each car of a batch."""
    seen = launched(run, cars, may_have_bars)
    times = [[exp(one) for one in logs] for logs in indices(seen).tolist()]
    return [
        Outcome(
            _faults(seen, row, times[row]),
            {name: float(column[row]) for name, column in seen.columns.items()},
            car,
            run.status[row] is not LaunchStatus.OK,
            times[row],
        )
        for row, car in enumerate(cars)
    ]


def _faults(seen: Launched, row: int, times: Sequence[float]) -> dict[str, float]:
    unloaded = seen.columns["rear_load_min_0p1_1s"][row] < _at_rest(seen, row)
    found: dict[str, float] = {}
    for kind, value in zip(FAULTS, times, strict=True):
        if value <= 1.0 or kind.symptom == (_SPINS if unloaded else _UNLOADS):
            continue
        found[kind.symptom] = max(found.get(kind.symptom, 0.0), value)
    return dict(sorted(found.items(), key=lambda one: -one[1]))


def _at_rest(seen: Launched, row: int) -> float:
    """Return what the rear tyres carry at rest [N]: (ms a / L + mr) g."""
    ms, a, base, mr, g = (float(seen.of(name)[row]) for name in ("ms", "a", "L", "mr", "g"))
    return (ms * a / base + mr) * g
