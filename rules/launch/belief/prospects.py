"""What a way comes to, from the same cars launched as they stand and after it.

Harm is counted car by car against what was seen, so that what differs is the settings.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rules.book.facts import Fact
from rules.launch.belief.faults import (
    EYE,
    FAULTS,
    HARD_KNOCK_N,
    STAND_LINES_M,
    Launched,
    below,
    indices,
    of_symptom,
)
from rules.launch.belief.likelihood import Crew, clear_of
from rules.launch.belief.one_more import one_more
from rules.launch.outlook import Prospect
from rules.launch.proposed_change import Effect
from rules.launch.severity import how_bad_was_said

Array = NDArray[np.float64]

_CLEARLY = 0.1
JUST_OVER = 0.12
MAYBE_JUST_OVER = 0.65
NEVER_THERE_S = 1.0
_NOT_THERE = 0.02


@dataclass(frozen=True)
class Pass:
    """The pass that is answered, on the cars of the cloud.

    named_on: as its faults were named.  seen: as its dangers were seen.  today: the coming pass
    with nothing turned.  treated: the places of the faults that were named, in `FAULTS`.
    said: of which of them it was said how bad it is, (treated,).
    """

    named_on: Launched
    seen: Launched
    today: Launched
    crew: Crew
    treated: list[int]
    said: NDArray[np.bool_]


def treated_faults(
    symptoms: Sequence[str], facts: Sequence[tuple[str, Fact]]
) -> tuple[list[int], NDArray[np.bool_]]:
    """Return which faults were named, and of which of them it was said how bad it is."""
    places = [place for one in symptoms for place in of_symptom(one)]
    told = how_bad_was_said(facts)
    return places, np.array([FAULTS[place].symptom in told for place in places], dtype=bool)


def prospects(
    answered: Pass, after: Sequence[Launched], effects: Sequence[tuple[Effect, ...]]
) -> list[Prospect]:
    """Return what each way comes to, the first of them turning nothing."""
    outcomes = [_outcome(answered, one) for one in after]
    later = one_more(
        np.stack([one.gone for one in outcomes]),
        np.stack([one.moved for one in outcomes]),
        outcomes[0].share,
    )
    found = [
        _prospect(answered, one, outcome, its)
        for one, outcome, its in zip(after, outcomes, effects, strict=True)
    ]
    return [
        replace(one, then=float(by), if_same=same - 1, if_worse=worse - 1)
        for one, by, same, worse in zip(
            found, later.gone, later.if_same, later.if_worse, strict=True
        )
    ]


@dataclass(frozen=True)
class _Outcome:
    """What a way does to the faults on each car, (n,), and on each fault, (n, faults).

    share: what each car counts.  over: chance that it is over its line after the way.
    gone: chance that the treated one is.  moved: its index.
    had, left: how far over its line it is, before and after; every: all of them, after.
    """

    share: Array
    over: Array
    gone: Array
    moved: Array
    had: Array
    left: Array
    every: Array


def _outcome(answered: Pass, after: Launched) -> _Outcome:
    treated, lines = answered.treated, answered.crew.faults
    before, then = indices(answered.named_on), indices(after)
    was, now = before - lines, then - lines
    over = below(now / EYE)
    # The crew named it, so the cars on which it is there count: on the others nothing is to treat.
    there = 1.0 - clear_of(below(was[:, treated] / EYE)) + _NOT_THERE
    worst = was[:, treated].argmax(axis=1)
    moved = (then - before)[:, treated][np.arange(len(worst)), worst]
    had, left = (np.maximum(one[:, treated], 0.0).sum(axis=1) for one in (was, now))
    return _Outcome(
        share=there / there.sum(),
        over=over,
        gone=_gone(over[:, treated], moved, answered.said[worst]),
        moved=moved,
        had=had,
        left=left,
        every=np.maximum(now, 0.0).sum(axis=1),
    )


def _prospect(
    answered: Pass, after: Launched, outcome: _Outcome, effects: tuple[Effect, ...]
) -> Prospect:
    share, had, left = outcome.share, outcome.had, outcome.left
    return Prospect(
        good=float(share @ clear_of(outcome.over)),
        gone=float(share @ outcome.gone),
        better=float(share @ ((left < had - _CLEARLY) | (left < had / 2.0))),
        harm=float(np.mean(_worse(answered.seen, after))),
        small=float(np.mean(after.columns["front_lift_max"] < STAND_LINES_M[1])),
        left=float(share @ outcome.every),
        slower=_slower(answered.today, after),
        effects=effects,
    )


def _gone(over: Array, moved: Array, said: NDArray[np.bool_]) -> Array:
    """Return how likely each car's fault is gone, (n,).

    Where nobody said how far over its line a fault is, as likely as not it is only just there;
    where somebody did, the cloud was chosen by it.
    over: after the way, (n, treated faults).  moved: the index of the worst of them, (n,).
    said: whether it was said how bad that one is, (n,).
    """
    just = 1.0 - below((moved + JUST_OVER) / EYE)
    guessed = np.where(said, 0.0, MAYBE_JUST_OVER)
    return np.asarray(guessed * just + (1.0 - guessed) * clear_of(over))


def _slower(today: Launched, after: Launched) -> float:
    """Return what the 60-foot loses in the middle of the cars that have both times [s]."""
    before, then = (one.columns["t_60ft"] for one in (today, after))
    # A car that gets there no more has lost more than any other.
    lost = np.where(np.isfinite(before) & np.isnan(then), NEVER_THERE_S, then - before)
    there = lost[np.isfinite(lost)]
    return float(np.median(there)) if len(there) else 0.0


def _worse(before: Launched, after: Launched) -> NDArray[np.bool_]:
    """Tell car by car whether a danger is clearly worse: see `Prospect.harm`."""
    stands = [
        np.searchsorted(STAND_LINES_M, one.columns["front_lift_max"]) for one in (before, after)
    ]
    stops = [
        (one.columns["front_comp_max_after_td"] >= one.of("front_bump")) for one in (before, after)
    ]
    bars = [one.columns["bar_force_max"] for one in (before, after)]
    up = (stands[1] > stands[0]) & (stands[1] >= 2)
    hit = after.has_bars & (bars[1] > HARD_KNOCK_N) & (bars[0] <= HARD_KNOCK_N)
    return np.asarray(up | hit | (stops[1] & ~stops[0]) | (after.lost & ~before.lost))
