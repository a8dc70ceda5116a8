"""Where the tyre spun or unloaded: what the stand becomes once grip comes back, as a caution."""

from rules.advice.by_mechanics.question import asked
from rules.advice.by_mechanics.words import if_the_tyre_holds
from rules.advice.earlier_passes import sightings
from rules.advice.situation import Situation
from rules.launch.judged import SPIN
from rules.launch.outlook import Model
from rules.launch.proposed_change import missing
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK
from rules.log.said import named_symptoms

MATTERS = 0.1
# What is followed by a pass on settings that are known by now.
_RUNS = frozenset({"turn", "half back", PUT_BACK, "control"})
_CARS = 32


def with_grip_back(now: Situation, draft: Draft, model: Model) -> Draft:
    """Return a draft with what grip does to the stand, where more than 1 in 10 cars stand higher.

    A lost tyre holds the stand down, so the last pass says nothing of the stand that may come.
    """
    symptoms = named_symptoms(now.state, now.run)
    car = now.state.car
    if draft.kind not in _RUNS or SPIN.isdisjoint(symptoms) or car is None or missing(car):
        return draft
    passes = sightings(now.state, of=now.run)
    if not passes:
        return draft
    today = dict(now.state.settings)
    after = today | {turn.adjuster: turn.after for turn in draft.turns}
    try:
        found = model.look_ahead(asked(now, (after,), passes, _CARS, holds=True)).if_it_holds
    except ValueError:
        # A car file can be right in every field and still be no car to the launch.
        return draft
    if found is None or found.up <= MATTERS:
        return draft
    return draft.model_copy(update={"cautions": (*draft.cautions, if_the_tyre_holds(found.stand))})
