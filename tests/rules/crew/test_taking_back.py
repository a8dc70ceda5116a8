"""Everything that is recorded at a question or a key can be taken back, or the reason is here."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from rules.car.damper_record import DamperRecord
from rules.crew.forms import FORMS
from rules.crew.taking_back import beside, of_pass
from rules.log.dampers import FIRST_SPRINGS
from rules.log.events.base import EventBody
from rules.log.events.dampers import DamperDescribed, DamperFitted, DamperServiced, SpringChanged
from rules.question import ActionError
from tests.rules.crew.sheets.test_dampers import fill, finish
from tests.support.crew import Crew

SPINS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}
REAR = "left rear rebound"


def advised() -> Crew:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    return crew


def take_back(crew: Crew, record: str) -> None:
    """Take back what a form offers of a kind."""
    offered = [*beside(crew.state, crew.book)]
    offered += [one for run in crew.state.runs for one in of_pass(run)]
    one = next(one for one in offered if one.record == record)
    crew.do("take back", record=one.record, of=one.of, part=one.part)


def as_before(crew: Crew, act: Callable[[], Any], undo: Callable[[], Any], *what: str) -> None:
    """Do something and take it back: the question and these parts of the state are as before."""
    prompt = crew.prompt.id
    before = [getattr(crew.state, key) for key in what]
    act()
    assert [getattr(crew.state, key) for key in what] != before
    undo()
    assert [getattr(crew.state, key) for key in what] == before
    assert crew.prompt.id == prompt


def a_meeting(crew: Crew) -> None:
    as_before(
        crew,
        lambda: crew.do("meeting", name="Slip of the finger"),
        lambda: crew.back(),
        "meetings", "session", "call_at",
    )  # fmt: skip


def a_session(crew: Crew) -> None:
    as_before(
        crew,
        lambda: crew.do("session", session="eliminations"),
        lambda: crew.do("session", session="test"),
        "session",
    )


def a_call(crew: Crew) -> None:
    as_before(
        crew,
        lambda: crew.do("minutes to call", minutes=9),
        lambda: crew.do("minutes to call"),
        "call_at",
    )


def a_baseline(crew: Crew) -> None:
    crew.do("already turned", adjuster="launch rpm", now="4300")
    crew.do("declare baseline", name="By mistake")
    crew.do("return to baseline", baseline="Car file")
    assert crew.off == {"launch rpm": 100}


def a_pass_and_its_answers(crew: Crew) -> None:
    crew.say("leave")
    assert crew.prompt.id == "symptoms"
    crew.say(["wheel-hop"], ["nothing"])
    while len(crew.state.runs) > 1:
        crew.back()
    assert crew.prompt.id == "symptoms"


def an_advice_settled(crew: Crew) -> None:
    before = crew.advice
    crew.say("leave")
    assert crew.back().id == "advice"
    assert crew.advice == before


def a_change(crew: Crew) -> None:
    as_before(crew, lambda: crew.say("make"), crew.back, "open_change", "work_order")


def a_turn(crew: Crew) -> None:
    crew.say("make")
    as_before(crew, lambda: crew.say("done"), crew.back, "settings")
    prompt = crew.prompt
    crew.say("cannot reach")
    assert crew.back().id == prompt.id


def a_turn_tried_again(crew: Crew) -> None:
    crew.say("make", "done", "cannot reach", "leave")
    as_before(crew, lambda: crew.say("try again"), lambda: crew.say("cannot reach"), "changes")


def a_change_evened_out(crew: Crew) -> None:
    before = dict(crew.state.settings)
    crew.say("make", "done", "stops early", "11", "all ok")
    crew.say("even out")
    crew.do("undo last change")
    crew.tick()
    assert dict(crew.state.settings) == before


def an_own_turn(crew: Crew) -> None:
    crew.say("leave")
    crew.do("already turned", adjuster=REAR, now="7")
    for _ in range(3):
        crew.back()
    assert crew.off == {}
    assert crew.state.open_change is None


def an_override(crew: Crew) -> None:
    crew.make()
    change = crew.last
    crew.do("override", reason="no-time")
    assert crew.state.open_change is None
    take_back(crew, "override")
    assert crew.state.open_change == change
    assert crew.prompt.id == "ran"


def a_recount(crew: Crew) -> None:
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", **SPINS)
    as_before(
        crew,
        lambda: crew.do("recount", adjuster="right rear compression", found="2"),
        lambda: take_back(crew, "recount"),
        "settings", "known_since", "changes", "split",
    )  # fmt: skip
    assert not any(run.in_doubt for run in crew.state.runs)


def a_pair(crew: Crew) -> None:
    crew.do("recount", adjuster="right rear rebound", found="2")
    crew.say("keep")
    take_back(crew, "pair")
    assert crew.prompt.id == "pair:right rear rebound"


def a_note(crew: Crew) -> None:
    as_before(crew, lambda: crew.do("note", text="wrong"), lambda: take_back(crew, "note"), "notes")


def a_slip(crew: Crew) -> None:
    as_before(
        crew,
        lambda: crew.do("slip", sixty=1.432, lane="left", marks=["lifted"]),
        lambda: take_back(crew, "slip"),
        "runs",
    )


def some_air(crew: Crew) -> None:
    as_before(
        crew,
        lambda: crew.do("conditions", air_temperature=21.0, lane="right"),
        lambda: take_back(crew, "conditions"),
        "runs",
    )


def a_measurement(crew: Crew) -> None:
    as_before(
        crew,
        lambda: crew.do("measure", what="scrape", inputs={"clearance": 100.0, "depth": 3.0}),
        lambda: take_back(crew, "measured"),
        "runs",
    )


def ticks(crew: Crew) -> None:
    crew.do("report damage", found="fluid")
    as_before(crew, lambda: crew.say("all ok"), lambda: take_back(crew, "list"), "ticks")
    assert crew.prompt.id == "inspect:fluid-leak"


def a_gain(crew: Crew) -> None:
    crew.do("worth", gain=0.02)
    as_before(
        crew,
        lambda: crew.do("worth", gain=0.2),
        lambda: crew.do("worth", gain=0.02),
        "worth_s",
    )


def a_fresh_start(crew: Crew) -> None:
    crew.say("leave")
    as_before(
        crew,
        lambda: crew.do("learn afresh"),
        lambda: crew.do("learn afresh", taken_back=True),
        "unlearnt",
    )


def _mounted(crew: Crew) -> str:
    return crew.state.dampers.at("left front")


def a_damper(crew: Crew) -> None:
    """The one that was on goes on again: what was learnt with it counts again, its list stays."""
    parts = crew.state.dampers.parts
    crew.record([DamperFitted(job="j", damper="other", corner="left front")])
    assert _mounted(crew) == "other"
    crew.record([DamperFitted(job="k", damper="first left front", corner="left front")])
    assert crew.state.dampers.parts == parts


def some_springs(crew: Crew) -> None:
    parts = crew.state.dampers.parts
    crew.record([SpringChanged(job="j", axle="front", name="other")])
    assert crew.state.dampers.parts != parts
    first = SpringChanged(job="k", axle="front", name=FIRST_SPRINGS)
    crew.record([first])
    assert crew.state.dampers.parts == parts


def a_damper_described(crew: Crew) -> None:
    for serial in ("17", "71"):
        record = DamperRecord(id="first left front", serial=serial)
        crew.record([DamperDescribed(damper=record, corner="left front")])
        assert crew.state.dampers.name("first left front") == serial


def a_service(crew: Crew) -> None:
    sent = DamperServiced(job="j", damper="first left front", what="sent", on=date(2031, 5, 1))
    crew.record([sent])
    assert not _mounted(crew)
    crew.record([DamperFitted(job="k", damper="first left front", corner="left front")])
    assert (_mounted(crew), crew.state.dampers.away) == ("first left front", {})


def a_part(crew: Crew) -> None:
    fill(crew, job="valving", where="front", how="opened", by="the maker", stroke="rebound")
    fill(crew, out="R1", **{"in": "R2"}, gas="", baseline="later")
    finish(crew)
    change = crew.last
    crew.do("undo last change")
    crew.say("done")
    assert crew.state.change(change.id).status == "withdrawn"


WAYS: dict[str, Callable[[Crew], None]] = {
    "meeting-opened": a_meeting,
    "session-changed": a_session,
    "call-time-given": a_call,
    "baseline-declared": a_baseline,
    "pass-run": a_pass_and_its_answers,
    "answered": a_pass_and_its_answers,
    "advice-settled": an_advice_settled,
    "change-proposed": a_change,
    "turn-done": a_turn,
    "turn-stopped": a_turn,
    "turn-reopened": a_turn_tried_again,
    "change-retargeted": a_change_evened_out,
    "change-withdrawn": an_own_turn,
    "overridden": an_override,
    "recounted": a_recount,
    "pair-settled": a_pair,
    "note-added": a_note,
    "slip-noted": a_slip,
    "conditions-noted": some_air,
    "measured": a_measurement,
    "item-ticked": ticks,
    "worth-declared": a_gain,
    "learnt-afresh": a_fresh_start,
    "damper-described": a_damper_described,
    "damper-fitted": a_damper,
    "damper-serviced": a_service,
    "spring-changed": some_springs,
    "part-change": a_part,
    "part-change-made": a_part,
}
CANNOT = {
    "damage-reported": "it raises a block: it is corrected by another report, and its list ticked",
    "list-owed": "it keeps a list that a block asked for: only its ticks clear it",
    "answer-taken-back": "it is a way back itself: the answer is given again",
    "record-taken-back": "it is a way back itself: the record is made again",
    "change-taken-up": "it is a way back itself: the change is overridden again",
    "advice-given": "no crew records it",
    "car-described": "the car file is edited again, in the shop",
    "pass-imported": "a file's rows are history beside the loop; the backup holds the log without",
    "logs-merged": "another laptop's log is taken in by a command, which makes a backup before it",
    "sheet-answered": "a sheet has its own way back, sheet-taken-back",
    "sheet-taken-back": "it is a way back itself",
    "sheet-continued": "the round is a new one; the finished one stays",
    "unread": "a newer program wrote it: the log is only looked at until this one is updated too",
    "damper-opened": "what was inside is put back by its change, or opened once more",
    "damper-doubted": "the car file is edited again; the question has an answer for a slip",
    "damper-doubt-settled": "another damper is fitted, or the one that was is fitted again",
    "sheet-closed": "a finished sheet is corrected by a round that continues it",
}


def test_every_kind_has_its_way_back_or_its_reason() -> None:
    kinds = {one.model_fields["kind"].default for one in EventBody.__subclasses__()}
    assert kinds == WAYS.keys() | CANNOT.keys()
    assert not WAYS.keys() & CANNOT.keys()


@pytest.mark.parametrize("kind", WAYS)
def test_a_kind_is_recorded_and_taken_back(kind: str) -> None:
    crew = advised()
    WAYS[kind](crew)
    assert kind in {event.body.kind for event in crew.log}


def ask(crew: Crew, form: str, **filled: Any) -> Any:
    return FORMS[form](crew.state, crew.book, filled)


def test_the_correction_form_offers_what_else_was_recorded() -> None:
    crew = advised()
    crew.do("note", text="wrong")
    crew.do("slip", sixty=1.432)
    first = ask(crew, "correct")
    assert [one.id for one in first.choices] == ["1", "else"]
    listed = ask(crew, "correct", run="else")
    note = next(one for one in listed.choices if "wrong" in one.label)
    action = ask(crew, "correct", run="else", record=note.id)
    crew.do(**action.model_dump())
    assert crew.state.notes == ()
    of_this = ask(crew, "correct", run="1")
    slip = next(one for one in of_this.choices if one.label.startswith("Take the whole"))
    crew.do(**ask(crew, "correct", run="1", prompt=slip.id).model_dump())
    assert crew.run.slip is None


def test_a_file_of_answers_names_the_pass_by_its_number() -> None:
    crew = advised()
    crew.do("slip", sixty=1.432)
    crew.do("conditions", lane="left")
    crew.do("take back", record="slip", of="1")
    crew.do("take back", record="conditions")
    assert (crew.run.slip, crew.run.conditions) == (None, None)
    with pytest.raises(ActionError, match="not there"):
        crew.do("take back", record="slip", of="1")
