"""Several ways to go on, launched on the same cars of the cloud with the same coming day."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief import lane_air_track
from rules.launch.belief.faults import bars_possible, launched
from rules.launch.belief.foretold import DOUBTS, as_read, effects
from rules.launch.belief.grip_back import if_it_holds
from rules.launch.belief.hardly_shown import hardly_shown
from rules.launch.belief.learning import coarse, learnt
from rules.launch.belief.particles import A_PASS, NEXT, Cars, layout, meetings_of
from rules.launch.belief.prospects import Pass, prospects, treated_faults
from rules.launch.belief.seen_there import log_odds_seen
from rules.launch.cloud.car_cloud import SEED
from rules.launch.cloud.on_paper import Params
from rules.launch.judged import SPIN
from rules.launch.outlook import Outlook, OutlookAsked
from rules.launch.pass_conditions import NOT_NOTED
from rules.launch.passes_kept import first_kept
from rules.launch.proposed_change import MODEL_VERSION, Seen

Array = NDArray[np.float64]

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
    z = belief.z[rows]
    meeting = meetings_of(passes)[-1] if passes else 0
    settings = (question.today, *question.ways)
    last = passes[-1].noted if passes else NOT_NOTED
    ahead = question.coming.or_else(last)
    began = lane_air_track.first_noted(one.noted for one in passes)
    then, coming = (
        lane_air_track.times(belief.beside[rows], noted, began, meeting) for noted in (last, ahead)
    )
    # What was seen was seen on the last pass: a stand that another lane or air brings is new, and
    # so is one that grip brings back where the tyre spun.
    another = lane_air_track.is_another(ahead, last, A_PASS)
    spun = not SPIN.isdisjoint(question.symptoms)
    batch: list[Params] = []
    cars = Cars(question.car, z)
    for one in settings:
        batch += cars.on(one, meeting, NEXT, coming)
    if another or spun or question.holds:
        batch += cars.on(question.today, meeting, max(0, len(passes) - 1), then)
    run = coarse(batch)
    every = launched(run, batch, bars_possible(question.car, passes))
    crew, count = layout(question.car).crew(z), len(z)
    times = len(batch) // count
    doubt = np.random.default_rng([seed, 8]).standard_normal(count)
    numbers = as_read(run, batch, np.tile(crew.clock, times), np.tile(doubt, times))
    cuts = [slice(place * count, (place + 1) * count) for place in range(len(settings))]
    after = [every.pick(cut) for cut in cuts]
    as_it_was = every.pick(slice(len(settings) * count, None))
    answered = Pass(
        as_it_was if another else after[0],
        as_it_was if another or spun else after[0],
        after[0],
        crew,
        *treated_faults(question.symptoms, passes[-1].facts if passes else ()),
    )
    seen = log_odds_seen(passes, question.today, settings, question.symptoms)
    unchanged, *ways = prospects(
        answered, after, [effects(numbers, cuts[0], cut) for cut in cuts], seen
    )
    lift_doubt = np.exp(DOUBTS["lift"] * doubt)
    return Outlook(
        ways=tuple(ways),
        unchanged=unchanged,
        goal=GOALS.get(question.symptoms[0], "lift") if question.symptoms else "lift",
        version=MODEL_VERSION,
        seed=seed,
        cars=count,
        cloud=len(belief.z),
        hardly_shown=hardly_shown(answered.named_on, crew, passes[-1]) if passes else frozenset(),
        if_it_holds=if_it_holds(batch[cuts[1]], as_it_was, lift_doubt) if question.holds else None,
    )


def latest(passes: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return the latest passes that are taken in."""
    return tuple(passes[first_kept(len(passes)) :])
