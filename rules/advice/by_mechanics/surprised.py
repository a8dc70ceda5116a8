"""A pass that this car's own passes did not foretell: the car is looked over before any advice.

Where nothing dangerous was seen and no time is left for the list, the same pass again tells; after
danger there is only the list.
"""

from collections.abc import Iterator

from rules.advice.by_mechanics.words import COMPUTED, tenths
from rules.advice.earlier_passes import sightings
from rules.advice.forecasts import READINGS
from rules.advice.safety.gates import ALWAYS_AFTER_INSPECTION
from rules.advice.safety.job_time import list_hurried
from rules.advice.situation import Situation
from rules.launch.forecast_words import foretold_text
from rules.launch.outlook import Model
from rules.launch.proposed_change import missing
from rules.launch.surprise import Sight, SurpriseAsked
from rules.log.advice import Draft
from rules.log.state import Run

LIST = "not-as-foretold"
LOOK = "Look the car over first: this pass was not foretold"
AGAIN = "Run it again as it is: the last pass was not foretold"
RARE = "By the passes before, fewer than 2 in 100 such passes are as odd."
# What looks at the car, or keeps it from running, already.
_LOOKS = frozenset({"inspect", "stop", "control", "put right"})
_TOLD = 2


def surprised(now: Situation, draft: Draft, model: Model) -> Draft | None:
    """Return what comes before any advice after a pass that was not foretold; None where it was.

    Once for each surprise: the pass after the list, or after the pass again, goes on.
    """
    car = now.state.car
    if draft.kind in _LOOKS or car is None or missing(car) or _is_looked_into(now):
        return None
    passes = sightings(now.state, of=now.run)
    if not passes:
        return None
    try:
        found = model.surprise(SurpriseAsked(car, passes))
    except ValueError:
        # A car file can be right in every field and still be no car to the launch.
        return None
    if found is None or not found.is_one:
        return None
    return _draft(now, " ".join((RARE, *_told(now, found.sights))))


def _is_looked_into(now: Situation) -> bool:
    before = [run for run in now.state.runs_of_meeting if run.number < now.run.number][-1:]
    return (
        now.run.control_skipped
        or _was_listed(now, now.run)
        or any(
            _was_listed(now, run) or (run.followed is not None and run.followed.title == AGAIN)
            for run in before
        )
    )


def _was_listed(now: Situation, run: Run) -> bool:
    return any(inspection == LIST for inspection, _ in run.ticks)


def _draft(now: Situation, cause: str) -> Draft:
    listed = now.book.inspections[LIST]
    if list_hurried(listed, now.minutes_left) and not now.danger:
        return Draft(
            kind="control",
            title=AGAIN,
            cause=cause,
            why="There is no time to look the car over, and a turn on top would hide what it was.",
            expect="What the passes before foretold, or the same again: then something changed.",
            look_for="The same things as on the last pass.",
            cautions=("Anything loose, leaking or bent: do not run.",),
            label=COMPUTED,
        )
    return Draft(
        kind="inspect",
        title=LOOK,
        inspection=LIST,
        cause=cause,
        why="Something may have come loose, broken, or been set otherwise than the book says.",
        expect="What changed is found and put right; or nothing is, and the advice goes on.",
        look_for=listed.why,
        cautions=(ALWAYS_AFTER_INSPECTION,),
        label=COMPUTED,
    )


def _told(now: Situation, sights: tuple[Sight, ...]) -> Iterator[str]:
    """Say what was foretold and what came, of what is oddest."""
    told = (_sentence(now, one) for one in sights)
    for _, text in zip(range(_TOLD), filter(None, told), strict=False):
        yield text


def _sentence(now: Situation, one: Sight) -> str:
    if one.measure is not None and not isinstance(one.foretold, str):
        name = READINGS.get(one.name, one.name)
        us, metric = (
            foretold_text(name, one.measure, one.foretold, float(one.came), system)
            for system in ("us", "metric")
        )
        return f"Foretold: {us if us == metric else f'{{{us}|{metric}}}'}."
    if one.name in now.book.prompts:
        labels = {choice.id: choice.label for choice in now.book.prompts[one.name].choices}
        foretold, came = (labels.get(str(word)) for word in (one.foretold, one.came))
        if foretold is None or came is None or foretold == came:
            return ""
        asked = now.book.prompts[one.name].question
        return f"{asked} Foretold by {tenths(one.share)}: {_small(foretold)}; came: {_small(came)}."
    if one.name in now.book.symptoms and one.came != one.foretold:
        came = "came" if one.came else "did not come"
        foretold = "foretold" if one.foretold else "not foretold"
        name = now.book.symptoms[one.name].name
        return f"{name}: {foretold} by {tenths(one.share)}, and {came}."
    return ""


def _small(label: str) -> str:
    return label[:1].lower() + label[1:]
