"""Text from outside, made visible: nothing in it steers a terminal or turns the words around it."""

import unicodedata

STEERING = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""The categories (Unicode 15, section 4.5) of what is not seen, or moves what is."""


def steers(char: str) -> bool:
    """Tell whether a character is not seen, or moves what is seen."""
    return unicodedata.category(char) in STEERING


def harmless(text: str) -> str:
    r"""Return lines of text with what is not seen written out, as \u001b; line ends stay.

    What is written out so reads as before in JSON too. A tab becomes a blank.
    """
    if text.isprintable():
        return text
    return "".join(char if char == "\n" else _shown(char) for char in text)


def _shown(char: str) -> str:
    if char == "\t":
        return " "
    if not steers(char):
        return char
    code = ord(char)
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
