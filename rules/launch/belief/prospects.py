"""What a way comes to, from the same cars launched as they stand and after it.

Harm is counted car by car against what was seen, so that what differs is the settings.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rules.book.facts import Fact
from rules.launch.belief.faults import (
    EYE,
    HARD_KNOCK_N,
    HIGH_NOSE,
    SLOW_NOSE,
    STAND_LINES_M,
    Launched,
    below,
    indices,
    of_symptom,
)
from rules.launch.belief.how_bad import middle_of
from rules.launch.belief.likelihood import Crew, clear_of
from rules.launch.belief.one_more import one_more
from rules.launch.outlook import Prospect
from rules.launch.proposed_change import Effect

Array = NDArray[np.float64]

_CLEARLY = 0.1
JUST_OVER = 0.12
AS_SAID = 0.65
NEVER_THERE_S = 1.0
_NOT_THERE = 0.02


@dataclass(frozen=True)
class Pass:
    """The pass that is answered, on the cars of the cloud.

    named_on: as its faults were named.  seen: as its dangers were seen.  today: the coming pass
    with nothing turned.  treated, far: see `treated_faults`.
    """

    named_on: Launched
    seen: Launched
    today: Launched
    crew: Crew
    treated: list[int]
    far: Array


def treated_faults(
    symptoms: Sequence[str], facts: Sequence[tuple[str, Fact]]
) -> tuple[list[int], Array]:
    """Return which faults were named, and how far each is over its line by what was said.

    The second with how surely, (2, faults); where nobody said how bad it was, it is just there,
    as far as anybody knows.
    """
    said = dict(facts)
    places = [place for one in symptoms for place in _causes(one, said)]
    far = [middle_of(place, said) or (JUST_OVER, EYE) for place in places]
    return places, np.array(far).reshape(-1, 2).T


def _causes(symptom: str, said: Mapping[str, Fact]) -> list[int]:
    """Return which faults a symptom means, where answers tell one cause of it from the other.

    A nose that sinks slowly on the lift is held by its dampers; after a big wheelie it is on its
    way down, whatever holds it.
    """
    places = of_symptom(symptom)
    if symptom != "nose-stays-high" or said.get("on-lift") != "sinks":
        return places
    return [HIGH_NOSE if said.get("stand") in ("big", "dangerous") else SLOW_NOSE]


def prospects(
    answered: Pass,
    after: Sequence[Launched],
    effects: Sequence[tuple[Effect, ...]],
    seen: Array,
) -> list[Prospect]:
    """Return what each way comes to, the first of them turning nothing.

    seen: what passes saw on its settings, see `log_odds_seen`, (m,).
    """
    before = indices(answered.named_on)
    outcomes = [_outcome(answered, before, one, its) for one, its in zip(after, seen, strict=True)]
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


def _outcome(answered: Pass, before: Array, after: Launched, seen: float) -> _Outcome:
    treated, lines = answered.treated, answered.crew.faults
    then = indices(after)
    was, now = before - lines, then - lines
    over = below(now / EYE)
    # The crew named it, so the cars on which it is there count: on the others nothing is to treat.
    there = 1.0 - clear_of(below(was[:, treated] / EYE)) + _NOT_THERE
    worst = was[:, treated].argmax(axis=1)
    moved = (then - before)[:, treated][np.arange(len(worst)), worst]
    had, left = (np.maximum(one[:, treated], 0.0).sum(axis=1) for one in (was, now))
    # What a pass with the fault spoke against is not there to be won.
    not_won = (1.0 - min(1.0, float(np.exp(seen)))) * np.maximum(had - left, 0.0)
    return _Outcome(
        share=there / there.sum(),
        over=over,
        gone=_gone(over[:, treated], moved, answered.far[:, worst], seen),
        moved=moved,
        had=had,
        left=left + not_won,
        every=np.maximum(now, 0.0).sum(axis=1) + not_won,
    )


def _prospect(
    answered: Pass, after: Launched, outcome: _Outcome, effects: tuple[Effect, ...]
) -> Prospect:
    share, had, left = outcome.share, outcome.had, outcome.left
    return Prospect(
        good=float(share @ np.minimum(clear_of(outcome.over), outcome.gone)),
        gone=float(share @ outcome.gone),
        better=float(share @ ((left < had - _CLEARLY) | (left < had / 2.0))),
        harm=float(np.mean(_worse(answered.seen, after))),
        small=float(np.mean(after.columns["front_lift_max"] < STAND_LINES_M[1])),
        left=float(share @ outcome.every),
        slower=max(0.0, _slower(answered.today, after)),
        effects=effects,
    )


def _gone(over: Array, moved: Array, far: Array, seen: float) -> Array:
    """Return how likely each car's fault is gone, (n,).

    How far over its line a fault is, the cloud knows but by numbers of its own: as likely as not
    it is as far as was said, and over it for certain, because it was seen.
    over: after the way, (n, treated faults).  moved: the index of the worst of them, (n,).
    far: how far over its line that one is by what was said, and how surely, (2, n).
    seen: what passes saw on these settings, which the cars know of and what was said does not.
    """
    there, surely = far
    named, still = below(there / surely), below((moved + there) / surely)
    cured = np.maximum(named - still, 0.0) / named
    as_said = cured / (cured + (1.0 - cured) * np.exp(-seen))
    return np.asarray(AS_SAID * as_said + (1.0 - AS_SAID) * clear_of(over))


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
