"""A valving or springs that no lever of the file names: one change, one verdict, one way back."""

from typing import Any

import pytest

from rules.advice.by_mechanics.decide import judged_by_mechanics
from rules.advice.change_evidence import settings_of, verdict_of
from rules.advice.safety.gates import open_blocks
from rules.advice.situation import situation
from rules.advice.timed_passes import name_of
from rules.car.model import Car
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.rounds import filling, open_field
from rules.log.folds.fold import fold
from rules.log.other_parts import is_evidence, other_parts, same_parts
from rules.paper.baseline_card import baseline_card
from rules.paper.page import as_markdown
from rules.question import ActionError
from tests.rules.crew.sheets.test_dampers import fill, finish
from tests.rules.crew.test_landing_story import story_car
from tests.support.crew import LEVERS, SQUATS, Crew, invented_car, knob
from tests.support.launch.car_questions import shipped_car
from tui.lines import off_baseline

FRONT = (knob("rebound", "rebound"), knob("compression", "compression", "high"))


def car() -> Car:
    """Return a car whose file has no lever for valvings or springs."""
    return invented_car(front=FRONT)


def counted(crew: Crew, at: str = "9") -> None:
    while crew.prompt.id.startswith("recount:"):
        crew.say(at)


def listed(crew: Crew) -> None:
    while crew.prompt.kind == "tick":
        crew.say("all ok")


def revalved(crew: Crew, where: str = "front", into: str = "R2") -> None:
    fill(crew, job="valving", where=where, how="opened", by="the maker", stroke="rebound")
    fill(crew, out="R1", **{"in": into}, gas="as noted", baseline="later")
    finish(crew)


def resprung(crew: Crew) -> None:
    fill(crew, job="springs", axle="front", spring="Blue", rate="", baseline="later")
    finish(crew)


def in_doubt(crew: Crew) -> None:
    """The car file counts a knob anew, and the crew says that the damper was opened."""
    from rules.crew.damper_doubts import doubts

    other = invented_car(front=[knob("rebound", "rebound", clicks=12), FRONT[1]])
    told = doubts(crew.state.described_car, other)
    crew.record(told)
    crew.say("opened")
    counted(crew)


JOBS = {"both sides": revalved, "one side": lambda crew: revalved(crew, "left front"),
        "springs": resprung, "by the car file": in_doubt}  # fmt: skip


@pytest.mark.parametrize("job", JOBS.values(), ids=JOBS)
def test_whatever_was_changed_inside_is_asked_about_after_its_pass_and_goes_back(job: Any) -> None:
    crew = Crew(car())
    crew.good_pass(1.400)
    crew.good_pass(1.402)
    before = crew.state
    job(crew)
    listed(crew)
    change = crew.last
    assert crew.prompt.id == "ran"
    assert not same_parts(crew.state, crew.run)
    crew.say("ran")
    crew.do("slip", sixty=1.450)
    crew.tell(verdict="worse", symptoms=["spins-at-hit"], **SQUATS)
    judged = crew.state.change(change.id)
    assert (judged.status, judged.verdict) == ("judged", "worse")
    assert is_evidence(crew.state, judged)
    known = verdict_of(crew.state, crew.book, judged)
    assert ([run.number for run in known.before], [run.number for run in known.after]) == (
        [1, 2],
        [3],
    )
    assert crew.advice.kind == "put back"
    assert crew.advice.undoes == (change.id,)
    crew.say("make")
    assert crew.prompt.id == "part"
    assert crew.say("not-yet").id == "part"
    crew.say("done")
    counted(crew)
    listed(crew)
    assert crew.state.change(change.id).status == "withdrawn"
    assert crew.state.settings == before.settings
    assert all(same_parts(crew.state, run) for run in before.runs)
    assert name_of(crew.state, before.runs[0]) != name_of(crew.state, crew.state.runs[2])
    assert fold(crew.log) == crew.state


def test_counts_that_keep_the_force_are_one_change_with_their_valving() -> None:
    """With both tables in the file and no lever: 225 N at 50 mm/s is at 10 of the new twelve."""
    crew = Crew(story_car(levers=LEVERS))
    crew.good_pass(1.400)
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    fill(crew, out="C1", **{"in": "C2"}, shims="", oil="no")
    one = open_field(DAMPERS, filling(DAMPERS, crew.state))
    assert one is not None
    assert "Compression that keeps the force: 10 (the settle), 6 (high speed)" in one.hint
    told = {f"after {side} front compression": "10" for side in ("left", "right")}
    told |= {f"after {side} front bleed": "14" for side in ("left", "right")}
    fill(crew, after="other", **told, baseline="later")
    finish(crew)
    listed(crew)
    change = crew.last
    old, new = settings_of(crew.state, change)
    assert (old["left front compression"], new["left front compression"]) == (12, 10)
    crew.say("ran")
    crew.do("slip", sixty=1.440)
    crew.tell(verdict="worse", symptoms=["spins-at-hit"], stand="small", **SQUATS)
    known = verdict_of(crew.state, crew.book, crew.state.change(change.id))
    assert ([run.number for run in known.before], [run.number for run in known.after]) == (
        [1],
        [2],
    )
    assert "Counts with it: compression 10 to 12." in crew.advice.look_for
    crew.say("make")
    assert "Counts with it: compression 10 to 12." in crew.prompt.hint
    crew.say("done")
    while crew.prompt.id.startswith("recount:"):
        one = crew.fitted[crew.prompt.subject]
        assert "It stood at" in crew.prompt.hint
        crew.say("12" if one.name == "compression" else "14")
    assert crew.off == {}


