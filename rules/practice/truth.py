"""What is told when a practice day is over: what was wrong, what each turn did, the best road."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile

from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.launch.cloud.on_paper import on_paper
from rules.log.state import State
from rules.practice.all_knowing import Reached, road
from rules.practice.hidden_car import MOST_CHANGES, HiddenCar
from rules.practice.outcome import Outcome, outcomes
from rules.practice.played_pass import played

# What of the truth is worth telling, by its parameter: one number, in the words of a crew.
_TOLD = {
    "F_launch": "thrust at the hit",
    "mu": "grip of the rear tyres",
    "hs": "height of the centre of gravity",
    "kf": "front spring rate at the wheel",
    "kr": "rear spring rate at the wheel",
    "Iyy": "pitch inertia",
    "front_bump": "front bump travel",
    "front_droop": "front droop travel",
    "rear_bump": "rear bump travel",
    "rear_droop": "rear droop travel",
    "ktr": "rear tyre rate",
}
_MOST_TOLD = 5
_LEAST_TOLD = 0.02


@dataclass(frozen=True)
class TurnTold:
    """One change of the day: its title, and the launch before and after it in the same air."""

    title: str
    before: Outcome
    after: Outcome


@dataclass(frozen=True)
class Truth:
    """The truth of a practice day.

    first: the launch at the first pass's settings, in the day's middling air.
    off: what differs most from the car file, by its words: the true number over the file's.
    turns: what each change of the log did.  best: the road of an all-knowing crew.
    passes: how many passes were run; good: how many of the last of them had no fault.
    """

    first: Outcome
    off: Mapping[str, float]
    turns: tuple[TurnTold, ...]
    best: tuple[Reached, ...]
    passes: int
    good: int


def truth(file: Car, car: HiddenCar, state: State) -> Truth:
    """Return the truth of the day in this log.

    file: the car file that `car` was drawn from.
    """
    stood: list[tuple[str, Settings]] = []
    for run in state.runs:
        if run.change is not None and (not stood or dict(run.settings) != stood[-1][1]):
            stood.append((state.change(run.change).title, dict(run.settings)))
    places = [car.starts, *(settings for _, settings in stood)]
    found = outcomes([car.at(one) for one in places], car.may_have_bars)
    turns = tuple(
        TurnTold(title, before, after)
        for (title, _), before, after in zip(stood, found, found[1:], strict=False)
    )
    return Truth(
        first=found[0],
        off=_off(file, car),
        turns=turns,
        best=tuple(road(file, car.at, car.starts, MOST_CHANGES)),
        passes=len(state.runs),
        good=good_running(car, state),
    )


def good_running(car: HiddenCar, state: State) -> int:
    """Return how many of the last passes had no fault, one after the other."""
    launches = (played(car, dict(run.settings), run.number) for run in reversed(state.runs))
    return sum(1 for _ in takewhile(lambda one: not one.outcome.faults, launches))


def _off(file: Car, car: HiddenCar) -> dict[str, float]:
    """Return what differs most from the file, as true over written, by its words."""
    paper, true = on_paper(file).params, car.truth.around[0]
    ratios = {words: float(true[name]) / float(paper[name]) for name, words in _TOLD.items()}
    far: Sequence[tuple[str, float]] = sorted(ratios.items(), key=lambda one: -abs(one[1] - 1.0))
    return {words: ratio for words, ratio in far[:_MOST_TOLD] if abs(ratio - 1.0) >= _LEAST_TOLD}
