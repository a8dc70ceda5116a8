"""Keys, pages, settling and sizes of the screen; nothing of it costs an answer."""

from pathlib import Path

import pytest
from drive import (
    METRIC,
    Rig,
    at_the_screen,
    make_desk,
    to_advice,
    to_work_order,
)

from rules.car.adjusters import Turn
from rules.log.events.passes import AnswerTakenBack
from tests.support.sample import sampled


async def test_the_dark_theme_and_back(rig: Rig) -> None:
    await rig.keys("d")
    assert rig.app.theme == "night"
    await rig.keys("D")
    assert rig.app.theme == "sunlight"


async def test_dark_and_back_in_black_and_white() -> None:
    async with at_the_screen(make_desk(), theme="mono") as rig:
        await rig.keys("d")
        assert rig.app.theme == "mono-night"
        await rig.keys("d")
        assert rig.app.theme == "mono"


@pytest.mark.parametrize("leave", sampled([("escape",), ("enter",), ("backspace",), ("q",)], 4))
async def test_help_and_out_again(rig: Rig, leave: str) -> None:
    await rig.keys("question_mark")
    assert "We already changed something" in rig.said
    assert "Rulebook, makers and qualified people" in rig.said
    assert "Leave; everything is kept" in rig.said
    await rig.keys(leave)
    assert "what did the car do?" in rig.said
    assert rig.events() == []


async def test_nine_turns_the_pages_round(rig: Rig) -> None:
    first = rig.text
    assert "9 More (page 1 of" in rig.said
    await rig.keys("9")
    assert "9 More (page 2 of" in rig.said
    pages = (len(rig.desk.prompt.choices) + 7) // 8
    await rig.keys(*["9"] * (pages - 1))
    assert rig.text == first


async def test_arrows_mark_across_pages(rig: Rig) -> None:
    await rig.keys(*["down"] * 9)
    assert "page 2 of" in rig.said
    await rig.keys("enter")
    assert "1 ■" in rig.said
    await rig.keys("up", "up")
    assert "page 1 of" in rig.said


async def test_zero_is_dont_know(rig: Rig) -> None:
    await rig.keys("0")
    assert rig.state.runs[-1].answers["symptoms"] == ("unknown",)
    await rig.keys("0")
    assert "WATCH THE NEXT PASS" in rig.said


async def test_zero_where_it_is_no_answer(rig: Rig) -> None:
    await to_work_order(rig)
    rig.events()
    await rig.keys("0", "8", "7")
    assert rig.events() == []


