"""Large figures drawn with the full block, which every terminal font has: for arm's length."""

from rich.text import Text

_GLYPHS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    "/": ("  #", "  #", " # ", "#  ", "#  "),
    ".": ("   ", "   ", "   ", "   ", " # "),
    "-": ("   ", "   ", "###", "   ", "   "),
    " ": ("  ", "  ", "  ", "  ", "  "),
}
HEIGHT = 5
WIDEST = 26


def figures(text: str) -> Text:
    """Return five lines that show a count in large figures, or the plain text where none fit."""
    wide = [[char * 2 for char in row] for row in _rows(text)]
    if not wide or len(wide[0]) * 2 > WIDEST:
        return Text(f"\n\n{text}\n\n", style="bold", no_wrap=True)
    drawn = Text(no_wrap=True)
    for number, row in enumerate(wide):
        drawn.append("".join(row).replace("#", "\u2588") + ("\n" if number < HEIGHT - 1 else ""))
    return drawn


def _rows(text: str) -> list[str]:
    if any(char not in _GLYPHS for char in text):
        return []
    return [" ".join(_GLYPHS[char][row] for char in text) for row in range(HEIGHT)]
