"""Several ways to go on, launched on the same cars of the cloud with the same coming day.

Harm is counted car by car against today's settings on the same day, so that what differs is the
settings; where the tyre spun, against the last pass as it was.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.faults import (
    EYE,
    HARD_KNOCK_N,
    STAND_LINES_M,
    Launched,
    below,
    indices,
    launched,
    of_symptom,
)
from rules.launch.belief.how_bad import middle_of
from rules.launch.belief.learning import STEP_S, learnt
from rules.launch.belief.likelihood import CLOCK_S, Crew, clear_of
from rules.launch.belief.particles import MOST_PASSES, NEXT, cars_of, layout, meetings_of
from rules.launch.cloud.car_cloud import SEED
from rules.launch.cloud.on_paper import Params
from rules.launch.effects import effect_of
from rules.launch.goals import numbers_of
from rules.launch.mechanics.run import launch_many
from rules.launch.outlook import Outlook, OutlookAsked, Prospect
from rules.launch.proposed_change import MODEL_VERSION, Effect, Seen

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
    "lift": 0.2,
    "carry": 0.12,
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
    z = _with_a_coming_day(belief.z[rows], seed)
    meeting = meetings_of(passes)[-1] if passes else 0
    settings = (question.today, *question.ways)
    batch: list[Params] = []
    for one in settings:
        batch += cars_of(question.car, one, z, meeting, NEXT)
    batch += cars_of(question.car, question.today, z, meeting, max(0, len(passes) - 1))
    run = launch_many(batch, step_s=STEP_S)
    every, numbers = launched(run, batch), numbers_of(run, batch)
    crew, count = layout(question.car).crew(z), len(z)
    doubt = np.tile(np.random.default_rng([seed, 8]).standard_normal(count), len(settings) + 1)
    # What the crew's clock will show, not how long the launch takes.
    clock = np.tile(crew.clock, len(settings) + 1) + CLOCK_S * doubt
    numbers["60-foot"] = numbers["60-foot"] + clock
    for name in _EFFECTS:
        numbers[name] = numbers[name] * np.exp(DOUBTS.get(name, 0.0) * doubt)
    cuts = [slice(place * count, (place + 1) * count) for place in range(len(settings))]
    today = every.pick(cuts[0])
    # Where the tyre spun, the last pass says what was seen: a stand that grip brings back is new.
    spun = not SPIN.isdisjoint(question.symptoms)
    seen = every.pick(slice(len(settings) * count, None)) if spun else today
    treated = [place for one in question.symptoms for place in of_symptom(one)]
    far = _how_far_over(treated, passes)
    found = []
    for cut in cuts:
        effects = tuple(
            effect
            for name in _EFFECTS
            if (effect := effect_of(name, numbers[name][cuts[0]], numbers[name][cut])) is not None
        )
        found.append(_prospect(seen, today, every.pick(cut), crew, (treated, far), effects))
    return Outlook(
        ways=tuple(found[1:]),
        unchanged=found[0],
        goal=GOALS.get(question.symptoms[0], "lift") if question.symptoms else "lift",
        version=MODEL_VERSION,
        seed=seed,
        cars=count,
        cloud=len(belief.z),
    )


def latest(passes: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return the latest passes that are taken in, dropped by halves, so that clouds are kept."""
    over, half = len(passes) - MOST_PASSES, MOST_PASSES // 2
    return tuple(passes[max(0, -(-over // half) * half) :])


def _with_a_coming_day(z: Array, seed: int) -> Array:
    """Return the cars with a thrust and a grip of the coming pass that nobody has seen yet."""
    fresh = np.random.default_rng([seed, 7]).standard_normal((len(z), 2))
    return np.concatenate([z[:, :-2], fresh], axis=1)


def _prospect(
    seen: Launched,
    today: Launched,
    after: Launched,
    crew: Crew,
    named: tuple[list[int], Array],
    effects: tuple[Effect, ...],
) -> Prospect:
    """Return what a way comes to; named: the faults treated, and see `_how_far_over`."""
    treated, far = named
    before, then = indices(today), indices(after)
    was, now = before - crew.faults, then - crew.faults
    over, moved = below(now / EYE), (then - before)[:, treated]
    # The crew named it, so the cars on which it is there count: on the others nothing is to treat.
    there = 1.0 - clear_of(below(was[:, treated] / EYE)) + _NOT_THERE
    share = there / there.sum()
    had, left = (np.maximum(one[:, treated], 0.0).sum(axis=1) for one in (was, now))
    return Prospect(
        good=float(share @ clear_of(over)),
        gone=float(share @ _gone(over[:, treated], was[:, treated], moved, far)),
        better=float(share @ ((left < had - _CLEARLY) | (left < had / 2.0))),
        harm=float(np.mean(_worse(seen, after))),
        small=float(np.mean(after.columns["front_lift_max"] < STAND_LINES_M[1])),
        left=float(share @ np.maximum(now, 0.0).sum(axis=1)),
        slower=_slower(today, after),
        effects=effects,
    )


def _how_far_over(treated: Sequence[int], passes: Sequence[Seen]) -> Array:
    """Return how far each fault is over its line by what was said, and how surely, (2, faults).

    Where nobody said how bad it was, it is only just there, as far as anybody knows.
    """
    facts = dict(passes[-1].facts) if passes else {}
    said = [middle_of(place, facts) or (JUST_OVER, EYE) for place in treated]
    return np.array(said).reshape(-1, 2).T


def _gone(over: Array, was: Array, moved: Array, far: Array) -> Array:
    """Return how likely each car's fault is gone, (n,).

    How far over its line a fault is, the cloud knows but by numbers of its own: as likely as not
    it is as far as was said.
    over: after the way, was: over the line today, moved: by the way, each (n, faults).
    far: see `_how_far_over`.
    """
    worst = was.argmax(axis=1)
    by, (there, surely) = moved[np.arange(len(moved)), worst], far[:, worst]
    as_said = 1.0 - below((by + there) / surely)
    return MAYBE_JUST_OVER * as_said + (1.0 - MAYBE_JUST_OVER) * clear_of(over)


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
