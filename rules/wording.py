"""The crew's own words: the rule book is written once and read in either wording."""

import re
from collections.abc import Iterable

from rules.units import UNITS, Quantity, System, from_si, localise

# Decimals that a tape, a scale or a gauge can show.
_DECIMALS: dict[tuple[Quantity, System], int] = {
    (Quantity.LENGTH, "us"): 2,
    (Quantity.SPRING_RATE, "metric"): 1,
    (Quantity.PRESSURE, "us"): 1,
}


_US_WORDS = {
    "damper": "shock",
    "dampers": "shocks",
    "damper's": "shock's",
    "rebound": "extension",
    "firmer": "tighter",
    "softer": "looser",
    "tyre": "tire",
    "tyres": "tires",
    "tyre's": "tire's",
    "gearbox": "transmission",
    "anticlockwise": "counterclockwise",
    "centre": "center",
    "centres": "centers",
    "neighbours": "neighbors",
    "colour": "color",
    "vapour": "vapor",
}
_US_PATTERN = re.compile(r"\b(" + "|".join(sorted(_US_WORDS, key=len, reverse=True)) + r")\b", re.I)

_BEFORE_VOWEL = re.compile(r"\b([Aa])(?= extension\b)")


def say(text: str, system: System) -> str:
    """Return a text of the book in the wording and the units of `system`.

    The book calls springs lighter or stiffer, because only knobs are tightened and loosened.
    """
    text = localise(text, system)
    if system != "us":
        return text
    return _BEFORE_VOWEL.sub(r"\1n", _US_PATTERN.sub(_us_word, text))


def _us_word(match: re.Match[str]) -> str:
    word = match.group(0)
    translated = _US_WORDS[word.lower()]
    if word.isupper():
        return translated.upper()
    return translated.capitalize() if word[0].isupper() else translated


def plural(count: float, noun: str) -> str:
    """Write a count with its noun: 1 click, 2 clicks, 3 passes."""
    if abs(count) == 1:
        return f"{count:g} {noun}"
    return f"{count:g} {noun}{'es' if noun.endswith('s') else 's'}"


def capital(text: str) -> str:
    """Begin a text with a capital letter and leave the rest of it as it stands."""
    return text[:1].upper() + text[1:]


def listed(words: Iterable[str]) -> str:
    """Join words: a, b and c."""
    *first, last = list(words)
    return f"{', '.join(first)} and {last}" if first else last


def both(value: float, quantity: Quantity) -> str:
    """Write an SI value as ``{US|metric}``, to what a tape, a scale or a gauge can show."""
    return "{" + "|".join(_written(value, quantity, system) for system in ("us", "metric")) + "}"


def ends(low: str, high: str, places: int) -> str:
    """Write a range from its ends as written to so many places: of nothing at all, its bound.

    A number that was foretold as 0.0 would be none; what is known is that it is less than 0.1.
    """
    if low != high:
        return f"{low} to {high}"
    return low if float(low) else f"under {10**-places:.{max(places, 0)}f}"


def both_range(low: float, high: float, quantity: Quantity) -> str:
    """Write an SI range as ``{US|metric}``."""
    halves = (
        f"{_bare(low, quantity, system)} to {_written(high, quantity, system)}"
        for system in ("us", "metric")
    )
    return "{" + "|".join(halves) + "}"


def _bare(value: float, quantity: Quantity, system: System) -> str:
    decimals = _DECIMALS.get((quantity, system), 0)
    digits = f"{round(from_si(value, quantity, system), decimals) + 0.0:.{decimals}f}"
    return digits.rstrip("0").rstrip(".") if decimals else digits


def _written(value: float, quantity: Quantity, system: System) -> str:
    return f"{_bare(value, quantity, system)} {UNITS[quantity, system].name}"
