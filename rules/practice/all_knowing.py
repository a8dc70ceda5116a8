"""What a crew that knew the car's true numbers would have turned, one turn at a time.

It looks at the launch alone. What a rulebook, a maker or the safety gates forbid, it does not ask:
so it is shown when the day is over, and never as advice.
"""

from collections.abc import Callable
from dataclasses import dataclass

from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.launch.cloud.on_paper import Params
from rules.practice.outcome import Outcome, outcomes
from rules.practice.turns import SingleTurn, single_turns

# What a crew gives away at 60 ft to be rid of one fault [s]; a judgement.
A_FAULT_S = 0.02

At = Callable[[Settings], Params]


@dataclass(frozen=True)
class Reached:
    """A place on the road: the turn that led there, None at its start, and the launch there."""

    turn: SingleTurn | None
    outcome: Outcome


def road(car: Car, at: At, start: Settings, most: int) -> list[Reached]:
    """Return the road of the best single turns: until nothing is wrong, or no turn helps.

    Never over a greater danger: no higher band of stand, no stop newly met.
    """
    way = [Reached(None, outcomes([at(start)], car.may_have_bars)[0])]
    settings = start
    while way[-1].outcome.faults and len(way) <= most:
        here = way[-1].outcome
        turns = list(single_turns(car, settings))
        launches = outcomes([at(one.settings) for one in turns], car.may_have_bars)
        found = zip(turns, launches, strict=True)
        safe = [(turn, there) for turn, there in found if not more_dangerous(here, there)]
        best = min(safe, key=lambda one: _cost(one[1]), default=None)
        if best is None or _cost(best[1]) >= _cost(here):
            break
        turn, there = best
        way.append(Reached(turn, there))
        settings = turn.settings
    return way


def _cost(there: Outcome) -> float:
    return there.badness + there.sixty_s / A_FAULT_S


def more_dangerous(before: Outcome, after: Outcome) -> bool:
    """Tell whether a danger came or grew: a band of stand past a small one, or the stop."""
    return (
        after.over
        or (after.stand > max(before.stand, 1))
        or (after.bottomed and not before.bottomed)
    )
