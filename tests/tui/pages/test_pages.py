"""The verdict, the air and the day in view: what stands there, at every size; nothing stored."""

import json
from itertools import product

import pytest
from drive import BOOK, Rig, at_the_screen, make_desk
from pydantic import ValidationError
from roads import BY_NAME, MADE, answers, note_air, timed_day, timed_pass

from rules.crew.actions import ACTION
from rules.log.events.changes import ChangeProposed
from rules.question import UNKNOWN, ActionError
from tests.support.sample import sampled
from tui.commands.consult import as_json
from tui.desk import Desk
from tui.drawn.plain_plot import plain_plot
from tui.pages.day import day_lines
from tui.pages.day_drawings import responses, setting_marks
from tui.pages.day_pictures import knob_pictures, sixty_picture
from tui.pages.verdict import verdict_line

PAGES = [
    "verdict",
    "no verdict yet",
    "air",
    "day: 60-foot",
    "day: knobs",
    "day: every pass",
    "day: where the time is",
]


async def test_the_verdict_says_what_to_do_and_why(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("v", "w")
        told = rig.said
        assert "Rear compression, both sides: 3 clicks tighter" in told
        assert "GO FURTHER. Better, and the fault is still there" in told
        assert "Cannot tell:" in told
        assert "Worth having from 0.010 s, the usual: none was declared." in told
        assert "Without 1.431 (pass 1), 1.440 (pass 2), 1.452 (pass 4)" in told
        assert "With 1.418 (pass 5)" in told
        assert "A-A-A-B." in told
        assert "A next makes A-B-A" in told
        assert "1.61" not in told, "a lifted pass never counts"
        assert "p-value" not in told
        assert rig.events() == []
        await rig.keys("escape", "escape")
        assert "Make it: show the work order" in rig.said


async def test_orders_are_offered_where_the_minutes_allow(timed: Desk) -> None:
    timed.act(ACTION.validate_python({"action": "minutes to call", "minutes": 30}))
    async with at_the_screen(timed) as rig:
        await rig.keys("v", "w")
        told = rig.said
        assert "A next makes A-B-A" in told
        assert "A-B-B-A" not in told


async def test_a_declared_gain_holds_for_the_changes_after_it(rig: Rig) -> None:
    await rig.keys("y")
    assert "Smallest gain of the 60-foot that is worth a change" in rig.said
    await rig.type("9")
    assert "wanted 0.003 to 0.2 s" in rig.message
    await rig.keys("backspace")
    await rig.type("0.015")
    assert rig.state.worth_s == 0.015
    desk = rig.desk
    timed_day(desk)
    assert desk.state.changes[-1].worth_s == 0.015
    rig.app.screen.draw()  # type: ignore[attr-defined]
    await rig.keys("v", "w")
    assert "Worth having from 0.015 s, declared before it." in rig.said


async def test_before_the_pass_the_screen_says_what_counts(rig: Rig) -> None:
    answers(*MADE)(rig.desk)
    rig.app.screen.draw()  # type: ignore[attr-defined]
    await rig.keys("k", "escape")
    assert "A gain of 0.010 s at 60 ft counts (usual)." in rig.said


def test_changes_are_marked_and_what_does_not_count_is_a_cross_with_its_reason(timed: Desk) -> None:
    assert list(setting_marks(timed.state).values()) == ["b", "1"]
    picture = sixty_picture(timed.state)
    assert picture is not None
    assert [(mark.x, mark.char, mark.words) for mark in picture.marks] == [
        (1, "○", ""), (2, "○", ""), (3, "×", "lifted 1.610"), (4, "○", ""), (5, "●", ""),
    ]  # fmt: skip
    assert [(one.x, one.words) for one in picture.uprights] == [(4.5, "rear compression 7 → 10")]
    (without,) = picture.bands
    assert picture.up is not None
    assert picture.up[1] < 1.6, "a lifted pass does not squeeze the others together"
    assert all(low < 1.452 < high for low, high in zip(without.low, without.high, strict=True))


async def test_the_day_is_drawn_with_its_change(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("m")
        assert "60-FOOT BY PASS, s" in rig.said
        assert "rear compression 7 → 10" in rig.said
        assert "× lifted 1.610" in rig.said
        body = "\n".join(row for row in rig.rows if "│" in row or "┤" in row)
        assert body.count("○") == 1 + 3
        assert body.count("●") == 1 + 1


def test_what_is_not_known_of_a_knob_is_left_blank(timed: Desk) -> None:
    action = {"action": "already turned", "adjuster": "left front rebound", "now": 10}
    timed.answer("advice", "leave")
    timed.act(ACTION.validate_python(action))
    timed.answer("ran", "ran")
    timed.answer("what-else", ("nothing",))
    rows = responses(timed.state, 78)
    at = next(i for i, row in enumerate(rows) if row.startswith("front extension"))
    assert rows[at + 1].endswith("held against")
    assert rows[at + 2].split() == ["10", "|"]
    rear = next(i for i, row in enumerate(rows) if row.startswith("rear compression"))
    assert "quicker" in rows[rear + 2]
    front_picture, rear_picture = sorted(knob_pictures(timed.state), key=lambda one: one.title)
    assert [mark.char for mark in front_picture.marks] == ["○"], "only what it is held against"
    assert [mark.char for mark in rear_picture.marks] == ["○", "●"]
    assert [words for _, words in rear_picture.named] == ["7", "10"]
    (span,) = rear_picture.spans
    assert span.low < rear_picture.marks[1].y < span.high


@pytest.mark.parametrize(
    ("size", "name"), sampled(product([(60, 20), (80, 24), (120, 40)], PAGES), 3)
)
async def test_every_page_keeps_to_the_window(name: str, size: tuple[int, int]) -> None:
    road = BY_NAME[name]
    async with at_the_screen(road.desk(), size=size) as rig:
        await rig.keys(*road.press)
        assert max(map(len, rig.rows)) <= size[0]
        assert "Esc" in rig.rows[-1]
        assert rig.events() == []


@pytest.mark.parametrize(
    "press", sampled(zip([("v",), ("a",), ("m",), ("m", "2"), ("m", "3"), ("m", "4")]), 3)
)
async def test_an_empty_log_has_pages_too(press: tuple[str, ...]) -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys(*press)
        await rig.keys("escape")
        assert "what did the car do?" in rig.said
        assert rig.events() == []


def test_the_twin_tells_slip_and_verdict(timed: Desk) -> None:
    told = json.loads(as_json(timed, []))
    assert told["slip"]["pass"] == 5
    assert told["slip"]["sixty_s"] == 1.418
    verdict = told["verdict"]
    assert verdict["symptom"] == "better"
    assert verdict["word"] == "cannot tell"
    assert verdict["design"] == "AAAB"
    assert verdict["decision"] == "go further"
    low, high = verdict["effect_range_s"]
    assert low < verdict["effect_s"] < high


async def test_a_slower_pass_without_effect_offers_the_way_back() -> None:
    desk = make_desk()
    for sixty in (1.430, 1.432):
        timed_pass(desk, sixty)
    answers(("spins-at-hit",))(desk)
    desk.act(ACTION.validate_python({"action": "slip", "sixty": 1.431}))
    answers(("nothing",), "under", "squats", "plainly", UNKNOWN, "make", "done", "done")(desk)
    async with at_the_screen(desk) as rig:
        await rig.keys("s", "enter", "enter", *"1475", *["enter"] * 7, "enter")
        assert "60-foot 1.431 before, 1.475 now: judge by what you saw" in rig.said
        await rig.choose("same")
        await rig.choose("plainly")
        assert "PUT THE LAST CHANGE BACK" in rig.said
        assert "Probably worse" in rig.said
        assert rig.message.startswith("60-foot: cannot tell yet, best guess 0.0")
        assert rig.message.endswith("s slower. v shows the verdict.")
        await rig.choose("make")
        proposed = rig.events()[-1]
        assert isinstance(proposed, ChangeProposed)
        assert proposed.origin == "put back"


async def test_the_spread_question_shows_the_slips() -> None:
    desk = make_desk()
    timed_pass(desk, 1.431)
    timed_pass(desk, 1.449)
    timed_pass(desk, 1.9, marks=["aborted"])
    async with at_the_screen(desk) as rig:
        await rig.mark("sixty-foot-varies")
        await rig.keys("enter")
        await rig.choose("same")
        assert "Slips: 1.431 (pass 1), 1.449 (pass 2): 0.018 s apart." in rig.said


async def test_a_pass_struck_out_leaves_its_slip_as_a_draft(rig: Rig) -> None:
    await rig.keys("s", "enter", "enter", *"1432", *["enter"] * 7, "backspace")
    assert rig.state.runs == ()
    await rig.keys("l")
    assert "of a pass struck out: 60 ft 1.432 s" in rig.said
    await rig.keys("escape", "s", "enter")
    assert "1.432" in rig.said
    await rig.keys(*["enter"] * 9)
    assert rig.state.runs[-1].sixty_s == 1.432


def test_hostile_words_do_no_harm() -> None:
    desk = make_desk()
    desk.act(ACTION.validate_python({"action": "meeting", "name": "[/] \x1b[31m {a|b}"}))
    desk.answer("session", "test")
    timed_day(desk)
    note_air(desk, 90, 40)
    assert desk.book is BOOK
    picture = sixty_picture(desk.state)
    assert picture is not None
    assert "\x1b" not in "".join(plain_plot(picture, 78, 22))


@pytest.mark.parametrize(
    "given",
    [
        {"action": "slip", "sixty": True},
        {"action": "slip", "sixty": "1.4"},
        {"action": "slip", "sixty": float("nan")},
        {"action": "slip", "sixty": 1.4, "marks": ["wheelie"]},
        {"action": "slip", "sixty": 1.4, "lane": "middle"},
        {"action": "slip", "run": 0, "sixty": 1.4},
        {"action": "slip", "sixtyfoot": 1.4},
        {"action": "conditions", "humidity": True},
        {"action": "conditions", "pressure": 29.9, "pressure_kind": "barometer"},
        {"action": "worth", "gain": "much"},
    ],
)
def test_what_is_no_number_and_no_word_is_refused(given: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        ACTION.validate_python(given)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"sixty": 11.4}, "sixty: 60 ft 11.400 looks like a slipped decimal; wanted perhaps 1.140"),
        ({"sixty": 3.9}, "name sixty in keep if it is right"),
        ({"sixty": 1.4, "eighth": 1.3}, "eighth"),
        ({"run": 9, "sixty": 1.4}, "run: found 9; wanted 1 to 1"),
        ({"run": "new", "sixty": 1.4}, "run: found 'new'; wanted after the open question"),
        ({}, "slip: found nothing; wanted a time, a speed, a mark or the lane"),
        ({"sixty": 1.4, "keep": ["sixy"]}, "keep: found 'sixy'; wanted among reaction, sixty"),
    ],
)
def test_the_twin_refuses_what_the_screen_questions(given: dict[str, object], said: str) -> None:
    desk = make_desk()
    desk.answer("symptoms", ("spins-at-hit",))
    before = desk.state.events
    with pytest.raises(ActionError, match=said.replace("(", r"\(")):
        desk.act(ACTION.validate_python({"action": "slip", **given}))
    assert desk.state.events == before


