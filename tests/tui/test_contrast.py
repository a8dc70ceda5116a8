"""Every text of every screen, in both themes, reaches a contrast of 7 to 1.

Relative luminance and contrast ratio are those of the W3C Web Content Accessibility Guidelines
2.1, section "Terms": definitions of relative luminance and of contrast ratio (from memory).
"""

import pytest
from drive import Rig, at_the_screen
from rich.color import Color
from rich.style import Style
from roads import ROADS, Road

ENOUGH = 7.0


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


def colours(rig: Rig) -> set[tuple[int, int, int]]:
    """Return the colours of the texts, each of which has to be readable."""
    found = set()
    for strip in rig.app.screen._compositor.render_strips():
        for segment in strip:
            if segment.text.strip():
                assert segment.style is not None
                assert seen(segment.style) >= ENOUGH, segment
                found |= {rgb(segment.style.color), rgb(segment.style.bgcolor)}
    return found


@pytest.mark.parametrize("road", [*ROADS, Road("too small")], ids=lambda road: road.name)
async def test_every_text_can_be_read_in_the_sun(road: Road) -> None:
    """A screen is drawn once, and looked at in the one theme and then in the other."""
    size = (40, 12) if road.name == "too small" else (80, 24)
    drawn = {}
    async with at_the_screen(road.desk(), theme="sunlight", size=size) as rig:
        await rig.keys(*road.press, *(["down"] if road.name == "prompt" else []))
        for theme in ("sunlight", "night"):
            rig.app.theme = theme
            await rig.pilot.pause()
            drawn[theme] = colours(rig)
            assert len(drawn[theme]) == 2, "meaning is in words, never in a colour"
    assert drawn["sunlight"] != drawn["night"], "the theme did not change"
