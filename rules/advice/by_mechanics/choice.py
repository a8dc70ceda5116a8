"""Which way is best by what the cloud of cars expects of it. The book is the prior.

Harm is a constraint first and a cost second; then what the way is worth: the fault gone, at once or
by one more change, no fault at all, or less of it, what stays to do, the time, the minutes. A
judgement, tuned on simulated days.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

from rules.advice.by_mechanics.ways import Way
from rules.car.steps import trade_step
from rules.launch.outlook import Prospect

MOST_HARM = 0.02
SURE_SMALL = 0.98
BOOK_LOG_ODDS = 1.5
# How chances came true on simulated days, in log-odds: what is added, and times what the cloud
# says (Platt, 1999; from memory). The cloud is wider than cars are, and too sure at both ends.
CAME_TRUE = (1.15, 0.52)
LEAST_GAIN = 0.02
LEAST_SEEN = 0.04
_WIDEST = 0.01
_LEFT = 0.2
_HARM = 3.0
_BETTER = 0.3
# A day is won by passes without any fault: one is worth half as much again as the named one gone.
_GOOD = 1.5
# What the next pass but one may still bring, by what this one shows, counts for less.
THEN = 0.3
_MINUTE = 0.004
# Of two that do alike the smaller is chosen: a step further off is less well known.
_STEP = 0.01
# What is given away at 60 feet: a hundredth of a second is worth a chance of 4 in 100 that the
# fault is gone, five of them 28 in 100. A car is cured to be quick.
_SLOWER, _MUCH_SLOWER = 4.0, 30.0
# After a big wheelie the car is made safe first: time weighs this much of it, and less launch is
# as good as any other lever, as the trade has it.
TIME_ON_A_BIG_STAND = 0.4
# The launch is what the car is there for: where no rule of the book asks for less of it, it comes
# after what takes nothing from it.
LAUNCH_LOG_ODDS = -0.5
# Springs, limiters, links and heights are rungs of the trade's ladder: knobs come before them.
LADDER_LOG_ODDS = -0.3


@dataclass(frozen=True)
class Weighted:
    """A way with what it comes to.

    book: the book asks for its lever and direction.  named: another of its rules would, here.
    stood_high: the wheelie was big, long without bars, or hit them.
    """

    way: Way
    prospect: Prospect
    book: bool
    named: bool = False
    stood_high: bool = False

    @property
    def worth(self) -> float:
        """What the way is worth, and the trade's own order with it; more is better."""
        return worth_of(self.prospect, self._leaning, self._time) - self._costs

    @property
    def plainly(self) -> float:
        """What the way is worth by the cars alone."""
        return worth_of(self.prospect, time=self._time) - self._costs

    @property
    def _time(self) -> float:
        return TIME_ON_A_BIG_STAND if self.stood_high else 1.0

    @property
    def _costs(self) -> float:
        steps = self.way.steps / trade_step(self.way.levers[0])
        return _MINUTE * self.way.minutes + _STEP * steps

    @property
    def _leaning(self) -> float:
        """The log-odds of the trade's own order, whatever the cars say."""
        part = self.way.levers[0].part
        if self.book:
            return BOOK_LOG_ODDS
        if self.named or part in ("knob", "tyre pressure"):
            return 0.0
        if part == "launch rpm":
            return 0.0 if self.way.upward or self.stood_high else LAUNCH_LOG_ODDS
        return LADDER_LOG_ODDS


def worth_of(prospect: Prospect, leaning: float = 0.0, time: float = 1.0) -> float:
    """Return what a pass that comes to this is worth, whatever is done for it.

    leaning: log-odds that speak for it beside the cars.  time: how much time counts.
    """
    slower = prospect.slower
    return (
        _leaning(prospect.gone, leaning)
        + THEN * (prospect.then - prospect.gone)
        + _GOOD * prospect.good
        + _BETTER * prospect.better
        - _LEFT * prospect.left
        - _HARM * prospect.harm
        - time * (_SLOWER * slower + _MUCH_SLOWER * max(0.0, slower) ** 2)
    )


def stated(prospect: Prospect) -> float:
    """Return the chance to say that what is treated is gone, as such chances came true."""
    added, times = CAME_TRUE
    return _chance(added + times * _log_odds(prospect.gone))


def allowed(one: Weighted, stand: object) -> bool:
    """Tell whether a way that lets the front rise is no larger than what was seen allows.

    None where nobody saw the stand; half the trade's step where it was small; more only where no
    stand was seen and 98 in 100 cars stay under a small one.
    """
    if not one.way.rises:
        return True
    half = max(1, trade_step(one.way.levers[0]) // 2)
    if one.way.steps <= half:
        return one.book or stand in ("none", "small")
    return stand == "none" and one.prospect.small >= SURE_SMALL


def ranked(weighted: Sequence[Weighted], unchanged: Prospect, of_so_few: int = 0) -> list[Weighted]:
    """Return the ways that are safe enough, the best first.

    At most 2 in 100 cars with a clearly worse danger, or as few as there is; where a pass with
    nothing turned already brings more, as where grip comes back, no more than it does.
    of_so_few: how many cars a first look had, where one more or less of them says nothing yet and
    a second look follows.
    """
    if not weighted:
        return []
    least = min(one.prospect.harm for one in weighted)
    limit = max(MOST_HARM, max(least, unchanged.harm) + _WIDEST)
    if of_so_few:
        limit += 1.0 / of_so_few
    safe = [one for one in weighted if one.prospect.harm <= limit]
    return sorted(safe, key=lambda one: -one.worth)


def is_fair(one: Weighted, unchanged: Prospect, waits: float = 0.0) -> bool:
    """Tell whether a way is worth more than running as it stands, which costs nothing.

    waits: log-odds that speak for running as it stands, whatever the cars say.
    """
    return max(one.worth, one.plainly) - worth_of(unchanged, waits) >= LEAST_GAIN


def stirs(one: Weighted, unchanged: Prospect) -> bool:
    """Tell whether the launch sees a way do anything, so that it can choose between turns."""
    gone = one.prospect.gone - unchanged.gone
    return gone >= LEAST_SEEN or one.prospect.better - unchanged.better >= LEAST_SEEN


def _leaning(chance: float, by: float) -> float:
    """Return a chance moved by log-odds."""
    return _chance(_log_odds(chance) + by)


def _log_odds(chance: float) -> float:
    """Return a chance in log-odds, none of them for certain."""
    chance = min(max(chance, 0.005), 0.995)
    return log(chance / (1.0 - chance))


def _chance(log_odds: float) -> float:
    return 1.0 / (1.0 + exp(-log_odds))