def judged_gone(desk: Desk, sixty: float = 1.43) -> None:
    """Two timed passes, a change for spin, its pass with the fault gone; the advice is open."""
    timed_pass(desk, 1.431)
    answers(("spins-at-hit",))(desk)
    desk.act(ACTION.validate_python({"action": "slip", "sixty": 1.432}))
    answers(("nothing",), "under", "squats", "plainly", UNKNOWN, "make", "done", "done", "ran")(
        desk
    )
    desk.act(ACTION.validate_python({"action": "slip", "sixty": sixty}))
    answers(("nothing",), "gone", ("it-is-good",))(desk)


async def test_a_danger_on_a_later_pass_is_what_the_page_says_first() -> None:
    desk = make_desk()
    judged_gone(desk)
    answers("ok", ("front-drops-hard",), ("nothing",), "small", "at-stop")(desk)
    assert desk.prompt.kind == "tick"
    async with at_the_screen(desk) as rig:
        await rig.keys("v")
        assert "INSPECT FIRST, THEN PUT IT BACK" in rig.said
        assert "Inspect: A hard landing was not inspected yet." in rig.said
        assert "Danger, pass 4: Front drops hard" in rig.said
        assert "KEEP" not in rig.said
        await rig.keys("w")
        told = rig.said
        assert "First Inspect: A hard landing was not inspected yet. Do PUT BACK." in told
        assert "Danger pass 4: Front drops hard" in told
        assert "KEEP" not in told
        assert "next makes" not in told
    answers("all ok", UNKNOWN)(desk)
    assert desk.state.open_run is not None
    assert desk.state.open_run.advice is not None
    told = json.loads(as_json(desk, []))
    if told["advice"]["kind"] != "put back":
        assert told["verdict"]["decision"] is None
        assert told["verdict"]["reason"].startswith("The advice on pass 4 goes first: ")
    assert told["verdict"]["offers"] == []
    assert told["verdict"]["more"] is None