async def test_backspace_opens_the_question_before(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    await rig.keys("enter")
    await rig.choose("big")
    await rig.keys("backspace")
    assert "how high did the front tires get?" in rig.said
    await rig.keys("backspace")
    assert "what else changed" in rig.said
    assert "stand" not in rig.state.runs[-1].answers
    taken_back = [b for b in rig.events() if isinstance(b, AnswerTakenBack)]
    assert [b.prompt for b in taken_back] == ["stand", "what-else"]


async def test_backspace_in_a_form_goes_back_one(rig: Rig) -> None:
    await rig.keys("t")
    await rig.choose("left front rebound")
    await rig.choose("both")
    assert "where does it stand now?" in rig.said
    await rig.keys("backspace")
    assert "Both sides, or one?" in rig.said
    await rig.keys("backspace")
    assert "What did you change?" in rig.said
    await rig.keys("backspace")
    assert "what did the car do?" in rig.said
    assert rig.events() == []


async def test_caps_lock_makes_no_difference(rig: Rig) -> None:
    await rig.keys("N")
    await rig.type("Loud")
    assert rig.state.notes[-1].text == "Loud"
    await rig.keys("K")
    assert "Baseline: Car file. All at it." in rig.said
    await rig.keys("Q")
    assert "what did the car do?" in rig.said


@pytest.fixture
def seconds(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The hand's clock, in its only place; it stands still until a test moves it."""
    now = [1000.0]
    monkeypatch.setattr("tui.widgets.pace.monotonic", lambda: now[0])
    return now


async def test_a_bouncing_enter_answers_one_screen_only(seconds: list[float]) -> None:
    async with at_the_screen(make_desk(meeting=""), settle_s=3600) as rig:
        await rig.keys("enter")
        assert rig.state.meeting is None
        seconds[0] += 3601
        await rig.keys("enter", "enter", "enter", "1", "backspace")
        assert rig.state.meeting is not None
        assert rig.state.session is None
        assert "What is it now?" in rig.said


async def test_a_bouncing_digit_ticks_once(seconds: list[float]) -> None:
    async with at_the_screen(make_desk(), settle_s=0.25) as rig:
        seconds[0] += 1
        await rig.keys("2", "2")
        assert "2 ■" in rig.said
        await rig.keys("3")
        assert "3 ■" in rig.said
        seconds[0] += 1
        await rig.keys("2")
        assert "2 □" in rig.said


@pytest.mark.parametrize("key", sampled([("q",), ("Q",), ("ctrl+c",)], 3))
async def test_quit_keeps_everything(log_path: Path, key: str) -> None:
    async with at_the_screen(make_desk(log_path)) as rig:
        await rig.mark("front-drops-hard")
        await rig.keys(key)
        assert rig.app.return_code == 0
        rig.desk.log.close()
    async with at_the_screen(make_desk(log_path, first_id=10_000)) as rig:
        assert (
            rig.message == "Picked up at: Pass 1: what else changed since the settings were noted?"
        )
        assert rig.state.runs[-1].answers["symptoms"] == ("front-drops-hard",)


async def test_a_window_too_small_keeps_the_state_and_takes_no_answer(rig: Rig) -> None:
    await rig.choose("spins-at-hit")
    await rig.pilot.resize_terminal(40, 12)
    await rig.pilot.pause()
    assert "40x12, too small" in rig.said
    await rig.keys("enter", "1", "0")
    assert rig.events() == []
    await rig.pilot.resize_terminal(80, 24)
    await rig.pilot.pause()
    assert "■ Tires spin at the hit" in rig.said


async def test_a_window_too_small_covers_a_form_too(rig: Rig) -> None:
    await rig.keys("n", "a", "b")
    await rig.pilot.resize_terminal(40, 12)
    await rig.pilot.pause()
    assert "too small" in rig.said
    await rig.keys("c", "enter")
    await rig.pilot.resize_terminal(80, 24)
    await rig.pilot.pause()
    await rig.keys("d", "enter")
    assert rig.state.notes[-1].text == "abd"


async def test_why_and_why_not_the_others(rig: Rig) -> None:
    await rig.keys("w")
    assert "No advice belongs to what is open now." in rig.said
    await rig.keys("escape")
    await to_advice(rig, "front-drops-hard", stand="small", front_travel="at-stop")
    await rig.keys("w")
    assert "Wrong if" in rig.said
    assert rig.state.runs[-1].advice is not None
    assert rig.state.runs[-1].advice.alternatives
    await rig.keys("end")
    assert "The others, and why each was not chosen:" in rig.said


async def test_fractions_of_a_turn_and_a_split() -> None:
    async with at_the_screen(make_desk(car=METRIC)) as rig:
        await rig.keys("t")
        await rig.choose("left front rebound")
        await rig.choose("both")
        await rig.type("1 3/8")
        change = rig.state.changes[-1]
        assert [step.turn for step in change.steps] == [
            Turn(adjuster="left front rebound", before=12, after=11),
            Turn(adjuster="right front rebound", before=14, after=13),
        ]
        await rig.keys("k")
        assert "1 3/8 from full hard" in rig.said
        assert "-1/8 (firmer)" in rig.said


async def test_dont_know_throws_no_mark_away(rig: Rig) -> None:
    await rig.choose("front-drops-hard")
    await rig.keys("0")
    assert rig.message == "Don't know goes alone: take the marks off first."
    await rig.keys("enter")
    assert rig.state.runs[-1].answers["symptoms"] == ("front-drops-hard",)
