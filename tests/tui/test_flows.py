"""The loop at the screen, from symptom to verdict: what stands there, and what is stored."""

import pytest
from drive import Rig, to_advice, to_verdict, to_work_order

from rules.log.events.changes import ChangeProposed, TurnStopped
from rules.log.events.lists import ItemTicked
from rules.log.events.passes import Answered

REBOUND = ("left front rebound", "right front rebound")


async def test_from_symptom_to_advice(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    assert "what else changed since the settings were noted?" in rig.said
    await rig.keys("enter")
    assert "how high did the front tires get?" in rig.said
    await rig.choose("big")
    assert "how hard did the front come down?" in rig.said
    await rig.choose("plainly")
    assert "A hard landing was not inspected yet." in rig.said
    await rig.all_ok()
    assert "FRONT EXTENSION" in rig.said
    assert "BOTH SIDES" in rig.said
    assert "TIGHTER" in rig.said
    assert 'Nothing found is not "safe".' in rig.message
    answered = [b for b in rig.events() if isinstance(b, Answered)]
    assert [(b.prompt, b.value) for b in answered] == [
        ("symptoms", ("front-drops-hard",)),
        ("what-else", ("nothing",)),
        ("stand", "big"),
        ("how-bad-front-drops-hard", "plainly"),
    ]
    assert rig.state.runs[-1].advice is not None


async def test_several_symptoms_and_the_reason_for_the_order(rig: Rig) -> None:
    await rig.choose("spins-at-hit")
    await rig.choose("front-drops-hard")
    assert "■ Tires spin at the hit" in rig.said
    await rig.choose("spins-at-hit")
    assert "□ Tires spin at the hit" in rig.said
    await rig.choose("spins-at-hit")
    await rig.keys("enter", "enter")
    assert rig.state.runs[-1].answers["symptoms"] == ("front-drops-hard", "spins-at-hit")
    assert "Treated first: Front drops hard" in rig.said


async def test_ticks_ok_bad_and_not_fitted(rig: Rig) -> None:
    await to_advice_list(rig)
    rig.events()
    await rig.keys("1")
    assert "1 ■ ok" in rig.said
    assert rig.message == ""
    await rig.keys("1")
    assert "1 ▲ BAD" in rig.said
    await rig.keys("1")
    assert "1 ■ ok ?" in rig.said
    assert rig.message == "Repaired or replaced? Enter takes it."
    await rig.keys("1")
    assert "1 × none?" in rig.said
    await rig.keys("enter")
    assert "1 × none" in rig.said
    ticks = [b for b in rig.events() if isinstance(b, ItemTicked)]
    assert [tick.mark for tick in ticks] == ["ok", "fault", "not fitted"]


async def test_the_last_item_can_be_bad_and_only_enter_closes_the_list(rig: Rig) -> None:
    await to_advice_list(rig)
    await rig.keys(*"1234567", "8")
    assert "8 ■ ok ?" in rig.said
    assert rig.message == "Enter closes the list."
    assert rig.desk.prompt.id == "inspect:hard-landing"
    await rig.keys("8")
    assert "8 ▲ BAD" in rig.said
    await rig.keys("enter")
    assert rig.message.startswith("BAD stands: repair or replace it")
    assert rig.state.runs[-1].advice is None
    await rig.keys("8", "enter")
    assert rig.desk.prompt.id == "advice"


async def to_advice_list(rig: Rig) -> None:
    await rig.mark("front-drops-hard")
    await rig.keys("enter")
    await rig.choose("big")
    await rig.choose("plainly")
    assert rig.desk.prompt.id == "inspect:hard-landing"


async def test_a_fault_on_the_list_holds_the_advice(rig: Rig) -> None:
    await to_advice_list(rig)
    items = [choice.id for choice in rig.desk.prompt.choices]
    await rig.keys("1")
    for item in items:
        await rig.choose(item)
    assert rig.desk.prompt.id == "inspect:hard-landing"
    assert "1 ▲ BAD" in rig.said
    assert rig.state.runs[-1].advice is None
    await rig.keys("enter")
    assert rig.message == "BAD stands: repair or replace it; then its digit, and Enter."
    await rig.keys("1", "enter")
    assert rig.desk.prompt.id == "advice"


async def test_enter_on_a_turn_means_not_yet(rig: Rig) -> None:
    await to_work_order(rig)
    rig.events()
    await rig.keys("enter")
    assert rig.events() == []
    assert "Nothing was recorded" in rig.message
    assert "► OPEN: 0 of 2 done" in rig.rows[1]
    assert rig.state.settings["left front rebound"] == 8


async def test_a_work_order_ticked_off(rig: Rig) -> None:
    await to_work_order(rig)
    rig.events()
    assert "LEFT FRONT EXTENSION" in rig.said
    assert "LEFT FRONT EXTENSION" in rig.said
    assert "TURN CLOCKWISE" in rig.said
    assert "► OPEN: 0 of 2 done, 5 min to go" in rig.rows[1]
    before = rig.state.settings["left front rebound"]
    await rig.choose("done")
    assert "► OPEN: 1 of 2 done" in rig.rows[1]
    assert "■ DONE" in rig.text
    await rig.choose("done")
    assert rig.kinds() == ["turn-done", "turn-done"]
    assert rig.state.open_change is not None
    assert rig.state.open_change.status == "applied"
    assert rig.state.settings["left front rebound"] > before
    assert "The change is made. Next: a pass." in rig.said
    assert "agree an abort point" in rig.said


async def test_a_knob_that_stops_early_is_asked_for_where(rig: Rig) -> None:
    await to_work_order(rig)
    rig.events()
    await rig.choose("stops early")
    assert "left front extension: where does it stand now?" in rig.said
    assert "LEFT FRONT EXTENSION" in rig.said
    await rig.type("99")
    assert "found 99, wanted whole clicks" in rig.said
    assert rig.desk.prompt.id == "reached:left front rebound"
    await rig.type("9")
    stopped = [b for b in rig.events() if isinstance(b, TurnStopped)]
    assert stopped[-1].reached == 9
    assert rig.state.settings["left front rebound"] == 9


async def test_a_side_that_went_too_far_is_turned_back_from_where_it_stands(rig: Rig) -> None:
    await stopped(rig)
    assert "stops early at 9" in rig.said
    await rig.choose("even out")
    step = rig.state.changes[-1].next_step
    assert step is not None
    assert step.to_go.before == rig.state.settings["left front rebound"]
    assert "LEFT FRONT EXTENSION" in rig.said
    assert "TURN COUNTERCLOCKWISE" in rig.said
    assert "2 CLICKS LOOSER" in rig.said
    await rig.choose("done")
    assert rig.state.settings["left front rebound"] == 9


async def test_why_tells_no_other_advice_while_the_crew_puts_back(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.keys("p")
    await rig.choose("baseline")
    await rig.choose("yes")
    await rig.keys("w")
    assert "No advice belongs to what is open now." in rig.said


async def stopped(rig: Rig) -> None:
    """Make one side, then find that the other stops early one click on."""
    await to_work_order(rig)
    await rig.choose("done")
    await rig.choose("stops early")
    await rig.type("9")
    await rig.all_ok()
    assert rig.desk.prompt.id == "settle"
    assert "Settle it before the next pass" in rig.said
    rig.events()


async def test_settled_by_trying_again(rig: Rig) -> None:
    await stopped(rig)
    await rig.keys("enter")
    assert rig.kinds() == ["turn-reopened"]
    assert rig.desk.prompt.id == "turn:right front rebound"
    await rig.choose("done")
    assert rig.state.open_change is not None
    assert rig.state.open_change.status == "applied"
    assert rig.desk.prompt.id == "ran"


async def test_settled_by_putting_back(rig: Rig) -> None:
    await stopped(rig)
    await rig.choose("put back, knowing")
    proposed = [b for b in rig.events() if isinstance(b, ChangeProposed)]
    assert proposed[0].origin == "put back"
    while rig.desk.prompt.id.startswith("turn:"):
        await rig.choose("done")
    assert [rig.state.settings[key] for key in REBOUND] == [8, 8]
    assert rig.state.open_change is None
    assert "all at baseline" in rig.rows[1]


async def test_settled_by_evening_out(rig: Rig) -> None:
    await stopped(rig)
    await rig.choose("even out")
    assert "change-retargeted" in rig.kinds()
    while rig.desk.prompt.id.startswith("turn:"):
        await rig.choose("done")
    assert [rig.state.settings[key] for key in REBOUND] == [9, 9]
    assert rig.state.open_change is not None
    assert rig.state.open_change.status == "applied"


async def test_cannot_reach_it(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.choose("done")
    await rig.choose("cannot reach")
    assert "how can it be reached?" in rig.said
    await rig.choose("leave")
    assert "cannot reach" in rig.said
    assert rig.desk.prompt.id == "settle"
    assert "not now: one side did not move" in rig.said
    rig.events()
    await rig.choose("even out")
    assert rig.events() == []
    assert "one side did not move at all" in rig.message


async def test_not_done_on_either_side_withdraws_the_change(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.choose("not done")
    await rig.choose("not done")
    change = rig.state.changes[-1]
    assert change.status == "withdrawn"
    assert [rig.state.settings[key] for key in REBOUND] == [8, 8]
    assert "nothing open" in rig.rows[1]


async def test_enter_before_the_pass_means_not_yet(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.choose("done")
    await rig.choose("done")
    rig.events()
    await rig.keys("enter")
    assert rig.events() == []
    await rig.choose("ran")
    assert rig.kinds() == ["pass-run"]
    assert "pass 2" in rig.rows[0]


@pytest.mark.parametrize(
    ("verdict", "kind", "words"),
    [
        ("gone", "leave", "KEEP IT"),
        ("better", "turn", "TIGHTER"),
        ("same", "turn", "TIGHTER"),
        ("worse", "put back", "PUT THE LAST CHANGE BACK"),
    ],
)
async def test_what_follows_a_verdict(rig: Rig, verdict: str, kind: str, words: str) -> None:
    await to_verdict(rig, "small", "at-stop")
    await rig.choose(verdict)
    if verdict == "gone":
        assert "what else did the car do?" in rig.said
        await rig.keys("enter")
    assert "60-foot time of this pass?" in rig.said
    await rig.type("1.312")
    while rig.desk.prompt.id != "advice":
        if rig.desk.prompt.kind == "tick":
            await rig.all_ok()
        else:
            answer = str(rig.state.runs[0].answers.get(rig.desk.prompt.id, "plainly"))
            # From the stop no put-back takes travel.
            await rig.choose("short-harsh" if (verdict, answer) == ("worse", "at-stop") else answer)
    run = rig.state.runs[-1]
    assert run.answers["verdict"] == verdict
    assert run.answers["sixty-foot"] == 1.312
    assert run.advice is not None
    assert run.advice.kind == kind
    assert words in rig.said
    assert rig.state.changes[0].status == "judged"


async def test_another_fault_came(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.choose("other")
    assert rig.desk.prompt.id == "symptoms"
    await rig.mark("front-slow-to-rise")
    await rig.keys("enter")
    await to_advice(rig, "")
    assert rig.state.runs[-1].answers["symptoms"] == ("front-slow-to-rise",)
    assert rig.state.changes[0].verdict == "other"


async def test_a_60_foot_time_that_cannot_be(rig: Rig) -> None:
    await to_verdict(rig)
    await rig.choose("better")
    rig.events()
    await rig.type("11.4")
    assert rig.message == "sixty-foot: found '11.4'; wanted 0.8 to 4 s"
    assert rig.events() == []
    assert "11.4" in rig.said
    await rig.keys("backspace", "enter")
    answered = [b for b in rig.events() if isinstance(b, Answered)]
    assert answered[0].value == "unknown"


async def test_every_way_to_a_knob_stands_whole_on_the_screen(rig: Rig) -> None:
    await to_work_order(rig)
    await rig.choose("cannot reach")
    assert "4 Leave it for today" in rig.said
    assert "8 Shop: A different mount" in rig.said
    assert "9 More (page 1 of 2)" in rig.said
    await rig.choose("wheel off")
    assert "Wheel off, car on stands, 20 min more." in rig.said
    assert rig.desk.prompt.id.startswith("turn:")
