"""The crew's own words: the rule book is written once and read in either wording."""

import re

from rules.units import System, localise

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
    """Write a count with its noun: 1 click, 2 clicks."""
    return f"{count:g} {noun}" if abs(count) == 1 else f"{count:g} {noun}s"
