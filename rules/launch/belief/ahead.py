"""Several ways to go on, launched on the same cars of the cloud with the same coming day.

Harm is counted car by car against today's settings on the same day, so that what differs is the
settings; where the tyre spun, against the last pass as it was.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief import lane_air_track
from rules.launch.belief.faults import (
    EYE,
    FAULTS,
    HARD_KNOCK_N,
    STAND_LINES_M,
    Launched,
    below,
    indices,
    launched,
    of_symptom,
)
from rules.launch.belief.grip_back import if_it_holds
from rules.launch.belief.learning import coarse, learnt
from rules.launch.belief.likelihood import CLOCK_S, Crew, clear_of
from rules.launch.belief.one_more import one_more
from rules.launch.belief.particles import A_PASS, MOST_PASSES, NEXT, Cars, layout, meetings_of
from rules.launch.cloud.car_cloud import SEED
from rules.launch.cloud.on_paper import Params
from rules.launch.effects import effect_of
from rules.launch.goals import numbers_of
from rules.launch.outlook import Outlook, OutlookAsked, Prospect
from rules.launch.pass_conditions import NOT_NOTED
from rules.launch.proposed_change import MODEL_VERSION, Effect, Seen
from rules.launch.severity import how_bad_was_said

Array = NDArray[np.float64]

_CLEARLY = 0.1
JUST_OVER = 0.12
MAYBE_JUST_OVER = 0.65
NEVER_THERE_S = 1.0
SPIN = frozenset({"spins-at-hit", "unloads-after-hit"})
_NOT_THERE = 0.02
_EFFECTS = (
    "landing travel",
    "travel left",
    "lift",
    "air time",
    "carry",
    "landing load",
    "bounce",
    "top-out force",
    "front rise",
    "nose at 3 s",
    "rear droop used",
    "rear squat",
    "least rear load",
    "60-foot",
)
# What the launch leaves out moves a number by about this share; a judgement, see the virtual days.
DOUBTS = {
    "landing travel": 0.15,
    "lift": 0.3,
    "air time": 0.15,
    "carry": 0.2,
    "landing load": 0.1,
    "bounce": 0.4,
    "front rise": 0.15,
    "nose at 3 s": 0.1,
    "rear droop used": 0.15,
    "rear squat": 0.15,
}
GOALS = {
    "front-drops-hard": "landing travel",
    "front-bounces": "bounce",
    "front-carries": "lift",
    "wheelie-bar-hits": "lift",
    "front-rises-violently": "top-out force",
    "front-slow-to-rise": "front rise",
    "nose-stays-high": "nose at 3 s",
    "rear-tops-out": "rear droop used",
    "squats-and-drags": "rear squat",
    "spins-at-hit": "least rear load",
    "unloads-after-hit": "least rear load",
}


def look_ahead(question: OutlookAsked, seed: int = SEED) -> Outlook:
    """Return what each way comes to; the same question and seed give the same answer."""
    passes = latest(question.passes)
    belief = learnt(question.car, passes, seed)
    rows = (np.arange(question.cars) * len(belief.z)) // question.cars
    z = with_a_coming_day(belief.z[rows], seed)
    meeting = meetings_of(passes)[-1] if passes else 0
    settings = (question.today, *question.ways)
    last = passes[-1].noted if passes else NOT_NOTED
    ahead = question.coming.or_else(last)
    began = lane_air_track.first_noted(one.noted for one in passes)
    then, coming = (
        lane_air_track.times(belief.beside[rows], noted, began, meeting) for noted in (last, ahead)
    )
    batch: list[Params] = []
    cars = Cars(question.car, z)
    for one in settings:
        batch += cars.on(one, meeting, NEXT, coming)
    batch += cars.on(question.today, meeting, max(0, len(passes) - 1), then)
    run = coarse(batch)
    every, numbers = launched(run, batch), numbers_of(run, batch)
    crew, count = layout(question.car).crew(z), len(z)
    doubt = np.tile(np.random.default_rng([seed, 8]).standard_normal(count), len(settings) + 1)
    # What the crew's clock will show, not how long the launch takes.
    clock = np.tile(crew.clock, len(settings) + 1) + CLOCK_S * doubt
    numbers["60-foot"] = numbers["60-foot"] + clock
    for name in _EFFECTS:
        numbers[name] = numbers[name] * np.exp(DOUBTS.get(name, 0.0) * doubt)
    lift_doubt = np.exp(DOUBTS["lift"] * doubt[:count])
    cuts = [slice(place * count, (place + 1) * count) for place in range(len(settings))]
    today = every.pick(cuts[0])
    # What was seen was seen on the last pass: a stand that another lane or air brings is new, and
    # so is one that grip brings back where the tyre spun.
    another = lane_air_track.is_another(ahead, last, A_PASS)
    answered = every.pick(slice(len(settings) * count, None))
    seen = answered if another or not SPIN.isdisjoint(question.symptoms) else today
    named_on = answered if another else today
    treated = [place for one in question.symptoms for place in of_symptom(one)]
    told = how_bad_was_said(passes[-1].facts) if passes else frozenset()
    said = np.array([FAULTS[place].symptom in told for place in treated], dtype=bool)
    found, outcomes = [], []
    for cut in cuts:
        effects = tuple(
            effect
            for name in _EFFECTS
            if (effect := effect_of(name, numbers[name][cuts[0]], numbers[name][cut])) is not None
        )
        outcome = _outcome(named_on, every.pick(cut), crew, treated, said)
        outcomes.append(outcome)
        found.append(_prospect(seen, today, every.pick(cut), outcome, effects))
    later = one_more(
        np.stack([one.gone for one in outcomes]),
        np.stack([one.moved for one in outcomes]),
        outcomes[0].share,
    )
    found = [
        replace(one, then=float(by), if_same=same - 1, if_worse=worse - 1)
        for one, by, same, worse in zip(
            found, later.gone, later.if_same, later.if_worse, strict=True
        )
    ]
    return Outlook(
        ways=tuple(found[1:]),
        unchanged=found[0],
        goal=GOALS.get(question.symptoms[0], "lift") if question.symptoms else "lift",
        version=MODEL_VERSION,
        seed=seed,
        cars=count,
        cloud=len(belief.z),
        if_it_holds=if_it_holds(batch[cuts[1]], answered, lift_doubt) if question.holds else None,
    )


def latest(passes: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return the latest passes that are taken in, dropped by halves, so that clouds are kept."""
    over, half = len(passes) - MOST_PASSES, MOST_PASSES // 2
    return tuple(passes[max(0, -(-over // half) * half) :])


def with_a_coming_day(z: Array, seed: int) -> Array:
    """Return the cars with a thrust and a grip of the coming pass that nobody has seen yet."""
    fresh = np.random.default_rng([seed, 7]).standard_normal((len(z), 2))
    return np.concatenate([z[:, :-2], fresh], axis=1)


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


def _outcome(
    named_on: Launched,
    after: Launched,
    crew: Crew,
    treated: list[int],
    said: NDArray[np.bool_],
) -> _Outcome:
    """Return what a way does; said: of which treated fault it was said how bad it is."""
    before, then = indices(named_on), indices(after)
    was, now = before - crew.faults, then - crew.faults
    over = below(now / EYE)
    # The crew named it, so the cars on which it is there count: on the others nothing is to treat.
    there = 1.0 - clear_of(below(was[:, treated] / EYE)) + _NOT_THERE
    worst = was[:, treated].argmax(axis=1)
    moved = (then - before)[:, treated][np.arange(len(worst)), worst]
    had, left = (np.maximum(one[:, treated], 0.0).sum(axis=1) for one in (was, now))
    return _Outcome(
        share=there / there.sum(),
        over=over,
        gone=_gone(over[:, treated], moved, said[worst]),
        moved=moved,
        had=had,
        left=left,
        every=np.maximum(now, 0.0).sum(axis=1),
    )


def _prospect(
    seen: Launched,
    today: Launched,
    after: Launched,
    outcome: _Outcome,
    effects: tuple[Effect, ...],
) -> Prospect:
    share, had, left = outcome.share, outcome.had, outcome.left
    return Prospect(
        good=float(share @ clear_of(outcome.over)),
        gone=float(share @ outcome.gone),
        better=float(share @ ((left < had - _CLEARLY) | (left < had / 2.0))),
        harm=float(np.mean(_worse(seen, after))),
        small=float(np.mean(after.columns["front_lift_max"] < STAND_LINES_M[1])),
        left=float(share @ outcome.every),
        slower=_slower(today, after),
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
