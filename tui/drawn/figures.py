"""Large figures of half blocks: three rows high, for arm's length in the sun.

The framework's `Digits` has the same three rows, but thin lines: a five of it inks an eighth of
its box, this one six parts in ten. Three by five dots, two rows of them to a cell.
"""

HEIGHT = 3
_DOTS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" #", "##", " #", " #", " #"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    "/": ("  #", "  #", " # ", "#  ", "#  "),
    ".": (" ", " ", " ", " ", "#"),
    "-": ("   ", "   ", "###", "   ", "   "),
    "+": ("   ", " # ", "###", " # ", "   "),
    " ": (" ", " ", " ", " ", " "),
}
_HALVES = {"  ": " ", "# ": "▀", " #": "▄", "##": "█"}
ARROW = ("    ", "━━━►", "    ")


def from_to(before: str, after: str, room: int) -> list[str]:
    """Return three rows: from which number to which; empty where they cannot be drawn in there."""
    if any(char not in _DOTS for char in before + after):
        return []
    for wide in (2, 1):
        rows = [
            f"{one} {way} {other}"
            for one, way, other in zip(_rows(before, wide), ARROW, _rows(after, wide), strict=True)
        ]
        if len(rows[0]) <= room:
            return rows
    return []


def _rows(text: str, wide: int) -> list[str]:
    dots = [" ".join(_DOTS[char][row] for char in text) for row in range(5)] + [""]
    length = len(dots[0])
    dots[5] = " " * length
    return [
        "".join(
            _HALVES[upper + lower] * wide
            for upper, lower in zip(dots[at], dots[at + 1], strict=True)
        )
        for at in (0, 2, 4)
    ]
