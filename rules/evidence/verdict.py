"""Did a change help? Helped, hurt, or cannot tell yet, from the times alone.

"Helped" asks for three things: to be sure that the car is quicker at all; a best guess of at least
the smallest effect that the crew declared worth having, where it declared one; and three clean
passes or more that either return to a setting or leave the day's drift too small to have done it.
Passes on both settings at another meeting count as the day's own. "Hurt" asks for the same the
other way round. How sure was set on simulated crews who look after every pass of a day, so that a
change without effect is said to help on fewer than one day in twenty.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal

from rules.evidence.belief import Belief
from rules.evidence.designs import Design, design_of, letters_of
from rules.evidence.model import Fit, fit
from rules.evidence.passes import PassTime
from rules.evidence.priors import Priors
from rules.evidence.worth import USUAL_WORTH_S, WORTH_HIGH_S, WORTH_LOW_S
from rules.faults import Fault

Word = Literal["helped", "hurt", "cannot tell"]

# How sure of the direction, with looks after every pass: after three passes and from ten on. Few
# passes rest on what was believed before them, so the first looks ask for more.
SURE_EARLY, SURE = 0.99, 0.96
EARLY, LATE = 3, 10
# Drift is ruled out where twice its uncertainty moves the comparison by less than this share of
# the smallest effect worth having.
DRIFT_SHARE = 0.25
# No difference worth having: this sure that the effect is smaller than that, either way.
NO_MATTER = 0.80


@dataclass(frozen=True)
class Verdict:
    """What the times say of a change.

    `effect` [s] is drawn towards nothing, below 0 is quicker; `quicker` and `worth_having` are the
    chances that it is below 0 and below minus `worth_s`. `design` is the day's own order of passes,
    `elsewhere` the letters of other meetings that ran both settings.
    """

    word: Word
    effect: Belief
    quicker: float
    worth_having: float
    worth_s: float
    design: Design
    drift_ruled_out: bool
    scatter_s: float
    drift: Belief
    elsewhere: tuple[str, ...] = ()

    @property
    def no_matter(self) -> bool:
        """Whether it likely makes no difference worth having, either way."""
        smaller = self.effect.below(self.worth_s) - self.effect.below(-self.worth_s)
        return self.word == "cannot tell" and smaller >= NO_MATTER

    @property
    def probably_worse(self) -> bool:
        """Whether slower is likelier than quicker by two to one."""
        return self.quicker < 1.0 / 3.0


def both_ran(verdict: Verdict) -> bool:
    """Tell whether the old and the new setting each have a clean pass, at one meeting at least."""
    return bool(verdict.elsewhere) or {"A", "B"} <= set(verdict.design.letters)


def checked_worth(worth_s: float) -> float:
    """Return the smallest effect worth having [s], or refuse it.

    Raises:
        ValueError: outside what a beam can show and a crew can mean.
    """
    if not isfinite(worth_s) or not WORTH_LOW_S <= worth_s <= WORTH_HIGH_S:
        wanted = f"{WORTH_LOW_S:g} to {WORTH_HIGH_S:g} s"
        raise ValueError(str(Fault("smallest effect worth having", f"{worth_s:g}", wanted)))
    return worth_s


def sure_after(passes: int) -> float:
    """Return how sure of the direction a word asks for after so many passes on the two settings."""
    along = (min(max(passes, EARLY), LATE) - EARLY) / (LATE - EARLY)
    return SURE_EARLY + (SURE - SURE_EARLY) * along


def judge(
    passes: Iterable[PassTime], old: str, new: str, priors: Priors, worth_s: float | None
) -> Verdict:
    """Judge going from the old setting to the new on all of the day's passes.

    Raises:
        ValueError: no clean pass, or a smallest effect out of range.
    """
    return judge_fit(fit(passes, priors), old, new, worth_s)


def judge_fit(day: Fit, old: str, new: str, worth_s: float | None) -> Verdict:
    """Judge a change on a day that is already estimated; `worth_s` None: none was declared.

    Raises:
        ValueError: a smallest effect out of range.
    """
    least = 0.0 if worth_s is None else checked_worth(worth_s)
    effect = day.effect(old, new)
    letters, elsewhere = letters_of(day.passes, old, new), letters_elsewhere(day, old, new)
    drift = day.drift()
    ruled_out = _drift_moves(day, old, new, drift) < DRIFT_SHARE * (least or USUAL_WORTH_S)
    quicker = effect.below(0.0)
    word: Word = "cannot tell"
    if enough((*elsewhere, letters), ruled_out):
        sure = sure_after(len(letters) + sum(map(len, elsewhere)))
        if quicker >= sure and effect.mean <= -least:
            word = "helped"
        elif quicker <= 1.0 - sure and effect.mean >= least:
            word = "hurt"
    worth = least or USUAL_WORTH_S
    return Verdict(
        word=word,
        effect=effect,
        quicker=quicker,
        worth_having=effect.below(-worth),
        worth_s=worth,
        design=design_of(letters),
        drift_ruled_out=ruled_out,
        scatter_s=day.scatter,
        drift=drift,
        elsewhere=elsewhere,
    )


def letters_elsewhere(day: Fit, old: str, new: str) -> tuple[str, ...]:
    """Return the letters of each other meeting that ran both settings."""
    meetings = dict.fromkeys(one.meeting for one in day.elsewhere)
    found = (
        letters_of([one for one in day.elsewhere if one.meeting == name], old, new)
        for name in meetings
    )
    return tuple(one for one in found if {"A", "B"} <= set(one))


def enough(meetings: Sequence[str], drift_ruled_out: bool) -> bool:
    """Tell whether the orders of the passes, a meeting each, let the times decide at all.

    Changed once at one meeting and put back once at another is a way back too: no drift that both
    days share can do it.
    """
    both = [one for one in meetings if {"A", "B"} <= set(one)]
    if sum(map(len, both)) < 3:
        return False
    returned = any(design_of(one).returned for one in both) or len({one[0] for one in both}) > 1
    return returned or drift_ruled_out


def _drift_moves(day: Fit, old: str, new: str, drift: Belief) -> float:
    """Return how far a likely drift moves the plain comparison of the two settings [s]."""
    orders = {name: [one.order for one in day.passes if one.setting == name] for name in (old, new)}
    if not orders[old] or not orders[new]:
        return float("inf")
    means = {name: sum(found) / len(found) for name, found in orders.items()}
    return abs(means[new] - means[old]) * (abs(drift.mean) + 2.0 * drift.sd)
