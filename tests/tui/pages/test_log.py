"""The log page tells all that was recorded, whole, and says what a recount puts in doubt."""

from drive import Rig, make_desk, to_verdict, to_work_order
from roads import JUDGED, MADE, NAMED, answers

from rules.crew.actions import ACTION
from rules.log.events.base import EventBody
from rules.log.events.passes import Answered, ConditionsNoted
from tui.desk import Desk
from tui.lines import WIDTH, spoken
from tui.pages.log import log_page

LONG = " ".join(f"word{number}" for number in range(200))


def act(desk: Desk, action: str, **given: object) -> None:
    desk.act(ACTION.validate_python({"action": action, **given}))


def page(desk: Desk) -> str:
    """Return the page as one line, wherever it is wrapped."""
    rows = log_page(desk)
    assert max(map(len, rows)) <= WIDTH
    return " ".join("\n".join(rows).split())


def test_a_note_stands_there_whole_and_as_typed(desk: Desk) -> None:
    act(desk, "note", text=f"{LONG} tyre {{a|b}} damper")
    assert f"Note 05-04 09:00 {LONG} tyre {{a|b}} damper" in page(desk)


def test_an_override_with_its_typed_words(desk: Desk) -> None:
    answers(*MADE)(desk)
    act(desk, "override", reason="other", text="The tyre lane was oiled down")
    told = page(desk)
    title = "Front extension, both sides: 3 clicks tighter"
    assert f"{title}: applied, set aside: other" in told
    assert f"Override 05-04 09:00 {title}: other. The tyre lane was oiled down" in told


def test_an_override_of_a_control_pass(desk: Desk) -> None:
    answers(("nose-stays-high",), ("burnout",), "unknown", "small")(desk)
    act(desk, "override", reason="no-time")
    assert "Override 05-04 09:00 the control pass: No time before the call." in page(desk)


def test_damage_and_an_inspection_with_its_marks(desk: Desk) -> None:
    act(desk, "report damage", found="fluid")
    items = [choice.id for choice in desk.prompt.choices]
    labels = [spoken(desk.state, choice.label) for choice in desk.prompt.choices]
    desk.answer(desk.prompt.id, {items[0]: "fault", items[1]: "not fitted"})
    desk.answer(desk.prompt.id, {items[0]: "ok", **dict.fromkeys(items[2:], "ok")})
    told = page(desk)
    assert "Damage 05-04 09:00 Any fluid leaking" in told
    assert f"BAD, then ok: {labels[0]}" in told
    assert f"not fitted: {labels[1]}" in told
    assert f"ok: {labels[2]}" in told


def test_session_meeting_call_time_baseline_and_car_file(desk: Desk) -> None:
    act(desk, "session", session="qualifying")
    act(desk, "minutes to call", minutes=25)
    act(desk, "minutes to call")
    act(desk, "declare baseline", name="After the rain")
    act(desk, "meeting", name="Second invented meeting")
    told = page(desk)
    for words in (
        "Car file 05-04 09:00 Invented door car",
        "Baseline 05-04 09:00 Car file",
        "Event 05-04 09:00 Invented meeting",
        "Session 05-04 09:00 test",
        "Session 05-04 09:00 qualifying",
        "Call 05-04 09:00 25 min from then",
        "Call 05-04 09:00 no call time",
        "Baseline 05-04 09:00 After the rain",
        "Event 05-04 09:00 Second invented meeting",
    ):
        assert words in told


def test_own_turns_and_put_backs_stand_where_they_were_made(desk: Desk) -> None:
    act(desk, "already turned", adjuster="left rear rebound", now=7)
    act(desk, "undo last change")
    told = page(desk)
    assert "Change Own change: Rear extension, both sides: 2 clicks looser" in told
    assert "Change Undo: Own change: Rear extension, both sides: 2 clicks looser" in told


def test_what_was_recorded_stands_under_the_pass_it_followed(desk: Desk) -> None:
    act(desk, "note", text="early")
    answers(*NAMED)(desk)
    act(desk, "note", text="late")
    rows = "\n".join(log_page(desk))
    assert rows.index("Pass 1") < rows.index("late") < rows.index("Before the first pass:")
    assert rows.index("Before the first pass:") < rows.index("early")


def test_a_pass_that_was_struck_out_keeps_what_was_noted_then(desk: Desk) -> None:
    answers(("front-drops-hard",))(desk)
    act(desk, "note", text="was said")
    for _ in range(2):
        desk.back()
    assert desk.state.runs == ()
    assert "was said" in page(desk)


