"""What was recorded and can be taken back: a list to choose from, and the events it makes.

Answers go by Backspace or by a correction, and turns by Backspace or by putting back.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from rules.advice.safety.gates import is_clear
from rules.book import Book
from rules.car.adjusters import adjusters
from rules.crew.crew_action import CrewAction
from rules.crew.measured import KINDS
from rules.log.events.changes import ChangeTakenUp
from rules.log.events.event import Body
from rules.log.events.whole_log import RecordTakenBack
from rules.log.folds.record_off import can_take_recount_off
from rules.log.state import Run, State
from rules.log.taken_up import can_be_taken_up

Record = Literal[
    "meeting", "note", "slip", "conditions", "measured", "list", "pair", "recount", "override"
]
LATEST_NOTES = 5


class TakeBack(CrewAction):
    """Take back something recorded beside the answers: the latest of its kind that fits.

    `of` may be the number of a pass; `part` what was measured, or the list.
    """

    action: Literal["take back"] = "take back"
    record: str
    of: str = ""
    part: str = ""


@dataclass(frozen=True)
class Recorded:
    """One thing that can be taken back: `of` and `part` name it, `label` says it to the crew."""

    record: Record
    of: str
    label: str
    part: str = ""

    @property
    def id(self) -> str:
        """Return the id of its choice."""
        return "|".join((self.record, self.of, self.part))


def of_pass(run: Run) -> Iterator[Recorded]:
    """Yield what was recorded of one pass beside its answers."""
    if run.slip is not None:
        yield Recorded("slip", run.id, "Take the whole time slip back")
    if run.conditions is not None:
        yield Recorded("conditions", run.id, "Take lane, air and track back")
    for one in run.measured.values():
        yield Recorded("measured", run.id, f"Take back: {KINDS[one.what].name}", one.what)


def beside(state: State, book: Book) -> Iterator[Recorded]:
    """Yield what was recorded beside the passes, the latest of each kind."""
    meeting = state.meeting
    if meeting is not None and (len(state.meetings) > 1 or len(state.runs) == meeting.since):
        yield Recorded("meeting", meeting.id, f"The meeting begun: {meeting.name}")
    change = next((one for one in reversed(state.changes) if one.origin != "put back"), None)
    if change is not None and can_be_taken_up(state, change):
        yield Recorded("override", change.id, f"Going on without a verdict on: {change.title}")
    for note in state.notes[: -LATEST_NOTES - 1 : -1]:
        yield Recorded("note", note.at.isoformat(), f"The note: {_short(note.text)}")
    for inspection, reason in dict.fromkeys(key[:2] for key in reversed(list(state.ticks))):
        known = inspection in book.inspections
        if known and is_clear(state, book, inspection, reason):
            title = book.inspections[inspection].title
            yield Recorded("list", reason, f"The ticks of: {title}", inspection)
    for key, one in (adjusters(state.car) if state.car else {}).items():
        if can_take_recount_off(state, key):
            found, before = (one.show(n) for n in _found_and_before(state, key))
            yield Recorded("recount", key, f"The recount of {one.label}: {found}, it was {before}")
        if one.partner and key not in state.split and _stands_apart(state, key):
            yield Recorded("pair", key, f"What becomes of the split: {one.axle} {one.name}")


def _found_and_before(state: State, key: str) -> tuple[float, float]:
    return state.recounts[key].found, state.recounts[key].before


def _stands_apart(state: State, key: str) -> bool:
    one = adjusters(state.described_car)[key]
    offset = one.offset if one.place.startswith("right") else -one.offset
    apart = state.settings[key] - state.settings[str(one.partner)] - offset
    return one.place.startswith("right") and abs(apart) > 1e-9


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 50 else line[:47] + "..."


def bodies(state: State, book: Book, action: TakeBack) -> list[Body]:
    """Return the events that take something back: the latest that fits what is said of it.

    Raises:
        LookupError: it is not there, or cannot be taken back.
    """
    numbers = {run.id: str(run.number) for run in state.runs}
    known = [*(one for run in reversed(state.runs) for one in of_pass(run)), *beside(state, book)]
    record, of, part = action.record, action.of, action.part
    for found in known:
        is_of = of in ("", found.of, numbers.get(found.of))
        if found.record == record and is_of and part in ("", found.part):
            break
    else:
        raise LookupError(f"take back: found {record} {of} {part}".rstrip() + "; it is not there")
    if found.record == "override":
        return [ChangeTakenUp(change=found.of)]
    return [RecordTakenBack(record=found.record, of=found.of, part=found.part)]
