"""The log on the screen: whatever is in it is found by a word of it, and opened whole."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from drive import Rig, at_the_screen, make_desk
from roads import timed_day, with_a_log
from textual.widgets import DataTable, Input

from rules.crew.actions import ACTION
from rules.log.state import State
from tui.desk import Desk
from tui.pages.log_pages import OneSection, log_rows, pages
from tui.pages.log_rows import LogRow, found
from tui.screens.log import WINDOW, LogScreen


def table(rig: Rig) -> DataTable[object]:
    return rig.app.screen.query_one(DataTable)


def marked(rig: Rig) -> LogRow:
    screen = rig.app.screen
    assert isinstance(screen, LogScreen)
    assert screen.row is not None
    return screen.row


@pytest.fixture
def noted() -> Desk:
    desk = make_desk()
    with_a_log(desk)
    return desk


async def test_each_pass_change_and_note_has_a_row_the_newest_first(noted: Desk) -> None:
    async with at_the_screen(noted) as rig:
        await rig.keys("l")
        kinds = [row.kind for row in rig.app.screen.shown]  # type: ignore[attr-defined]
        assert [one for one in kinds if one != "record"] == ["note", "pass", "change", "pass"]
        assert table(rig).row_count == len(kinds)
        assert "front extension 8 → 11, both" in rig.text
        assert rig.events() == []


async def test_a_letter_filters_at_once_and_the_hits_are_counted(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l", "slash", *"spin")
        assert table(rig).row_count == 2
        assert "2 of 10 lines" in rig.text
        assert rig.app.screen.query_one(Input).value == "spin"
        underlined = "".join(
            segment.text
            for strip in rig.app.screen._compositor.render_strips()
            for segment in strip
            if segment.style and segment.style.underline and "spin" in segment.text
        )
        assert underlined == "spinspin"


async def test_letters_that_are_keys_are_words_while_they_are_typed(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l", "slash", *"nocw")
        assert rig.app.screen.query_one(Input).value == "nocw"
        assert "correct" not in rig.rows[-1]
        assert "Esc" in rig.rows[-1]
        await rig.keys("escape")
        assert table(rig).has_focus
        assert "10 of 10 lines" in rig.text
        await rig.keys("escape")
        assert "Make it: show the work order" in rig.text


async def test_enter_opens_all_that_is_known_of_a_pass(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l", "slash", *"pass 2", "enter")
        assert marked(rig).number == "2"
        await rig.keys("enter")
        assert rig.rows[0].startswith(" Pass 2")
        assert "60 ft 1.440 s" in rig.text
        assert "against the baseline Car file: all at it" in rig.text
        await rig.keys("escape", "escape")
        assert "Make it: show the work order" in rig.text


async def test_below_the_table_stands_what_is_known_of_the_marked_row(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l")
        assert "PASS 5" in rig.text
        assert "density altitude" in rig.text
        await rig.keys("down")
        assert "CHANGE" in rig.text
        await rig.keys(*["down"] * 2)
        assert "not counted: lifted" in rig.text


async def test_sorting_by_a_key_and_by_a_heading(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("l", "o")
        assert [row.number for row in rig.app.screen.shown] == ["5", "4", "3", "2", "1"]  # type: ignore[attr-defined]
        await rig.pilot.click("#rows", offset=(20, 0))
        times = [row.sixty for row in rig.app.screen.shown if row.sixty]  # type: ignore[attr-defined]
        assert times == sorted(times)
        assert "60-ft▾" in rig.text


@pytest.mark.parametrize(("key", "asks"), [("n", "Note"), ("c", "correct")])
async def test_the_log_is_added_to_from_itself(noted: Desk, key: str, asks: str) -> None:
    async with at_the_screen(noted) as rig:
        await rig.keys("l", key)
        assert not isinstance(rig.app.screen, LogScreen)
        assert asks.lower() in rig.text.lower()


async def test_a_note_typed_as_markup_stands_as_typed(noted: Desk) -> None:
    async with at_the_screen(noted) as rig:
        await rig.keys("l", "slash", *"gusts")
        assert "“Wind from the left [gusts]”" in rig.text


def plain_rows(many: int) -> list[LogRow]:
    start = State().now or make_desk().clock()
    return [
        LogRow(str(at), "note", "", start + timedelta(minutes=at), "", f"note {at}", place=at)
        for at in range(many)
    ]


def test_no_more_than_a_window_is_asked_for() -> None:
    every = plain_rows(1000)
    first = found(every, slice(0, WINDOW))
    assert (len(first.rows), first.hits, first.total) == (WINDOW, 1000, 1000)
    assert first.rows[0].what == "note 999"
    assert [row.what for row in found(every, slice(0, 2), "note 77").rows] == [
        "note 779",
        "note 778",
    ]


def one_page(desk: Desk) -> Iterator[OneSection]:
    yield OneSection(plain_rows(WINDOW + 5), more=False)


async def test_the_next_window_comes_with_the_last_row(rig: Rig, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr("tui.screens.log.pages", one_page)
    await rig.keys("l")
    assert table(rig).row_count == WINDOW
    table(rig).move_cursor(row=WINDOW - 1)
    await rig.pilot.pause()
    assert table(rig).row_count == WINDOW + 5


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (132, 40)])
async def test_no_row_is_cut(size: tuple[int, int]) -> None:
    desk = make_desk()
    timed_day(desk)
    words = "the wind came from the left and the flags said 12 to 15 mph all through the pass"
    desk.act(ACTION.validate_python({"action": "note", "text": words}))
    async with at_the_screen(desk, size=size) as rig:
        await rig.keys("l")
        assert max(map(len, rig.rows)) <= size[0]
        table_text = "".join(row[: size[0] * 7 // 12] if size[0] > 110 else row for row in rig.rows)
        for word in words.split():
            assert word in table_text
        assert "Esc" in rig.rows[-1]


def test_what_was_struck_out_and_taken_back_is_still_there(desk: Desk) -> None:
    desk.act(ACTION.validate_python({"action": "note", "text": "said too soon"}))
    desk.answer("symptoms", ("front-drops-hard",))
    desk.act(ACTION.validate_python({"action": "slip", "sixty": 1.432}))
    for _ in range(3):
        desk.back()
    assert desk.state.runs == ()
    told = [row.what for row in log_rows(desk)]
    assert any("slip of a pass struck out: 60 ft 1.432 s" in one for one in told)
    assert "“said too soon”" in told


async def test_older_rows_are_read_behind_the_first_ones(
    noted: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.screens.log.pages", lambda desk: pages(desk, 2, 2))
    every = log_rows(noted)
    async with at_the_screen(noted) as rig:
        await rig.keys("l")
        screen = rig.app.screen
        assert isinstance(screen, LogScreen)
        while screen.reading:
            await rig.pilot.pause(0.02)
        assert screen.every == every
        assert screen.shown == every[::-1]
        assert f"{len(every)} of {len(every)} lines" in rig.text
        assert "so far" not in rig.text


async def test_words_that_only_an_old_row_has_are_found_once_it_is_read(
    noted: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.screens.log.pages", lambda desk: pages(desk, 2, 2))
    monkeypatch.setattr("tui.screens.log.READ_AGAIN_S", 0.2)
    async with at_the_screen(noted) as rig:
        await rig.keys("l", "slash", *"read")
        screen = rig.app.screen
        assert isinstance(screen, LogScreen)
        while screen.reading:
            await rig.pilot.pause(0.02)
        assert [row.what for row in screen.shown] == ["car file read Invented door car"]
