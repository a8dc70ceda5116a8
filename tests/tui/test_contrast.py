"""Every text of every screen, in every theme, reaches a contrast of 7 to 1; no colour is needed.

The glass of the car is a drawing, never a text, and is left out.

Relative luminance and contrast ratio are those of the W3C Web Content Accessibility Guidelines
2.1, section "Terms": definitions of relative luminance and of contrast ratio (from memory).
"""

from collections.abc import Iterator

import pytest
from drive import Rig, at_the_screen
from rich.color import Color
from rich.style import Style
from roads import BY_NAME, PICTURED, ROADS, Road

from tests.support.sample import by_name, sampled

ENOUGH = 7.0
GLASS = (0x87, 0x87, 0x87)


def luminance(colour: tuple[int, int, int]) -> float:
    """Return the relative luminance, 0 for black to 1 for white."""
    linear = []
    for part in colour:
        share = part / 255
        linear.append(share / 12.92 if share <= 0.03928 else ((share + 0.055) / 1.055) ** 2.4)
    red, green, blue = linear
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Return the contrast ratio, 1 to 21."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_itself() -> None:
    white, black = (255, 255, 255), (0, 0, 0)
    assert contrast(black, white) == pytest.approx(21.0, abs=1e-9)
    assert contrast(white, black) == contrast(black, white)
    assert contrast(white, white) == 1.0
    assert contrast((0x76, 0x76, 0x76), white) == pytest.approx(4.54, abs=0.005)


def rgb(colour: Color | None) -> tuple[int, int, int]:
    assert colour is not None, "a text without a colour of its own"
    red, green, blue = colour.get_truecolor()
    return red, green, blue


def seen(style: Style) -> float:
    """Return the contrast of a style as a terminal draws it."""
    assert not style.dim, "dim texts differ from terminal to terminal"
    assert not style.blink
    front, back = rgb(style.color), rgb(style.bgcolor)
    return contrast(front, back)


def drawn(rig: Rig) -> Iterator[tuple[str, Style]]:
    """Yield what is drawn, blanks left out, each with its style."""
    for strip in rig.app.screen._compositor.render_strips():
        for segment in strip:
            if segment.text.strip():
                assert segment.style is not None
                yield segment.text, segment.style


def is_glass(text: str, style: Style) -> bool:
    """Tell whether something is the glass of the drawn car."""
    return set(text) <= set("▄▀█") and rgb(style.color) == GLASS


def colours(rig: Rig) -> set[tuple[int, int, int]]:
    """Return the colours of the texts, each of which has to be readable."""
    found = set()
    for text, style in drawn(rig):
        if not is_glass(text, style):
            assert seen(style) >= ENOUGH, (text, style)
            found |= {rgb(style.color), rgb(style.bgcolor)}
    return found


def palette(rig: Rig) -> set[tuple[int, int, int]]:
    """Return the colours of the theme: paper, ink, and one for each role."""
    theme = rig.app.current_theme
    named = [theme.foreground, theme.background, *theme.variables.values()]
    return {rgb(Color.parse(one)) for one in named if one and one.startswith("#")}


async def can_be_read(rig: Rig) -> None:
    """Look at what is drawn in the other themes and then in its own."""
    own = rig.app.theme
    texts, found = {}, {}
    for theme in [one for one in ("sunlight", "night", "mono") if one != own] + [own]:
        rig.app.theme = theme
        await rig.pilot.pause()
        found[theme], texts[theme] = colours(rig), rig.text
        assert found[theme] <= palette(rig), "a colour that is none of the theme's roles"
    assert found["night"] != found["sunlight"], "the theme did not change"
    assert found["mono"] == {(0, 0, 0), (255, 255, 255)}
    assert len(set(texts.values())) == 1, "a colour says what no word or shape says"


NOT_PICTURED = [(road,) for road in ROADS if road.name not in PICTURED]


@pytest.mark.parametrize(
    "road", [Road("too small"), BY_NAME["prompt"], *sampled(NOT_PICTURED, 3)], ids=by_name
)
async def test_every_text_can_be_read_in_the_sun(road: Road) -> None:
    """Of every screen that has no picture; with a picture, the picture's test looks at it."""
    size = (40, 12) if road.name == "too small" else (80, 24)
    async with at_the_screen(road.desk(), size=size) as rig:
        await rig.keys(*road.press, *(["down"] if road.name == "prompt" else []))
        await can_be_read(rig)