def test_every_kind_of_event_is_told_or_is_part_of_a_pass_or_a_change() -> None:
    """A kind that is new to the log needs its place on the page."""
    told_by_pass = {"pass-run", "answered", "answer-taken-back", "advice-given", "advice-settled"}
    told_by_pass |= {"slip-noted"}
    told_by_change = {"turn-done", "turn-stopped", "turn-reopened", "change-retargeted"}
    told_by_change |= {"part-change-made"}
    told_by_sheet = {"sheet-answered", "sheet-taken-back"}
    told_of_parts = {
        "damper-described", "damper-fitted", "damper-opened", "damper-serviced",
        "spring-changed", "damper-doubted", "damper-doubt-settled",
    }  # fmt: skip
    told = {
        "car-described", "meeting-opened", "session-changed", "call-time-given",
        "baseline-declared", "damage-reported", "item-ticked", "recounted", "pair-settled",
        "change-proposed", "part-change",
        "change-withdrawn", "change-taken-up", "overridden",
        "record-taken-back", "note-added", "slip-noted", "worth-declared",
        "learnt-afresh",
        "pass-imported", "logs-merged",
        "sheet-continued", "sheet-closed", "unread",
    }  # fmt: skip
    kinds = {one.model_fields["kind"].default for one in EventBody.__subclasses__()}
    assert kinds == told | told_by_pass | told_by_change | told_by_sheet | told_of_parts | {
        "conditions-noted", "measured", "list-owed",
    }  # fmt: skip


def test_a_slip_stands_with_its_pass_and_its_correction_tells_what_it_was(desk: Desk) -> None:
    answers(("spins-at-hit",))(desk)
    act(desk, "slip", sixty=1.432, lane="left")
    act(desk, "slip", sixty=1.423, marks=["spun"])
    act(desk, "worth", gain=0.015)
    told = page(desk)
    assert "Slip 60 ft 1.423 s, left lane, spun" in told
    assert "of pass 1 corrected; it had: 60 ft 1.432 s, left lane" in told
    assert "Worth 05-04 09:00 0.015 s of 60-foot for changes from here on" in told


async def test_a_recount_says_which_passes_it_puts_in_doubt(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.keys("r")
    await rig.choose("left rear rebound")
    await rig.type("7")
    assert rig.message == "Recorded: the recount. In doubt now: passes 1 and 2."
    assert "7, the book had 9. In doubt now: passes 1 and 2." in page(rig.desk)
    await rig.keys("r")
    await rig.choose("left rear rebound")
    await rig.type("7")
    assert rig.message == "Recorded: the recount."


async def test_conditions_of_the_pass(rig: Rig) -> None:
    await to_work_order(rig)
    rig.events()
    await rig.keys("a")
    assert "Pass 1: which lane?" in rig.text
    await rig.choose("left")
    assert "Air temperature, in F?" in rig.text
    await rig.type("840")
    assert "wanted -40 to 140 F" in rig.text
    await rig.type("84.5")
    await rig.keys("enter")
    assert "Dew point, in F?" in rig.text
    await rig.type("61")
    await rig.type("29.92")
    assert "Which pressure is that?" in rig.text
    await rig.choose("sea-level barometer")
    assert "Track elevation, in ft?" in rig.text
    await rig.type("1180")
    await rig.type("121")
    assert "How does the engine breathe?" in rig.text
    await rig.choose("unblown")
    assert "Density altitude" in rig.text
    await rig.keys("escape")
    assert rig.message == "Recorded: lane, air and track."
    noted = ConditionsNoted(
        run=rig.state.runs[0].id,
        units="us",
        lane="left",
        air_temperature=84.5,
        dew_point=61,
        pressure=29.92,
        pressure_kind="sea-level barometer",
        elevation=1180,
        track_temperature=121,
    )
    breathes = Answered(run=rig.state.runs[0].id, prompt="breathing", value="unblown")
    assert rig.events() == [noted, breathes]
    assert (
        "Left lane; Air temperature 84.5 F; Dew point 61 F; "
        "Air pressure 29.92 inHg (sea-level barometer); Track elevation 1180 ft; "
        "Track temperature 121 F" in page(rig.desk)
    )


async def test_conditions_of_which_nothing_is_known(rig: Rig) -> None:
    await to_work_order(rig)
    rig.events()
    await rig.keys("a", "0", *["enter"] * 5)
    assert "found nothing; wanted the lane or a reading" in rig.text
    await rig.keys("escape")
    assert rig.events() == []


def test_the_page_of_a_fresh_log() -> None:
    assert "no pass yet" not in page(make_desk(meeting=""))


def test_no_slip_is_told_as_it_was_answered(desk: Desk) -> None:
    answers(*JUDGED, "unknown")(desk)
    assert "60-foot time of this pass? No slip" in page(desk)
    assert "60-foot time of this pass? Don't know" not in page(desk)
