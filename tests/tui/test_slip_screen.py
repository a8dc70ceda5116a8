"""A time slip at the keys: how many they are, what is stored, what is asked back."""

from pathlib import Path

import pytest
from drive import METRIC, Rig, at_the_screen, make_desk, to_advice, to_verdict, to_work_order
from textual.events import Key
from textual.pilot import Pilot

from rules.crew.actions import ACTION
from rules.log.events.passes import PassRun, SlipNoted
from rules.passes.slip import Slip
from tui.commands.consult import as_json

WHOLE = ("0512", "1432", "4213", "6512", "10456", "8521", "10234", "13245")
KEYS_ALLOWED = 40


def slips(rig: Rig) -> list[SlipNoted]:
    return [body for body in rig.events() if isinstance(body, SlipNoted)]


async def test_a_whole_slip_takes_at_most_forty_keys(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    await rig.mark("spins-at-hit")
    pressed: list[str] = []
    press = Pilot.press

    async def counted(pilot: Pilot[None], *keys: str) -> None:
        pressed.extend(keys)
        await press(pilot, *keys)

    monkeypatch.setattr(Pilot, "press", counted)
    await rig.keys("s", "enter", *"".join(WHOLE), "enter")
    assert rig.message == "Recorded: the slip of pass 1."
    assert len(pressed) == 38 <= KEYS_ALLOWED
    (noted,) = slips(rig)
    assert noted.slip == Slip(
        reaction_s=0.512,
        sixty_s=1.432,
        three_thirty_s=4.213,
        eighth_s=6.512,
        eighth_speed_m_s=pytest.approx(104.56 * 0.44704),
        thousand_s=8.521,
        quarter_s=10.234,
        quarter_speed_m_s=pytest.approx(132.45 * 0.44704),
    )
    assert rig.state.runs[-1].slip == noted.slip


async def test_a_slipped_decimal_is_asked_before_anything_is_stored(rig: Rig) -> None:
    await rig.mark("spins-at-hit")
    rig.events()
    await rig.keys("s", "enter", "enter", *"11.4", "enter")
    assert "60 ft 11.400 looks like a slipped decimal. t: it is 1.140" in rig.said
    assert rig.events() == []
    await rig.keys("T", *["enter"] * 6, "enter")
    assert slips(rig)[0].slip == Slip(sixty_s=1.14)


async def test_digits_on_their_way_answer_no_question_and_go_on(rig: Rig) -> None:
    await rig.keys("s", "enter", "enter", *"0143", *"1212")
    assert "60 ft 0.143 looks like a slipped decimal. t: it is 1.430" in rig.said
    assert "0.143 s ?" in rig.said
    assert "1.212" in rig.said
    await rig.keys("t")
    assert "1.430" in rig.said
    assert "looks like" not in rig.said


async def test_a_letter_answers_amid_a_number_and_the_digits_go_on(rig: Rig) -> None:
    await rig.keys("s", "enter", "enter", *"0143", *"42", "t", *"13")
    assert "1.430" in rig.said
    assert "4.213" in rig.said
    await rig.keys(*["enter"] * 6)
    assert slips(rig)[0].slip == Slip(sixty_s=1.43, three_thirty_s=4.213)


async def test_a_burst_of_keys_lands_where_it_was_typed(rig: Rig) -> None:
    """Keys that wait in one queue go each to its own question, blanks and a way back among them."""
    await rig.keys("s", "enter")
    asker = rig.app.screen.query_one("Asker")
    burst = (
        *"0512",
        "enter",
        *"4213",
        "up",
        "backspace",
        "4",
        "enter",
        "1",
        "backspace",
        "up",
        *"6512",
    )
    for key in burst:
        asker.post_message(Key(key, key if len(key) == 1 else None))
    await rig.pilot.pause()
    await rig.keys(*["enter"] * 4, "r")
    (noted,) = slips(rig)
    assert noted.slip == Slip(reaction_s=0.512, three_thirty_s=4.214, eighth_s=6.512)


async def test_what_waits_at_the_end_is_a_question_of_its_own(rig: Rig) -> None:
    await rig.keys("s", "enter", *["enter"] * 3, *"4101", *["enter"] * 2, *"4100")
    await rig.keys("enter", "enter")
    assert "Quarter 4.100 is not after eighth 4.101" in rig.said
    rig.events()
    await rig.keys(*"123456789")
    assert rig.message == "A digit answers nothing here: a letter does."
    assert rig.events() == []
    await rig.keys("a")
    assert "Time slip of the pass just run: Quarter" in rig.said
    await rig.keys("6")
    assert "0.006" in rig.said


async def test_back_from_the_first_field_asks_whose_again_and_keeps_what_is_typed(rig: Rig) -> None:
    await rig.keys("s", "enter", *"0512", *"14", "up", "up")
    assert "Whose slip is it?" in rig.said
    assert rig.message == "What was typed waits."
    await rig.keys("enter")
    assert rig.message == "Picked up where it was left."
    assert "0.512" in rig.said
    assert "0.014" in rig.said


async def test_s_always_asks_the_same_thing_first(rig: Rig) -> None:
    """With no pass, with one talked about, and after it: whose slip it is, and never by a digit."""
    for symptom in ((), ("spins-at-hit",)):
        if symptom:
            await rig.mark(*symptom)
        rig.events()
        await rig.keys("s")
        assert "Whose slip is it?" in rig.said
        await rig.keys(*"1432")
        assert "A digit answers nothing here: a letter does." in rig.said
        assert "Whose slip is it?" in rig.said
        await rig.keys("enter")
        assert " Time slip of " in rig.said
        await rig.keys("escape")
        assert rig.events() == []


async def test_a_bouncing_digit_is_typed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    seconds = [1000.0]
    monkeypatch.setattr("tui.widgets.pace.monotonic", lambda: seconds[0])
    desk = make_desk()
    desk.answer("symptoms", ("spins-at-hit",))
    async with at_the_screen(desk, settle_s=0.25) as rig:
        for key in ("s", "enter"):
            seconds[0] += 1
            await rig.keys(key)
        seconds[0] += 1
        await rig.keys("4", "4", "3", "2")
        assert "0.432" in rig.said


async def test_marks_lane_and_dial_in(rig: Rig) -> None:
    await rig.mark("spins-at-hit")
    await rig.keys(
        "s", "enter", "enter", *"1432", *["enter"] * 6, "1", "4", "6", "7", *"1025", "enter"
    )
    (noted,) = slips(rig)
    assert noted.slip == Slip(
        sixty_s=1.432, dial_in_s=10.25, lane="right", marks=frozenset({"lifted", "red light"})
    )
    assert rig.state.runs[-1].lane == "right"
    await rig.keys("a")
    assert rig.app.screen.query_one("Asker").cursor == 1  # type: ignore[attr-defined]


async def test_a_pass_that_is_not_in_the_log_begins_with_its_slip(rig: Rig) -> None:
    await rig.keys("s", "enter", "enter", *"1432", *["enter"] * 7)
    assert rig.kinds() == ["pass-run", "slip-noted"]
    assert "what did the car do?" in rig.said
    await rig.mark("spins-at-hit")
    assert len(rig.state.runs) == 1
    assert rig.state.runs[0].sixty_s == 1.432


async def test_the_pass_with_a_change_begins_with_its_slip(rig: Rig) -> None:
    await to_advice(rig, "front-drops-hard", stand="big", front_travel="short-harsh")
    await rig.choose("make")
    while rig.desk.prompt.id.startswith("turn:"):
        await rig.choose("done")
    change = rig.state.changes[-1].id
    rig.events()
    await rig.keys("s")
    assert "Whose slip is it?" in rig.said
    await rig.keys("n", "enter", *"1432", *["enter"] * 7)
    run, slip = rig.events()
    assert isinstance(run, PassRun)
    assert isinstance(slip, SlipNoted)
    assert (run.change, slip.run) == (change, run.run)
    assert "Pass 2: what else changed" in rig.said


async def test_a_late_slip_goes_to_the_last_pass(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.keys("s", "enter")
    assert "Time slip of pass 1" in rig.said
    await rig.keys("enter", *"1432", *["enter"] * 7)
    assert rig.state.runs[0].sixty_s == 1.432


async def test_with_a_slip_the_sixty_foot_is_not_asked_again(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.keys("s", "enter", "enter", *"1432", *["enter"] * 7)
    await rig.choose("better")
    assert rig.desk.prompt.id not in ("sixty-foot", "verdict")


async def test_an_edit_is_a_correcting_event(rig: Rig) -> None:
    await rig.mark("spins-at-hit")
    await rig.keys("s", "enter", "enter", *"1432", *["enter"] * 7)
    await rig.keys("c")
    await rig.choose("1")
    await rig.choose("slip")
    assert "1.432" in rig.said
    await rig.keys("enter", *"1423", *["enter"] * 7)
    assert rig.message == "Recorded: the slip of pass 1."
    first, second = slips(rig)
    assert (first.slip.sixty_s, second.slip.sixty_s) == (1.432, 1.423)
    assert rig.state.runs[0].sixty_s == 1.423


async def test_what_was_typed_waits_until_the_program_ends(rig: Rig) -> None:
    await rig.mark("spins-at-hit")
    rig.events()
    await rig.keys("s", "enter", *"0512", *"1432", "4", "escape")
    assert rig.message == "Nothing was recorded; what was typed waits at s."
    assert rig.events() == []
    await rig.keys("s", "enter")
    assert "1.432" in rig.said
    await rig.keys(*"213", *["enter"] * 6)
    assert slips(rig)[0].slip == Slip(reaction_s=0.512, sixty_s=1.432, three_thirty_s=4.213)
    assert rig.desk.drafts == {}


async def test_nothing_typed_is_not_recorded(rig: Rig) -> None:
    await rig.mark("spins-at-hit")
    rig.events()
    await rig.keys("s", "enter", *["enter"] * 9)
    assert "nothing was typed" in rig.message
    await rig.keys("escape")
    assert rig.message == ""
    assert rig.events() == []


async def test_before_the_meeting_is_named_there_is_no_pass() -> None:
    async with at_the_screen(make_desk(session="")) as rig:
        await rig.keys("s")
        assert "There is no pass to note a slip of yet." in rig.said
        await rig.keys("5", "enter", "escape")
        assert rig.events() == []


async def test_metric_speeds() -> None:
    async with at_the_screen(make_desk(car=METRIC)) as rig:
        await rig.keys("s", "enter", "enter", *"1432", "enter", *"6512", *"16827", *["enter"] * 4)
        assert rig.state.runs[-1].slip is not None
        assert rig.state.runs[-1].slip.eighth_speed_m_s == pytest.approx(168.27 / 3.6)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_sheet_stands_whole(size: tuple[int, int]) -> None:
    async with at_the_screen(make_desk(), size=size) as rig:
        await rig.keys("s", "enter", "enter", *"11.4", "enter")
        for part in ("Reaction", "Quarter speed", "Dial-in", "Backspace: again.", "Esc leave"):
            assert part in rig.said
        assert str(rig.app.screen.query_one("#sheet").render()).isascii()


async def test_strange_keys_do_nothing(rig: Rig) -> None:
    await rig.keys("s", "z", "X", "tab", "left", "f5", "/", "-", ".", ".", "space")
    assert rig.events() == []
    await rig.keys("escape")
    assert "what did the car do?" in rig.said


async def test_a_log_keeps_the_slip_over_a_restart(log_path: Path) -> None:
    async with at_the_screen(make_desk(log_path)) as rig:
        await rig.keys("s", "enter", "enter", *"1432", *["enter"] * 6, "3", "enter")
        before = rig.state.runs[-1].slip
        rig.desk.log.close()
    desk = make_desk(log_path, first_id=1000)
    assert desk.state.runs[-1].slip == before
    assert before == Slip(sixty_s=1.432, marks=frozenset({"spun"}))
    desk.act(ACTION.validate_python({"action": "slip", "sixty": 1.44}))
    assert '"sixty_s": 1.44' in as_json(desk, [])
