"""What the crew is asked and what it can choose, as types.

Their values are public: they stand in logs, in answer files and in JSON, and never change.
"""

from enum import StrEnum


class Topic(StrEnum):
    """What a question of the loop is about; questions of the book have ids of their own."""

    MEETING = "meeting"
    SESSION = "session"
    OTHER_DAMPER = "other-damper"
    OTHER_BASELINE = "other-baseline"
    RECOUNT = "recount"
    PAIR = "pair"
    PUT_RIGHT = "put-right"
    INSPECT = "inspect"
    TURN = "turn"
    PART = "part"
    REACHED = "reached"
    REACH = "reach"
    SETTLE = "settle"
    RAN = "ran"
    WORKING_OUT = "working-out"
    ADVICE = "advice"
    READ_ONLY = "read-only"


ANSWER_HERE = "answer here"
"""Chosen on a log that can only be looked at: this window takes the answers from now on."""


class AdviceChoice(StrEnum):
    """What a crew does with a piece of advice; `MADE` is what the log keeps of `MAKE`."""

    MAKE = "make"
    MADE = "made"
    LEAVE = "leave"
    INSPECT = "inspect"
    CONTROL = "control"
    SKIP_CONTROL = "skip control"
    SKIP_MEASURE = "skip measure"
    OK = "ok"
    FIND_OUT = "find out"
    NOBODY = "nobody knows"

    @property
    def ends_the_pass(self) -> bool:
        """Whether nothing more is advised about the pass."""
        return self not in (self.SKIP_CONTROL, self.SKIP_MEASURE, self.NOBODY)


class TurnChoice(StrEnum):
    """What became of one turn under the car."""

    NOT_YET = "not-yet"
    DONE = "done"
    STOPS_EARLY = "stops early"
    CANNOT_REACH = "cannot reach"
    NOT_DONE = "not done"


class SettleChoice(StrEnum):
    """How a change that could not be made whole is settled."""

    TRY_AGAIN = "try again"
    LEAVE_OFF = "leave off"
    PUT_BACK = "put back"
    EVEN_OUT = "even out"


class PairChoice(StrEnum):
    """What becomes of a pair of which one side stands elsewhere."""

    PUT_RIGHT = "put right"
    KEEP = "keep"
    LATER = "later"


class DamperChoice(StrEnum):
    """Whether a car file that counts a damper otherwise describes another one."""

    SAME = "same"
    ANOTHER = "another"
    OPENED = "opened"


class PutRightChoice(StrEnum):
    """Whether what else was changed is put right first, or the fault is treated."""

    PUT_RIGHT = "put right"
    TREAT = "treat"


def public_id(topic: str, subject: str = "") -> str:
    """Return how a question is named where it is public; `subject`: the list or adjuster."""
    return f"{topic}:{subject}" if subject else str(topic)


def parted(name: str) -> tuple[str, str]:
    """Return topic and subject of a public name; the subject is empty where there is none."""
    topic, _, subject = name.partition(":")
    return topic, subject
