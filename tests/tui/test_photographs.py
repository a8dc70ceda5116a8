"""Photographs of a fitting: named once, kept, told in the history, missed in one sentence."""

from pathlib import Path

import pytest
from drive import at_the_screen, make_desk

from rules.crew.sheets.fitting import FITTING, PHOTOS
from rules.crew.sheets.rounds import answered, closed, filling, open_field
from tests.support.crew import invented_car
from tui.desk import Desk
from tui.pages.log import log_page
from tui.pages.log_pages import log_rows
from tui.photographs import missing_words, names_in, shown


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("a.jpg", ["a.jpg"]),
        (" a.jpg, 'b 2.jpg' ;a.jpg,", ["a.jpg", "b 2.jpg"]),
        ("", []),
    ],
)
def test_names_are_read_as_typed_or_dropped_in(typed: str, names: list[str]) -> None:
    assert names_in(typed) == names


def test_a_missing_file_is_one_sentence_and_no_fault(tmp_path: Path) -> None:
    there = tmp_path / "there.jpg"
    there.touch()
    typed = f"{there}, gone.jpg"
    assert missing_words(str(there)) == ""
    assert missing_words(typed) == "No such file here: gone.jpg. Its name is kept all the same."
    assert shown(typed).endswith("gone.jpg (no such file here)")


def to_photographs(desk: Desk) -> None:
    """Answer the steps of a fitting up to its photographs, each as if nobody knew."""
    while (one := open_field(FITTING, filling(FITTING, desk.state))) is not None:
        if one.key == PHOTOS:
            return
        value = ("left front",) if one.kind == "many" else "unknown"
        desk.record(answered(FITTING, desk.state, one.key, "done" if not one.unknown and
                             one.kind == "one" else value))  # fmt: skip


async def test_the_screen_says_what_is_missing_and_the_history_tells_the_names() -> None:
    desk = make_desk(car=invented_car(), meeting="Invented")
    to_photographs(desk)
    async with at_the_screen(desk) as rig:
        await rig.keys("j")
        await rig.choose("fitting")
        await rig.type("gone.jpg")
        assert "No such file here: gone.jpg. Its name is kept all the same." in rig.said
    while (one := open_field(FITTING, filling(FITTING, desk.state))) is not None:
        desk.record(answered(FITTING, desk.state, one.key, one.choices[0].id))
    desk.record(closed(FITTING, desk.state, desk.names))
    assert "photographs: gone.jpg (no such file here)" in " ".join(" ".join(log_page(desk)).split())
    assert any("photographs: gone.jpg" in row.what for row in log_rows(desk))
