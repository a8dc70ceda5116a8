"""The colours of the screens: a small palette of roles in four themes.

A colour never says anything alone: each role has a word or a shape of its own as well, and the
themes `mono` and `mono-night`, black and white only, lose nothing. Every role reaches 7 to 1 on
its ground and is a member of the 256-colour cube, so that 256 colours show exactly these; with
16 or none, teal would become a grey of 4 to 1. `glass` is part of a drawing, never a text.
"""

import os
import sys
from collections.abc import Mapping
from typing import NamedTuple

from textual.theme import Theme

WHITE, BLACK = "#ffffff", "#000000"


class Palette(NamedTuple):
    """The colours of the roles on one ground.

    danger: `!`, `▲`, STOP.  open: `►`, OPEN, TURN NOW.  done: `■`, DONE, KEPT.
    measured: one solid mark.  forecast: always a range, shaded or dotted.
    words, labels: texts.  cap: the ground of keys and of the header, under white words.
    marked: the ground of the marked row, under `marked_words`.
    plates: the grounds of danger, open, done and forecast under white words.
    """

    ground: str
    words: str
    labels: str
    danger: str
    open: str
    done: str
    measured: str
    forecast: str
    cap: str
    marked: str
    marked_words: str
    glass: str
    plates: tuple[str, str, str, str] = ("#af0000", "#0000d7", "#005f5f", "#8700af")

    @property
    def variables(self) -> dict[str, str]:
        """The roles by name for style sheets and drawings, and those of the framework's parts."""
        danger, opened, done, forecast = self.plates
        return {
            "label": self.labels,
            "danger": self.danger,
            "open": self.open,
            "done": self.done,
            "measured": self.measured,
            "forecast": self.forecast,
            "cap": self.cap,
            "cap-words": WHITE,
            "marked": self.marked,
            "marked-words": self.marked_words,
            "glass": self.glass,
            "plate-danger": danger,
            "plate-open": opened,
            "plate-done": done,
            "plate-forecast": forecast,
            "plate-words": WHITE,
            # The framework mixes these from others, which costs contrast.
            "block-cursor-foreground": self.marked_words,
            "block-cursor-background": self.marked,
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-foreground": self.marked_words,
            "block-cursor-blurred-background": self.marked,
            "block-cursor-blurred-text-style": "bold",
            "block-hover-background": self.ground,
            "border": self.words,
            "border-blurred": self.words,
            "footer-foreground": self.words,
            "footer-background": self.ground,
            "footer-key-foreground": WHITE,
            "footer-key-background": self.cap,
            "footer-description-foreground": self.words,
            "footer-description-background": self.ground,
            "footer-item-background": self.ground,
            "input-cursor-background": self.ground,
            "input-cursor-foreground": self.words,
            "input-selection-background": self.ground,
            "input-selection-foreground": self.words,
            "scrollbar": self.words,
            "scrollbar-hover": self.words,
            "scrollbar-active": self.words,
            "scrollbar-background": self.ground,
            "scrollbar-background-hover": self.ground,
            "scrollbar-background-active": self.ground,
            "scrollbar-corner-color": self.ground,
        }


DAY = Palette(
    ground=WHITE, words=BLACK, labels="#444444", danger="#af0000", open="#0000d7",
    done="#005f5f", measured="#00005f", forecast="#8700af", cap=BLACK,
    marked=BLACK, marked_words=WHITE, glass="#878787",
)  # fmt: skip
DARK = Palette(
    ground=BLACK, words="#dadada", labels="#b2b2b2", danger="#ff875f", open="#87d7ff",
    done="#00d7af", measured=WHITE, forecast="#af87ff", cap="#3a3a3a",
    marked="#dadada", marked_words=BLACK, glass="#878787",
)  # fmt: skip


def _plain(ground: str, words: str) -> Palette:
    """Return a palette of two colours; plates, keys and the header are reversed."""
    return Palette(
        ground, words, words, words, words, words, words, words, cap=BLACK,
        marked=words, marked_words=ground, glass=words, plates=(BLACK,) * 4,
    )  # fmt: skip


def _theme(name: str, palette: Palette, *, dark: bool) -> Theme:
    words, ground = palette.words, palette.ground
    return Theme(
        name=name,
        primary=words,
        secondary=words,
        accent=words,
        warning=words,
        error=palette.danger,
        success=palette.done,
        foreground=words,
        background=ground,
        surface=ground,
        panel=ground,
        dark=dark,
        variables=palette.variables,
    )


SUNLIGHT = _theme("sunlight", DAY, dark=False)
NIGHT = _theme("night", DARK, dark=True)
MONO = _theme("mono", _plain(WHITE, BLACK), dark=False)
MONO_NIGHT = _theme("mono-night", _plain(BLACK, WHITE), dark=True)
THEMES = (SUNLIGHT, NIGHT, MONO, MONO_NIGHT)
OTHER = {"sunlight": "night", "night": "sunlight", "mono": "mono-night", "mono-night": "mono"}
"""What the key for sunlight or dark changes each theme to."""


def theme_here(environ: Mapping[str, str] = os.environ) -> str:
    """Return the theme a terminal can show: without 256 colours, or with NO_COLOR, black on white.

    By what https://no-color.org and the usual names of terminals say.
    """
    term, colours = environ.get("TERM", ""), environ.get("COLORTERM", "")
    many = "256" in term or "direct" in term or colours in ("truecolor", "24bit")
    many = many or sys.platform == "win32"
    return "sunlight" if many and not environ.get("NO_COLOR") else "mono"
