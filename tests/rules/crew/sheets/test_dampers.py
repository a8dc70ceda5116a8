"""Jobs on dampers, walked on their sheet: valving, with its counts and its one change."""

from typing import Any

import pytest

from rules.advice.safety.gates import open_blocks
from rules.car.model import Car
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.dampers.valving import forces
from rules.crew.sheets.rounds import filling, open_field
from rules.log.other_parts import is_evidence
from rules.question import ActionError
from tests.support.crew import LEVERS, Crew, invented_car, knob
from tests.support.dyno_tables import FIRM, HARD, SOFT

LEVER = {
    "id": "front valving", "kind": "valving", "axle": "front", "minutes": 15, "lift_car": True,
    "positions": ["C1", "C2", "C3"], "start": "C1",
}  # fmt: skip
STOCK = (
    {"kind": "valving", "axle": "front", "name": "C2", "compression_dyno": FIRM},
    {"kind": "valving", "axle": "front", "name": "C3", "compression_dyno": HARD},
    {"kind": "valving", "axle": "front", "name": "R9", "rebound_dyno": FIRM},
    {"kind": "valving", "axle": "rear", "name": "B1", "compression_dyno": FIRM},
)


def valved(levers: tuple[dict[str, Any], ...] = (LEVER,), **more: Any) -> Car:
    front = [
        knob("rebound", "rebound"),
        knob("compression", "compression", "high", clicks=12, start=12, compression_dyno=SOFT),
    ]
    return invented_car(front=front, levers=[*LEVERS, *levers], stock=STOCK, **more)


def fill(crew: Crew, **told: Any) -> None:
    """Answer the open questions of the sheet by their keys, with _ for a blank."""
    answers = {key.replace("_", " "): value for key, value in told.items()}
    while answers:
        one = open_field(DAMPERS, filling(DAMPERS, crew.state))
        assert one is not None, answers
        value = answers.pop(one.key) if one.key in answers else _rest(one.key)
        crew.do("answer sheet", sheet="dampers", key=one.key, value=value)


def _rest(key: str) -> str:
    return {"before": "as in the book", "after": "as in the book", "oil": "no", "shims": ""}[key]


def finish(crew: Crew) -> None:
    crew.do("finish sheet", sheet="dampers")


def tick_lists(crew: Crew) -> None:
    while crew.prompt.kind == "tick":
        crew.say("all ok")


def revalved(crew: Crew, into: str = "C2", clicks: str = "low speed", **more: Any) -> None:
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    fill(crew, **{"in": into}, clicks=clicks, **more)
    finish(crew)


def test_a_valving_from_outside_is_one_change_with_its_clicks_and_its_list_first() -> None:
    crew = Crew(valved())
    revalved(crew)
    change = crew.state.work_order
    assert change is not None
    assert (
        change.title == "Front valving: C1 to C2, compression 12 to 6 to keep the low-speed force"
    )
    assert crew.state.settings["front valving"] == 1
    assert [one.inspection for one in open_blocks(crew.state, crew.book)] == ["damper-opened"]
    for side in ("left", "right"):
        assert crew.prompt.id == f"turn:{side} front compression"
        crew.say("done")
    assert crew.prompt.id == "inspect:damper-opened"
    tick_lists(crew)
    assert crew.prompt.id == "ran"
    jobs = crew.state.dampers.jobs
    assert [job.change for job in jobs] == [change.id]
    assert jobs[0].places == ("left front", "right front")


def test_the_way_back_is_the_valving_and_the_clicks_and_evidence_returns() -> None:
    crew = Crew(valved())
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="short-harsh")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", stand="small", front_travel="short-harsh")
    first = crew.last
    assert is_evidence(crew.state, first)
    before = dict(crew.state.settings)
    revalved(crew, clicks="counts as they are")
    tick_lists(crew)
    assert not is_evidence(crew.state, first)
    crew.do("undo last change", knowing=True)
    while crew.prompt.id.startswith("turn:"):
        crew.say("done")
        tick_lists(crew)
    assert dict(crew.state.settings) == before
    assert is_evidence(crew.state, crew.state.change(first.id))


def test_forces_stand_side_by_side_and_the_nearest_end_is_offered() -> None:
    """1200 N at slow speed is asked of a pack that gives 4000 N at its softest: 0 is nearest."""
    crew = Crew(valved())
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    fill(crew, **{"in": "C3"}, shims="", after="as in the book")
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    assert one.key == "clicks"
    labels = {choice.id: choice for choice in one.choices}
    assert labels["low speed"].why_not
    assert labels["nearest end"].label == "No click gives it: the nearest end, compression 0"
    assert "no count; the end at 0 is nearest" in one.hint
    key, rows = forces(filling(DAMPERS, crew.state))
    assert key == "left front compression"
    assert [round(row.wanted) for row in rows[:2]] == [402, 1216] or rows[0].count is None


