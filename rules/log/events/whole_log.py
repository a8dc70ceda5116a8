"""What is said of the log itself: a record off again, a log taken in, a newer program's."""

from typing import Literal

from rules.log.events.base import EventBody
from rules.log.ids import Ids


class RecordTakenBack(EventBody):
    """Something recorded beside the answers is off again; the log keeps both.

    `of` is the meeting, the pass, the time of the note (ISO 8601), the reason of the list or the
    adjuster; `part` what was measured, or the list.
    """

    kind: Literal["record-taken-back"] = "record-taken-back"
    record: Literal["meeting", "note", "slip", "conditions", "measured", "list", "pair", "recount"]
    of: str
    part: str = ""


class LogsMerged(EventBody):
    """Another log of the same car was taken in.

    `ours` and `theirs` are the ids of both logs since their last merge, each in the order in which
    it was written: the parts of the merged log that are known to follow one another. What both
    began with need not stand in `theirs` but for its last. `counts` are the adjusters to be counted
    by hand, as this log and as the other had them.
    """

    kind: Literal["logs-merged"] = "logs-merged"
    ours: Ids
    theirs: Ids
    counts: dict[str, tuple[float, float]]


class Unread(EventBody):
    """An event of a newer program, kept as it was written; it is never made here.

    `found`, `found_version`: its own kind and version.
    """

    kind: Literal["unread"] = "unread"
    found: str
    found_version: int