def test_the_way_back_stands_where_the_launch_would_weigh_turns() -> None:
    """It knows nothing of the part before, so no turn is worth more by its word."""
    crew = Crew(shipped_car("demo"))
    crew.good_pass(1.400)
    revalved(crew, "rear")
    listed(crew)
    crew.say("ran")
    crew.tell(verdict="worse", symptoms=["spins-at-hit"], **SQUATS)
    draft = crew.advice
    now = situation(crew.state, crew.run, crew.book)
    assert (draft.kind, draft.undoes) == ("put back", (crew.last.id,))
    assert not judged_by_mechanics(now, draft)
    assert judged_by_mechanics(now, draft.model_copy(update={"kind": "turn"}))


def test_a_baseline_without_the_part_is_not_said_to_be_all_there() -> None:
    crew = Crew(car())
    revalved(crew)
    assert off_baseline(crew.state) == ["front dampers"]
    resprung(crew)
    assert off_baseline(crew.state) == ["front dampers", "front springs"]


def test_the_card_of_a_baseline_says_which_damper_its_counts_are_of() -> None:
    crew = Crew(car())
    assert "Damper:" not in as_markdown(baseline_card(crew.state))
    revalved(crew)
    (before,) = baseline_card(crew.state).sections[0].lines
    assert before.endswith("; another, or another inside, is on the car now.")
    crew.do("declare baseline", name="With R2")
    (now,) = baseline_card(crew.state).sections[0].lines
    assert now == "Damper: the one that was on the left front; rebound R2."


def test_the_list_of_the_job_comes_before_the_pass() -> None:
    crew = Crew(car())
    revalved(crew)
    assert [one.inspection for one in open_blocks(crew.state, crew.book)] == ["damper-opened"]
    assert crew.prompt.id == "inspect:damper-opened"


def test_what_was_learnt_before_is_set_aside_and_comes_back_with_the_valving() -> None:
    crew = Crew(car())
    crew.tell(symptoms=["spins-at-hit"], **SQUATS)
    turned = crew.make()
    crew.say("ran")
    crew.tell(verdict="gone", symptoms=["it-is-good"])
    crew.say("ok")
    assert is_evidence(crew.state, crew.state.change(turned.id))
    revalved(crew, "rear")
    listed(crew)
    assert other_parts(crew.state, crew.state.change(turned.id))
    crew.do("undo last change", knowing=True)
    crew.say("done")
    while crew.prompt.id.startswith("recount:"):
        crew.say(crew.fitted[crew.prompt.subject].show(crew.state.settings[crew.prompt.subject]))
    listed(crew)
    assert is_evidence(crew.state, crew.state.change(turned.id))


def test_it_lies_on_top_of_a_change_that_waits_and_neither_proves_anything() -> None:
    crew = Crew(car())
    crew.do("already turned", adjuster="left rear rebound", now="11")
    under = crew.last
    revalved(crew)
    assert crew.last.mixed
    assert crew.state.change(under.id).mixed
    assert crew.state.change(under.id).set_aside


def test_everything_to_the_baseline_takes_the_part_out_as_well_then_the_counts() -> None:
    crew = Crew(car())
    revalved(crew)
    listed(crew)
    change = crew.last
    crew.do("already turned", adjuster="left rear rebound", now="11")
    resprung(crew)
    sprung = crew.last
    crew.do("put back to baseline")
    assert crew.prompt.question.startswith("Front springs: the springs before in again")
    crew.say("done")
    assert crew.prompt.question.startswith("Front rebound valving, both sides: R1 in again")
    crew.say("done")
    counted(crew)
    crew.tick()
    assert crew.off == {}
    assert off_baseline(crew.state) == []
    assert {crew.state.change(one.id).status for one in (change, sprung)} == {"withdrawn"}
    with pytest.raises(ActionError, match="stands at the baseline"):
        crew.do("put back to baseline")


def test_a_baseline_that_has_the_part_keeps_it() -> None:
    crew = Crew(car())
    revalved(crew)
    crew.do("declare baseline", name="With R2")
    crew.do("already turned", adjuster="left rear rebound", now="11")
    crew.put_back()
    assert crew.last.part is None
    assert crew.off == {}


def test_it_is_not_taken_back_by_a_key_that_goes_one_question_back() -> None:
    crew = Crew(car())
    revalved(crew)
    listed(crew)
    assert crew.prompt.id == "ran"
    crew.back()
    assert crew.last.status == "applied"


def test_an_order_that_is_not_made_stays_off_and_the_valving_on() -> None:
    crew = Crew(car())
    revalved(crew)
    listed(crew)
    change = crew.last
    crew.do("undo last change")
    crew.say("not done")
    assert crew.state.change(change.id).status == "applied"
    assert crew.prompt.id == "ran"


def test_the_part_before_is_not_ordered_in_again_where_a_danger_was_seen_with_it() -> None:
    crew = Crew(car())
    crew.tell(symptoms=["front-drops-hard"], stand="dangerous", front_travel="at-stop")
    crew.say("leave")
    revalved(crew)
    listed(crew)
    with pytest.raises(ActionError, match="leads back to a danger: the wheelie was over"):
        crew.do("undo last change")
    crew.say("ran")
    crew.tell(verdict="worse", symptoms=["front-drops-hard"], stand="dangerous",
              front_travel="at-stop")  # fmt: skip
    assert crew.advice.kind != "put back"


def test_a_half_made_order_is_finished_first() -> None:
    crew = Crew(car())
    crew.tell(symptoms=["spins-at-hit"], **SQUATS)
    crew.say("make", "done")
    fill(crew, job="valving", where="front", how="opened", by="the maker", stroke="rebound")
    fill(crew, out="R1", **{"in": "R2"}, gas="as noted", baseline="later")
    with pytest.raises(ActionError, match="is not finished"):
        finish(crew)
