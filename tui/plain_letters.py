"""Plain ASCII for terminals without boxes, blocks and braille: one look at each painted line.

One character becomes one: no cell moves, whoever drew it, so that no screen knows of it.
"""

import os
import sys
from collections.abc import Mapping
from unicodedata import combining, normalize

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

# What a drawing uses, and below it what stands for it.
_FROM = "─━╌╍┄┅│┃╎╏║┊┋╭╮╯╰┌┐└┘├┤┬┴┼╉╋╂╸╺╴╶█▓▒░▀▄▌▐▁▔▎▊■□▲▼►◄●○×·•→←↑↓−–—…‘’“”±°µ²³"
_TO = "-=----|!|||::..''..''+++++|+|=---##~:\"_[]_\"|]#_^v><*ox.*><^v---.''\"\"~'u23"
_BRAILLE, _DOTS = 0x2800, 8
_BY_DOTS = " ..:::***##"
_PLAIN = {
    **dict(zip(map(ord, _FROM), _TO, strict=True)),
    **{_BRAILLE + bits: _BY_DOTS[bits.bit_count()] for bits in range(2**_DOTS)},
}


class PlainLetters(LineFilter):
    """Paints ASCII alone; a letter with an accent loses it, what has no likeness becomes `?`."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments in plain letters."""
        return [
            one if one.control or one.text.isascii() else Segment(plain(one.text), one.style)
            for one in segments
        ]


def plain(text: str) -> str:
    """Return a text in ASCII, each character as wide as it was."""
    return "".join(map(_plain, text.translate(_PLAIN)))


def _plain(char: str) -> str:
    if char.isascii():
        return char
    base = "".join(one for one in normalize("NFKD", char) if not combining(one))
    wide = cell_len(char)
    return base if base.isascii() and len(base) == wide else "?" * wide


def needs_plain_letters(environ: Mapping[str, str] = os.environ) -> bool:
    """Tell whether a terminal draws ASCII alone: the console of Linux, a dumb one, no Unicode."""
    encoding = (getattr(sys.stdout, "encoding", "") or "").lower().replace("-", "")
    return environ.get("TERM") in ("linux", "dumb") or not encoding.startswith("utf")
