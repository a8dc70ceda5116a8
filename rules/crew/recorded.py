"""What was recorded, in words for the line that says so: Recorded: the correction."""

RECORDED = {
    "note": "the note",
    "measure": "the measurement",
    "recount": "the recount",
    "already turned": "what was changed",
    "valving changed": "the valving",
    "undo last change": "the order to undo the last change",
    "put back to baseline": "the order to put everything back",
    "put back to proven": "the order back to what was proven",
    "declare baseline": "the baseline",
    "return to baseline": "the car is at the baseline",
    "override": "going on without it",
    "report damage": "the damage",
    "session": "the session",
    "meeting": "the event",
    "take back": "that it is taken back",
    "minutes to call": "the minutes to the call",
    "conditions": "lane, air and track",
    "slip": "the slip",
    "worth": "the smallest gain worth a change",
    "learn afresh": "what is learnt from",
    "correct": "the correction",
}
"""By action, what is said to be recorded."""


def recorded(action: str) -> str:
    """Say that an action was recorded."""
    return f"Recorded: {RECORDED.get(action, action)}."
