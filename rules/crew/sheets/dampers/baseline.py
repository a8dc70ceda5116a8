"""What becomes of the baseline once other parts are on: a new one, or the old one by its name."""

from collections.abc import Iterator, Mapping

from rules.crew.baselines import of_other_parts
from rules.crew.sheets.sheet import Filling, SheetField
from rules.log.events.event import Body
from rules.question import Choice, Given, NewId

KEEP, NEW, LATER = "keep", "new", "later"


def fields(now: Filling, uncounted: bool) -> Iterator[SheetField]:
    """Ask for the baseline; uncounted: a count is not read yet, so that none can be declared."""
    old = now.state.baseline.name if now.state.baseline else ""
    keep = Choice(KEEP, f"Keep {old}, with these counts in it")
    yield SheetField(
        "baseline", "Baseline", "Which baseline holds from here?", "one", unknown=False,
        choices=(
            *((keep,) if old else ()), Choice(NEW, "A new one of now"),
            Choice(LATER, "Later: the old counts stay what p goes back to"),
        ),
        hint="Counts of other parts mean nothing on these.",
        fault=lambda value: _fault(uncounted, value),
    )  # fmt: skip
    if now.said("baseline") == NEW:
        yield SheetField(
            "baseline name", "Its name", "Name of the new baseline?", "text", unknown=False,
            longest=60,
        )  # fmt: skip


def _fault(uncounted: bool, value: Given) -> str:
    if not uncounted or value == LATER:
        return ""
    return "found a count that is not read yet; wanted every count first, or say later"


def bodies(now: Filling, counts: Mapping[str, float], new_id: NewId) -> list[Body]:
    """Return the baseline that was asked for; none where it comes later."""
    old, said = now.state.baseline, now.said("baseline")
    if said == LATER or not said:
        return []
    name = old.name if old and said == KEEP else now.said("baseline name")
    return [of_other_parts(now.state, name, counts, new_id)]