def test_the_force_that_is_kept_is_that_of_the_side_and_the_strokes_of_the_job() -> None:
    """The soft pack gives 200 N at count 6, which is the firm one's softest: count 0."""
    both_ways = {
        "kind": "valving", "axle": "front", "name": "C9", "compression_dyno": FIRM,
        "rebound_dyno": FIRM,
    }  # fmt: skip
    front = [
        knob("rebound", "rebound", clicks=12, start=12, rebound_dyno=SOFT),
        knob("compression", "compression", clicks=12, start=12, compression_dyno=SOFT),
    ]
    crew = Crew(invented_car(front=front, levers=LEVERS, stock=[both_ways]))
    crew.do("recount", adjuster="right front compression", found="6")
    fill(crew, job="valving", where="right front", how="opened", by="the maker", stroke="both")
    fill(crew, out="C1", **{"in": "C9"}, gas="as noted")
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    assert "Compression that keeps the force: 0" in one.hint
    assert "Rebound that keeps the force: 6" in one.hint
    says = DAMPERS.result(filling(DAMPERS, crew.state)).says
    assert "Compression and rebound valving, right front: C9 is in." in says
    assert any(row.startswith("Rebound, ") and "count 6" in row for row in says)


def test_a_pack_of_the_stroke_that_the_lever_does_not_name_can_be_said() -> None:
    """The lever's packs have compression tables alone, so a rebound pack is a change without it."""
    crew = Crew(valved())
    fill(crew, job="valving", where="front", how="opened", by="the maker", stroke="rebound")
    fill(crew, out="R1", **{"in": "R9"}, gas="as noted", baseline="later")
    finish(crew)
    assert crew.state.settings["front valving"] == 0
    assert crew.state.changes[-1].title.endswith("both sides: R1 to R9")


@pytest.mark.parametrize(
    ("into", "words"),
    [
        ("R9", "a valving for rebound; wanted one for compression"),
        ("B1", "which is for the rear; wanted one for this end"),
    ],
)
def test_a_valving_for_the_other_stroke_or_end_is_said(into: str, words: str) -> None:
    crew = Crew(valved(levers=()))
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    fill(crew, out="C1")
    with pytest.raises(ActionError, match=words):
        crew.do("answer sheet", sheet="dampers", key="in", value=into)
    assert filling(DAMPERS, crew.state).said("out") == "C1"


def test_a_count_above_the_range_is_said_and_nothing_is_lost() -> None:
    crew = Crew(valved())
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    fill(crew, before="other")
    key = "before left front compression"
    with pytest.raises(ActionError, match="found 40, wanted whole clicks, 0 to 12"):
        crew.do("answer sheet", sheet="dampers", key=key, value="40")
    assert filling(DAMPERS, crew.state).said("before") == "other"


def test_oil_seen_is_a_fluid_found() -> None:
    crew = Crew(valved())
    revalved(crew, oil="yes")
    asked = {one.inspection for one in open_blocks(crew.state, crew.book)}
    assert asked == {"damper-opened", "fluid-leak"}


def test_without_a_lever_the_job_is_one_change_that_waits_for_its_pass() -> None:
    crew = Crew(valved(levers=()))
    fill(crew, job="valving", where="front", how="opened", by="the maker", stroke="rebound")
    fill(crew, out="R1", **{"in": "R2"}, shims="2 x 0.20", gas="150 psi, as the maker noted")
    fill(crew, after="as in the book", baseline="new", baseline_name="With R2 in")
    finish(crew)
    assert crew.state.baseline is not None
    assert crew.state.baseline.name == "With R2 in"
    assert crew.state.work_order is None
    (job,) = crew.state.dampers.jobs
    assert "opened, now rebound R2, 2 x 0.20" in job.says
    tick_lists(crew)
    assert crew.last.title == "Front rebound valving, both sides: R1 to R2, 2 x 0.20"
    assert crew.prompt.id == "ran"


def test_counts_read_otherwise_before_are_a_recount_first() -> None:
    crew = Crew(valved())
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    told = {f"before {side} front compression": "9" for side in ("left", "right")}
    fill(crew, before="other", **told)
    fill(crew, **{"in": "C2"}, after="other")
    told = {f"after {side} front compression": "0" for side in ("left", "right")}
    fill(crew, **told, clicks="low speed")
    finish(crew)
    change = crew.last
    turn = change.steps[1].turn
    assert (turn.before, turn.after) == (9, 3)
    assert change.steps[1].now == 0
    assert crew.state.settings["left front compression"] == 0
