"""Where a terminal has neither boxes nor blocks, all screens are ASCII and no cell moves."""

import pytest
from drive import at_the_screen
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from roads import ROADS, Road

from tests.support.sample import by_name, sampled
from tui.plain_letters import needs_plain_letters, plain
from tui.theme import theme_here


@given(st.text(st.characters(exclude_categories=("Cs", "Cc", "Mn", "Me", "Cf"))))
def test_a_plain_text_is_ascii_and_as_wide(text: str) -> None:
    found = plain(text)
    assert found.isascii()
    assert cell_len(found) == cell_len(text)


def test_letters_with_accents_lose_them() -> None:
    assert plain("Gruß aus Köln → ■") == "Gru? aus Koln > #"


@pytest.mark.long
@pytest.mark.parametrize("road", sampled([(road,) for road in ROADS], 5), ids=by_name)
async def test_every_screen_is_ascii_there(road: Road, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = road.desk()
    async with at_the_screen(desk) as rig:
        await rig.keys(*road.press)
        drawn = rig.text
    monkeypatch.setenv("TERM", "linux")
    async with at_the_screen(desk) as rig:
        await rig.keys(*road.press)
        assert rig.text.isascii()
        rows, others = rig.rows, drawn.splitlines()
        assert [cell_len(row) for row in rows] == [cell_len(row) for row in others]


@pytest.mark.parametrize(
    ("environ", "theme", "ascii_alone"),
    [
        ({"TERM": "xterm-256color"}, "sunlight", False),
        ({"TERM": "xterm", "COLORTERM": "truecolor"}, "sunlight", False),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, "mono", False),
        ({"TERM": "xterm"}, "mono", False),
        ({"TERM": "linux"}, "mono", True),
        ({"TERM": "dumb"}, "mono", True),
    ],
    ids=str,
)
def test_what_a_terminal_can_show(
    environ: dict[str, str], theme: str, ascii_alone: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    assert theme_here(environ) == theme
    assert needs_plain_letters(environ) == ascii_alone
