"""Situations that do not come out right yet, each with the reason in one line. To be emptied."""

KNOWN: dict[str, str] = {
    "over a foot, rebound firmer; spins now, nose down": (
        "half back lets the front up with its height not seen"
    ),
}
