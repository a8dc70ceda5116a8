"""Situations that do not come out right yet, each with the reason in one line. To be emptied."""

KNOWN: dict[str, str] = {
    "spins again in the first lane, after the repeat": (
        "nobody saw the spin twice: pressure is turned by the default way, not watched for"
    ),
}