async def test_what_was_put_back_is_told_so_and_an_equal_turn_says_so() -> None:
    desk = make_desk()
    judged_gone(desk)
    answers("ok")(desk)
    desk.act(ACTION.validate_python({"action": "undo last change"}))
    answers("done", "done")(desk)
    told = json.loads(as_json(desk, []))["verdict"]
    assert told["decision"] is None
    assert "put back since" in " ".join(told["lines"])
    assert "KEEP" not in " ".join(told["lines"])
    answers(("spins-at-hit",), ("nothing",), "under", "squats", "plainly")(desk)
    advice = json.loads(as_json(desk, []))["advice"]
    assert advice["kind"] == "turn"
    assert "The same turn was just put back." in advice["cautions"]


async def test_a_lifted_pass_has_no_guess_on_the_line() -> None:
    desk = make_desk()
    judged_gone(desk)
    desk.act(ACTION.validate_python({"action": "slip", "sixty": 1.9, "marks": ["lifted"]}))
    line = verdict_line(desk.state)
    assert line == "60-foot: no clean pass with it yet. v shows the verdict."
    async with at_the_screen(desk) as rig:
        await rig.keys("v")
        told = rig.said
        assert "no clean pass with it yet" in told
        assert "Best guess" not in told


async def test_the_launch_is_told_in_seconds_and_no_power_is_claimed(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("m", "4")
        told = rig.said
    assert "The launch costs about" in told
    # Constant power (Fox 1973) makes it 0.011; one and a half times is common practice, no source.
    assert "0.010 s of 60-foot is worth 0.011 s there by constant power, 0.015 s by common" in told
    for claimed in (" hp", " kW", " g:", " W "):
        assert claimed not in told


async def test_the_dial_in_is_the_crews_and_that_is_said_once(timed: Desk) -> None:
    async with at_the_screen(timed) as rig:
        await rig.keys("a")
        assert rig.said.count("You choose the dial-in") == 1


@pytest.mark.parametrize("width", [60, 80])
def test_no_word_of_what_was_seen_is_cut(width: int) -> None:
    desk = make_desk()
    timed_pass(desk, 1.9, marks=["lifted"])
    answers(("front-drops-hard",), ("nothing",), "small", "at-stop")(desk)
    rows = day_lines(desk.state, desk.book, width)
    assert max(map(len, rows)) <= width
    told = " ".join(" ".join(rows).split())
    assert "Front drops hard, bottoms or scrapes" in told
    assert "or something else changed" in told


def test_a_stretch_that_hardly_differs_is_told_so() -> None:
    desk = make_desk()
    timed_pass(desk, 1.431, three_thirty=4.210, eighth=6.510)
    answers(("spins-at-hit",))(desk)
    slip = {"action": "slip", "sixty": 1.431, "three_thirty": 4.210, "eighth": 6.510}
    desk.act(ACTION.validate_python(slip))
    answers(("nothing",), "under", "squats", "plainly", UNKNOWN, "make", "done", "done", "ran")(
        desk
    )
    slip |= {"three_thirty": 4.212, "eighth": 6.492}
    desk.act(ACTION.validate_python(slip))
    told = " ".join(" ".join(json.loads(as_json(desk, []))["verdict"]["lines"]).split())
    assert "60-foot to 330 no difference; 330 to eighth 0.020 s quicker." in told


async def test_a_refused_number_is_named_as_on_the_screen(rig: Rig) -> None:
    await rig.keys("y")
    await rig.type("9")
    assert rig.message.startswith("Gain: found ")


async def test_a_slip_after_turns_asks_whose_it_is() -> None:
    desk = make_desk()
    judged_gone(desk)
    answers("ok")(desk)
    desk.act(ACTION.validate_python({"action": "undo last change"}))
    answers("done")(desk)
    async with at_the_screen(desk) as rig:
        await rig.keys("s")
        told = rig.said
        assert "Whose slip is it?" in told
        assert "Pass 3, before what was turned since" in told
        assert "the open question comes first" in told
        assert rig.events() == []
    answers("done")(desk)
    with pytest.raises(ActionError, match="turned since pass 3; wanted 3 or 'new'"):
        desk.act(ACTION.validate_python({"action": "slip", "sixty": 1.4}))
    desk.act(ACTION.validate_python({"action": "slip", "run": "new", "sixty": 1.4}))
    assert [run.sixty_s for run in desk.state.runs] == [1.431, 1.432, 1.43, 1.4]
