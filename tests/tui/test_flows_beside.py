"""What a crew records beside the questions: put back, recount, override, notes, corrections."""

from pathlib import Path

from drive import (
    Rig,
    at_the_screen,
    make_desk,
    to_advice,
    to_verdict,
    to_work_order,
)

from rules.crew.overriding import OVERRIDE_REASONS
from rules.log.events.advice import Overridden
from rules.log.events.car import Recounted
from rules.log.events.meeting import MeetingOpened, NoteAdded
from rules.log.events.passes import Answered

REBOUND = ("left front rebound", "right front rebound")


async def test_undo_the_last_change(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.keys("p")
    assert "Undo the last change: Front extension, both sides" in rig.said
    await rig.choose("last")
    assert "This leads back to a danger" in rig.said
    await rig.choose("yes")
    assert rig.desk.prompt.id.startswith("turn:")
    await rig.choose("done")
    await rig.choose("done")
    assert [rig.state.settings[key] for key in REBOUND] == [8, 8]
    assert rig.state.changes[0].status == "withdrawn"


async def test_put_back_to_the_baseline_interrupted_and_resumed(log_path: Path) -> None:
    async with at_the_screen(make_desk(log_path)) as rig:
        await to_work_order(rig)
        await rig.choose("done")
        await rig.choose("done")
        await rig.keys("p")
        await rig.choose("baseline")
        await rig.choose("yes")
        await rig.choose("done")
        asked = rig.desk.prompt.question
        rig.desk.log.close()
    async with at_the_screen(make_desk(log_path, first_id=10_000)) as rig:
        assert rig.desk.prompt.question == asked
        assert rig.message.startswith("Picked up at: right front extension: now at 8?")
        assert "► OPEN: 1 of 2 done" in rig.rows[1]
        await rig.choose("done")
        assert "all at baseline" in rig.rows[1]
        assert rig.state.open_change is None
        assert rig.state.changes[0].status == "withdrawn"


async def test_put_back_says_why_it_cannot(rig: Rig) -> None:
    await rig.keys("p")
    assert "not now: there is none on the car" in rig.said
    assert "Car file - not now: everything" in rig.said
    await rig.keys("enter")
    assert rig.message == "Nothing to choose here now: Esc leaves.", "no digit would be taken"
    await rig.keys("1")
    assert "there is none on the car" in rig.said
    await rig.keys("escape")
    assert rig.desk.prompt.id == "symptoms"
    assert rig.events() == []


async def test_recount(rig: Rig) -> None:
    await rig.keys("r")
    await rig.choose("left rear rebound")
    await rig.type("40")
    assert "found 40, wanted whole clicks" in rig.said
    await rig.keys("backspace", "backspace")
    await rig.type("7")
    assert rig.message == "Recorded: the recount."
    assert rig.events() == [Recounted(adjuster="left rear rebound", found=7)]
    assert "1 off baseline: left rear extension -2" in rig.rows[1]


async def test_recount_by_the_name_of_a_position(rig: Rig) -> None:
    await rig.keys("r")
    await rig.choose("rear link position")
    await rig.type("holes D, highest")
    assert rig.events() == [Recounted(adjuster="rear link position", found=3)]


async def test_both_sides_were_turned_already(rig: Rig) -> None:
    await rig.keys("t")
    await rig.choose("left front rebound")
    await rig.choose("both")
    await rig.type("10")
    assert rig.kinds() == ["change-proposed", "turn-done", "turn-done"]
    assert [rig.state.settings[key] for key in REBOUND] == [10, 10]
    assert "► OPEN: waits for its pass" in rig.rows[1]


async def test_only_one_side_was_turned(rig: Rig) -> None:
    await rig.keys("t")
    await rig.choose("left front rebound")
    await rig.choose("one")
    await rig.type("10")
    assert rig.kinds() == ["change-proposed", "turn-done"]
    assert rig.desk.prompt.id == "turn:right front rebound"
    assert "► OPEN: 1 of 2 done" in rig.rows[1]


async def test_override_with_a_typed_reason(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.choose("done")
    await rig.choose("done")
    rig.events()
    await rig.keys("o")
    assert all(words in rig.said for words in OVERRIDE_REASONS.values())
    await rig.choose("other")
    await rig.type("The lane was oiled down")
    overridden = [b for b in rig.events() if isinstance(b, Overridden)]
    assert overridden[0].text == "The lane was oiled down"
    assert rig.state.open_change is None
    assert rig.desk.prompt.id == "symptoms"


async def test_nothing_to_override(rig: Rig) -> None:
    await rig.keys("o", "1")
    assert "Nothing here can be overridden; an inspection never can." in rig.said
    await rig.keys("escape")
    assert rig.events() == []


async def test_damage_reported_blocks(rig: Rig) -> None:
    await rig.keys("x")
    await rig.choose("fluid")
    assert rig.kinds() == ["damage-reported"]
    assert rig.desk.prompt.id == "inspect:fluid-leak"
    assert "Reported: fluid was found." in rig.said
    await rig.all_ok()
    assert rig.desk.prompt.id == "symptoms"


async def test_a_note_while_a_work_order_is_open(rig: Rig) -> None:
    await to_work_order(rig)
    open_prompt = rig.desk.prompt.id
    rig.events()
    await rig.keys("n")
    await rig.type("Knob is stiff at 9 clicks")
    assert rig.message == "Recorded: the note."
    notes = rig.events()
    assert [b.text for b in notes if isinstance(b, NoteAdded)] == ["Knob is stiff at 9 clicks"]
    assert rig.desk.prompt.id == open_prompt
    await rig.keys("l")
    assert "Knob is stiff at 9 clicks" in rig.said


async def test_a_note_while_a_line_is_typed(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.choose("stops early")
    await rig.keys("1", "0", "f2")
    await rig.type("It grinds")
    assert "10" in rig.said
    assert rig.state.notes[-1].text == "It grinds"
    await rig.keys("f1")
    assert "Letters are text here" in rig.said
    assert "Write a note" in rig.said
    assert "We already changed something" not in rig.said


async def test_a_note_while_a_number_is_asked(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.choose("better")
    await rig.keys("1", "n")
    await rig.type("Slip is torn")
    assert rig.state.notes[-1].text == "Slip is torn"
    assert rig.desk.prompt.id == "sixty-foot"
    await rig.type(".31")
    assert rig.state.runs[-1].answers["sixty-foot"] == 1.31


async def test_correct_an_answer(rig: Rig) -> None:
    await to_advice(rig, "front-drops-hard", stand="big", front_travel="short-harsh")
    first = rig.state.runs[-1].advice
    rig.events()
    await rig.keys("c", "1")
    await rig.choose("stand")
    await rig.choose("small")
    answered = [b for b in rig.events() if isinstance(b, Answered)]
    assert (answered[0].prompt, answered[0].value) == ("stand", "small")
    assert rig.state.runs[-1].answers["stand"] == "small"
    assert rig.state.runs[-1].advice != first


async def test_before_the_first_pass_the_meeting_can_be_taken_back(rig: Rig) -> None:
    await rig.keys("c", "1")
    assert "The meeting begun: Invented meeting" in rig.said
    await rig.keys("1")
    assert [b.kind for b in rig.events()] == ["record-taken-back"]
    assert rig.desk.prompt.id == "meeting"


async def test_a_control_pass_is_demanded_outside_eliminations(rig: Rig) -> None:
    await rig.mark("spins-at-hit")
    await rig.mark("tyre-pressure")
    await to_advice(rig, "", tyre_hit="under", rear_motion="squats")
    assert "MAKE A CONTROL PASS" in rig.said
    assert "not now: not in eliminations" in rig.said
    rig.events()
    await rig.choose("skip control")
    assert rig.events() == []
    assert "not in eliminations: override with o" in rig.message


async def test_a_control_pass_is_offered_in_eliminations(rig: Rig) -> None:
    await rig.keys("e")
    await rig.choose("eliminations")
    assert "· eliminations ·" in rig.rows[0]
    await rig.mark("spins-at-hit")
    await rig.mark("tyre-pressure")
    await to_advice(rig, "", tyre_hit="under", rear_motion="squats")
    assert "MAKE A CONTROL PASS" in rig.said
    await rig.choose("skip control")
    assert rig.state.runs[-1].control_skipped
    await to_advice(rig, "")
    assert rig.state.runs[-1].advice is not None
    assert rig.state.runs[-1].advice.kind != "control"


async def test_minutes_to_the_next_call(rig: Rig) -> None:
    await rig.keys("i")
    await rig.type("abc2")
    assert rig.state.minutes_left == 2
    await to_advice(rig, "front-drops-hard", stand="small", front_travel="at-stop")
    assert "CHANGE NOTHING: THERE IS NO TIME FOR IT" in rig.said
    await rig.keys("i", "enter")
    assert rig.state.call_at is None
    assert rig.state.runs[-1].advice is not None
    assert rig.state.runs[-1].advice.kind == "turn"


async def test_a_new_meeting(rig: Rig) -> None:
    await rig.keys("g")
    await rig.type("Second invented meeting")
    opened = [b for b in rig.events() if isinstance(b, MeetingOpened)]
    assert opened[0].name == "Second invented meeting"
    assert rig.desk.prompt.id == "session"
    await rig.keys("enter")
    assert "Second invented meeting · test" in rig.rows[0]


async def test_a_meeting_begun_by_mistake_is_taken_back_with_backspace(rig: Rig) -> None:
    before = rig.state.meeting
    await rig.keys("g")
    await rig.type("Slip of the finger")
    assert rig.desk.prompt.id == "session"
    await rig.keys("backspace")
    assert rig.state.meeting == before
    assert rig.state.session == "test"
    assert "Invented meeting · test" in rig.rows[0]


async def test_a_meeting_that_is_in_the_log_is_offered(rig: Rig) -> None:
    before = rig.state.meeting
    await rig.keys("g")
    await rig.type("Second invented meeting")
    await rig.keys("enter", "g")
    assert "Go on with Invented meeting" in rig.said
    await rig.keys("2")
    assert rig.state.meeting is not None
    assert before is not None
    assert rig.state.meeting.id == before.id


async def test_a_note_is_taken_back(rig: Rig) -> None:
    await to_advice(rig, "front-drops-hard", stand="big", front_travel="short-harsh")
    await rig.keys("n")
    await rig.type("wrong")
    await rig.keys("c")
    await rig.choose("else")
    note = rig.state.notes[-1].at.isoformat()
    await rig.choose(f"note|{note}|")
    assert rig.state.notes == ()


async def test_the_first_meeting_has_a_name_at_hand() -> None:
    async with at_the_screen(make_desk(meeting="")) as rig:
        assert "Enter alone: 2031-05-04." in rig.said
        await rig.keys("enter")
        assert rig.state.meeting is not None
        assert rig.state.meeting.name == "2031-05-04"
        await rig.choose("qualifying")
        assert "· qualifying ·" in rig.rows[0]


async def test_a_new_baseline(rig: Rig) -> None:
    await rig.keys("r")
    await rig.choose("left rear rebound")
    await rig.type("7")
    await rig.keys("b")
    await rig.type("After the rain")
    assert rig.state.baseline is not None
    assert rig.state.baseline.name == "After the rain"
    assert "all at baseline" in rig.rows[1]
    await rig.keys("k")
    assert "Baseline: After the rain. All at it." in rig.said
    await rig.keys("end")
    assert "Car file" in rig.said
