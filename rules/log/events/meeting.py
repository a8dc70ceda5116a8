"""What is said of the race day: its meetings, the session, the next call, free words."""

from typing import Literal

from pydantic import Field

from rules.log.events.base import EventBody, Text

SessionKind = Literal["test", "qualifying", "eliminations"]


class MeetingOpened(EventBody):
    """A race meeting began; what follows belongs to it."""

    kind: Literal["meeting-opened"] = "meeting-opened"
    meeting: str
    name: Text
    session: SessionKind | None = None


class SessionChanged(EventBody):
    """Test, qualifying or eliminations."""

    kind: Literal["session-changed"] = "session-changed"
    session: SessionKind


class CallTimeGiven(EventBody):
    """Minutes to the next call, from now; None takes it back."""

    kind: Literal["call-time-given"] = "call-time-given"
    minutes: int | None = Field(ge=0, le=1440)


class NoteAdded(EventBody):
    """Free words, kept as typed."""

    kind: Literal["note-added"] = "note-added"
    text: Text
    run: str | None = None
