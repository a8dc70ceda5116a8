"""Words that could hurt a terminal or a screen: shown harmless, stored as typed."""

import unicodedata
from pathlib import Path

import pytest
from drive import Rig, at_the_screen, make_desk
from rich.cells import cell_len
from rich.text import Text
from textual.events import Paste
from textual.widgets import Static

from profiles.logfile import LogError
from rules.book import shipped
from rules.log.events.car import BaselineDeclared, Recounted
from tui.desk import Desk
from tui.screens.reading import ReadingScreen
from tui.visible import visible

HOSTILE = {
    "square brackets": "[/] [bold]tyre [cold] [@click=app.quit]x[/]",
    "an unclosed bracket": "[/",
    "ANSI escapes": "\x1b[31mred\x1b[0m \x1b]0;title\x07 \x9b2J",
    "newlines and tabs": "one\ntwo\r\nthree\tfour",
    "10,000 characters": "abcdefghi " * 999 + "0123456789",
    "right to left": "\u202eslick \u05d0\u05d1\u05d2 \u0627\u0644",
    "wide characters": "\u8f66\u8d70\u5f97\u5feb" * 20,
    "marks and joiners": "e\u0301\u0301\u0301 a\u200db \ufeff",
}
STEERING = ("ANSI escapes", "10,000 characters", "square brackets")
ON_A_SCREEN = [
    pytest.param(text, id=name, marks=[] if name in STEERING else pytest.mark.sweep)
    for name, text in HOSTILE.items()
]


def harmless(text: str) -> bool:
    """Tell whether nothing in the text can steer a terminal."""
    return all(unicodedata.category(char) not in ("Cc", "Cf") for char in text if char != "\n")


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_shown_on_one_line_within_its_cells(text: str) -> None:
    assert harmless(visible(text))
    assert "\n" not in visible(text)
    assert cell_len(visible(text, 28)) <= 28


@pytest.mark.long
@pytest.mark.parametrize("text", ON_A_SCREEN)
async def test_in_a_note_and_a_meeting_name(text: str) -> None:
    desk = make_desk(meeting="")
    desk.answer("meeting", text)
    desk.answer("session", "test")
    async with at_the_screen(desk) as rig:
        assert rig.state.meeting is not None
        assert rig.state.meeting.name == text.strip()
        desk.act(_note(text))
        assert rig.state.notes[-1].text == text
        check_screen(rig)
        await rig.keys("l")
        check_screen(rig)
        await rig.keys("escape", "k")
        check_screen(rig)


@pytest.mark.long
@pytest.mark.parametrize("text", ON_A_SCREEN)
async def test_in_the_name_of_a_baseline(text: str) -> None:
    desk = make_desk()
    name = text[:60]
    desk.record([Recounted(adjuster="left rear rebound", found=7)])
    desk.record([BaselineDeclared(baseline="b", name=name, settings={"left rear rebound": 9})])
    async with at_the_screen(desk) as rig:
        await rig.keys("p")
        check_screen(rig)
        await rig.choose("baseline")
        check_screen(rig)
        await rig.choose("done")
        await rig.keys("l")
        check_screen(rig)
        await rig.keys("escape", "k")
        check_screen(rig)


@pytest.mark.parametrize("text", [HOSTILE["ANSI escapes"], "\x1b]52;c;aGFybQ==\x07\u202e\x7f"])
async def test_a_widget_that_forgot_paints_nothing_raw(rig: Rig, text: str) -> None:
    """What a widget is given raw, and every page of its own, is looked at once more."""
    rig.app.screen.query_one("#message", Static).update(Text(f"raw {text} end"))
    rig.app.push_screen(ReadingScreen(f"title {text}", [f"line {text}"]))
    await rig.pilot.pause()
    check_screen(rig)
    assert "line" in rig.said
    rig.app.pop_screen()
    await rig.pilot.pause()
    check_screen(rig)
    assert "raw" in rig.said


def check_screen(rig: Rig) -> None:
    """Nothing on the screen steers the terminal or runs over its edge."""
    assert harmless(rig.text)
    assert all(cell_len(row) <= 80 for row in rig.rows)
    assert len(rig.rows) <= 24


async def test_a_pasted_note_keeps_all_its_lines(rig: Rig) -> None:
    await rig.keys("n")
    rig.app.screen.focused.post_message(Paste("left\nright\r\n[both]"))  # type: ignore[union-attr]
    await rig.pilot.pause()
    await rig.keys("enter")
    assert rig.state.notes[-1].text == "left right [both]"


async def test_10_000_characters_are_typed_and_kept(rig: Rig) -> None:
    text = HOSTILE["10,000 characters"]
    await rig.keys("n")
    rig.app.screen.focused.post_message(Paste(text))  # type: ignore[union-attr]
    await rig.pilot.pause()
    await rig.keys("enter")
    assert rig.state.notes[-1].text == text
    check_screen(rig)


async def test_another_program_added_to_the_log(log_path: Path) -> None:
    async with at_the_screen(make_desk(log_path)) as rig:
        await rig.choose("front-drops-hard")
        other = make_desk(log_path, first_id=5000)
        other.answer("symptoms", ("spins-at-hit",))
        other.log.close()
        await rig.keys("enter")
        assert "another window answered for this car" in rig.said
        assert "what else changed since the settings were noted?" in rig.said
        assert len(rig.state.runs) == 1
        await rig.keys("enter")
        assert rig.state.runs[0].answers["what-else"] == ("nothing",)
        kept = rig.desk.log.events()
        rig.desk.log.close()
    assert make_desk(log_path, first_id=9000).log.events() == kept


async def test_a_form_survives_a_log_that_moved(log_path: Path) -> None:
    async with at_the_screen(make_desk(log_path)) as rig:
        await rig.keys("n")
        other = make_desk(log_path, first_id=5000)
        other.act(_note("from the other one"))
        other.log.close()
        await rig.type("from this one")
        assert "another window answered for this car" in rig.said
        assert "from this one" in rig.said
        await rig.keys("enter")
        assert [note.text for note in rig.state.notes] == ["from the other one", "from this one"]
        rig.desk.log.close()


async def test_a_disk_that_fails_is_said_and_the_question_stays(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise LogError("log.sqlite3: the disk is full; nothing was written")

    await rig.choose("front-drops-hard")
    with monkeypatch.context() as broken:
        broken.setattr(rig.desk.log, "append", full)
        await rig.keys("enter")
        assert "the disk is full; nothing was written" in rig.message
        assert "■ Front drops hard" in rig.said
        await rig.keys("n")
        await rig.type("Not kept")
        assert "the disk is full" in rig.said
        await rig.keys("escape")
    assert rig.events() == []
    await rig.keys("enter")
    assert rig.state.runs[-1].answers["symptoms"] == ("front-drops-hard",)


def test_a_resumed_desk_knows_it(log_path: Path) -> None:
    first = make_desk(log_path)
    assert not first.resumed
    first.log.close()
    assert make_desk(log_path, first_id=100).resumed
    assert isinstance(first, Desk)
    assert shipped().digest == first.book.digest


def _note(text: str):  # type: ignore[no-untyped-def]
    from rules.crew.actions import AddNote

    return AddNote(text=text)
