"""What the cloud says of this car and its crew, in the few numbers that a crew can use."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from rules.car.adjusters import Adjuster, adjusters, pair_of
from rules.car.model import Car
from rules.launch.belief.ahead import latest
from rules.launch.belief.faults import FAULTS, STAND_LINES_M, launched
from rules.launch.belief.learning import coarse, learnt
from rules.launch.belief.particles import NEXT, Cars, layout, meetings_of
from rules.launch.cloud.car_cloud import SEED
from rules.launch.cloud.knobs import moves
from rules.launch.effects import range_of
from rules.launch.learnt_car import Hears, LearntCar, LeverLearnt, LineLearnt, Strength
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]

# A lever that does less than seven tenths of the usual is weak, one that does the inverse strong.
WEAK = 0.7
# A line that lies a sixth lower than most crews' is an early one.
EARLY = 0.85
_STRENGTHS: tuple[Strength, ...] = ("weak", "as usual", "strong")
_HEARS: tuple[Hears, ...] = ("earlier", "as most", "later")


def account(
    car: Car, settings: Mapping[str, float], passes: tuple[Seen, ...], seed: int = SEED
) -> LearntCar:
    """Return what was learnt of a car by its passes, the oldest first.

    settings: today's.  The same car, passes and seed give the same account.

    Raises:
        ValueError: numbers that no car can have.
    """
    taken = latest(passes)
    z = learnt(car, taken, seed).z
    where = layout(car)
    meeting = meetings_of(taken)[-1] if taken else 0
    batch = Cars(car, z).on(settings, meeting, NEXT)
    lift = launched(coarse(batch), batch).columns["front_lift_max"]
    bands = np.bincount(np.searchsorted(STAND_LINES_M, lift), minlength=4) / len(lift)
    none, small, big, dangerous = (round(float(one), 3) for one in bands)
    return LearntCar(
        passes=len(taken),
        cars=len(z),
        levers=tuple(_levers(car, where.deviates(z).levers, taken)),
        lift=range_of(lift),
        stands=(none, small, big, dangerous),
        lines=tuple(_lines(where.crew(z).faults)),
    )


def _levers(car: Car, sizes: Array, passes: tuple[Seen, ...]) -> list[LeverLearnt]:
    """Return each lever of whose effect the launch knows a size, a pair once."""
    fitted, done, found = adjusters(car), set[str](), []
    for column, one in enumerate(fitted.values()):
        spread = _spread(car, one)
        if one.id in done or not spread:
            continue
        pair = pair_of(fitted, one)
        done |= {each.id for each in pair}
        word, share = _most(np.exp(spread * sizes[:, column]), WEAK)
        settings = {
            tuple(dict(each.settings).get(each_one.id) for each_one in pair) for each in passes
        }
        found.append(LeverLearnt(one.id, _STRENGTHS[word], share, len(settings) > 1))
    return found


def _spread(car: Car, one: Adjuster) -> float:
    """Return how far a lever's effect spreads over cars, in its logarithm; 0 where none is told."""
    elsewhere = next(
        (there for there in (one.start + one.step, one.start - one.step) if one.holds(there)), None
    )
    if elsewhere is None:
        return 0.0
    name = f"{one.axle} {one.name}" if one.part == "knob" else one.id
    shifts = [each for each in moves(car, {one.id: elsewhere}).moves if each.lever == name]
    # The size of a pressure's effect is its window's, which goes either way.
    if any(each.pressure is not None for each in shifts):
        return 0.0
    return max((each.spread for each in shifts), default=0.0)


def _lines(crews: Array) -> list[LineLearnt]:
    """Return where the crew names each symptom, the clearest first; of causes by one name too."""
    found: dict[str, LineLearnt] = {}
    for place, kind in enumerate(FAULTS):
        word, share = _most(np.exp(crews[:, place]), EARLY)
        line = LineLearnt(kind.symptom, _HEARS[word], share)
        found[kind.symptom] = max(found.get(kind.symptom, line), line, key=lambda one: one.share)
    return sorted(found.values(), key=lambda one: -one.share)


def _most(factors: Array, low: float) -> tuple[int, float]:
    """Return below, within or above [low, 1 / low] as 0, 1, 2, and the share of most cars."""
    shares = np.array([np.mean(factors < low), 0.0, np.mean(factors > 1.0 / low)])
    shares[1] = 1.0 - shares.sum()
    best = int(shares.argmax())
    return best, round(float(shares[best]), 3)
