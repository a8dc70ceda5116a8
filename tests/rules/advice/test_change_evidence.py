"""What the log says of a change: which passes count, what the times say, and what is done then."""

from typing import Any

import pytest

from rules.advice.advise import advise
from rules.advice.change_evidence import ChangeVerdict, latest_tried, settings_of, verdict_of
from rules.advice.decision import FollowUp, follow_up
from rules.advice.timed_passes import day_fit, is_counted, pass_times
from rules.book import shipped
from rules.car.body import Axle
from rules.car.model import Car
from rules.evidence.worth import USUAL_WORTH_S
from rules.log.changes import Change
from tests.support.crew import SQUATS, Crew, invented_car

BOOK = shipped()


def own_turn(crew: Crew, now: str) -> None:
    crew.do("already turned", adjuster="left rear compression", now=now, sides="both")


def judged(crew: Crew, sixty: float, verdict: str = "same", **more: Any) -> None:
    """Run the pass of the open change and judge it."""
    crew.say("ran")
    crew.do("slip", sixty=sixty)
    crew.tell(verdict=verdict, **{**SQUATS, **more})


def known(crew: Crew, change: Change | None = None) -> ChangeVerdict:
    return verdict_of(crew.state, BOOK, change or next(latest_tried(crew.state)))


def follow(crew: Crew, change: Change | None = None) -> FollowUp | None:
    return follow_up(crew.state, BOOK, change or next(latest_tried(crew.state)))


def decided(crew: Crew, change: Change | None = None) -> FollowUp:
    found = follow(crew, change)
    assert found is not None
    return found


def with_an_advised_change(*sixties: float, car: Car | None = None) -> Crew:
    """Passes on the baseline, then a change for spin that waits for its pass."""
    crew = Crew(car)
    for sixty in sixties[:-1]:
        crew.good_pass(sixty)
    crew.say(["spins-at-hit"])
    crew.do("slip", sixty=sixties[-1])
    crew.tell(**SQUATS)
    assert crew.advice.kind == "turn", crew.advice.title
    crew.make()
    return crew


def test_lifted_aborted_and_spun_passes_never_count() -> None:
    crew = Crew()
    for marks in ((), ("lifted",), ("aborted",), ("spun",), ("red light",)):
        crew.good_pass(1.43, *marks)
    times = pass_times(crew.state, "m")
    assert [one.clean for one in times] == [True, False, False, False, True]
    day = day_fit(crew.state, "m")
    assert day is not None
    assert [one.order for one in day.passes] == [1, 5]


def test_a_pass_on_which_something_else_changed_never_counts() -> None:
    crew = Crew()
    crew.say(["spins-at-hit"])
    crew.do("slip", sixty=1.43)
    crew.say(["burnout"])
    assert not is_counted(crew.run)


def test_a_pass_in_doubt_after_a_recount_never_counts() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    assert is_counted(crew.run)
    crew.do("recount", adjuster="left rear rebound", found="7")
    assert not is_counted(crew.run)


def test_every_pass_keeps_what_it_ran_with() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    judged(crew, 1.42)
    first, second = crew.state.runs
    assert first.settings["left rear compression"] == 9
    assert second.settings["right rear compression"] == 11
    old, new = settings_of(crew.state, crew.last)
    assert (old, new) == (dict(first.settings), dict(second.settings))


def test_what_is_worth_a_change_is_what_was_declared_before_it() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    judged(crew, 1.42)
    crew.do("worth", gain=0.02)
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    own_turn(crew, "12")
    judged(crew, 1.42)
    first, second = crew.state.changes
    assert known(crew, first).worth_s == USUAL_WORTH_S
    assert known(crew, second).worth_s == 0.02


def test_one_pass_each_is_labelled_for_what_it_is_worth() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    judged(crew, 1.40)
    told = known(crew)
    assert told.times is not None
    assert told.times.word == "cannot tell"
    assert told.times.design.letters == "AB"
    assert "worth little" in told.times.design.label
    # Shrunk: half of the plain difference of -0.030 s at the most.
    assert -0.02 < told.times.effect.mean < 0.0
    assert [one.letters for one in told.offers] == ["BA", "A"]


def test_a_b_a_is_recognised_after_the_way_back() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    judged(crew, 1.40, symptoms=["it-is-good"])
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    crew.do("undo last change")
    crew.tick()
    crew.good_pass(1.43)
    told = known(crew)
    assert told.times is not None
    assert told.times.design.letters == "ABA"
    assert told.times.design.returned


def test_probably_slower_and_no_better_is_put_back() -> None:
    crew = with_an_advised_change(1.430, 1.432, 1.431)
    judged(crew, 1.475)
    assert crew.advice.kind == "put back"
    assert crew.advice.cause.startswith("Probably worse")
    evidence = crew.advice.basis.evidence
    assert evidence is not None
    assert evidence.quicker < 1 / 3
    assert evidence.passes == (1, 2, 3, 4)
    again = advise(crew.state, crew.run, BOOK)
    assert again.basis.evidence == evidence
    assert again.turns == crew.advice.turns


def test_no_slower_and_no_better_gets_the_trades_second_step() -> None:
    crew = with_an_advised_change(1.430, 1.432, 1.431)
    judged(crew, 1.431)
    assert crew.advice.kind == "turn"
    assert decided(crew).act == "go further"


def test_a_slip_that_comes_after_the_advice_is_weighed() -> None:
    crew = with_an_advised_change(1.430, 1.432, 1.431)
    crew.say("ran")
    crew.tell(verdict="same", **SQUATS)
    assert crew.advice.kind == "turn"
    crew.do("slip", sixty=1.475)
    assert crew.advice.kind == "put back"
    crew.do("slip", sixty=1.430)
    assert crew.advice.kind == "turn"


def test_a_quicker_time_never_outweighs_a_worse_fault() -> None:
    crew = with_an_advised_change(1.430, 1.432, 1.431)
    judged(crew, 1.38, "worse")
    assert crew.advice.kind == "put back"
    assert decided(crew).act == "put back"


def test_time_is_no_reason_after_a_danger() -> None:
    crew = Crew()
    for sixty in (1.430, 1.432, 1.431):
        crew.good_pass(sixty)
    landing: dict[str, Any] = {"stand": "big", "front_travel": "short-harsh"}
    crew.tell(symptoms=["front-drops-hard"], **landing)
    assert crew.advice.kind == "turn"
    crew.make()
    crew.say("ran")
    crew.do("slip", sixty=1.48)
    crew.tell(verdict="better", **landing)
    assert crew.advice.kind == "turn", "softer landings cost a hundredth, and that is their price"


def test_a_scrape_that_grew_outweighs_what_looked_better() -> None:
    crew = Crew()
    landing: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}
    crew.say(["front-drops-hard"])
    crew.do("measure", what="scrape", inputs={"clearance": 90, "depth": 0})
    crew.tell(**landing)
    crew.make()
    crew.say("ran")
    crew.do("measure", what="scrape", inputs={"clearance": 90, "depth": 8})
    crew.tell(verdict="better", stand="small", front_travel="short-harsh")
    assert crew.advice.kind == "put back"
    assert crew.advice.cause == "scrape got worse: safety outranks time."


def test_what_was_measured_against_what_was_seen_asks_for_another_pass() -> None:
    crew = Crew()
    drags: dict[str, Any] = {"contact": "none", "squat_when": "hit"}
    crew.say(["squats-and-drags"])
    crew.do("measure", what="rear ring", inputs={"ring": 40, "ratio": 1.0})
    crew.tell(**drags)
    assert crew.advice.kind == "turn", crew.advice.title
    crew.make()
    crew.say("ran")
    crew.do("measure", what="rear ring", inputs={"ring": 60, "ratio": 1.0})
    crew.tell(verdict="better", **drags)
    assert crew.advice.kind == "control"
    assert "rear O-ring says worse" in crew.advice.cause


def test_a_put_back_that_a_gate_forbids_is_not_decided() -> None:
    crew = Crew()
    landing: dict[str, Any] = {"stand": "big", "front_travel": "short-harsh"}
    crew.say(["front-drops-hard"])
    crew.do("measure", what="scrape", inputs={"clearance": 90, "depth": 0})
    crew.tell(**landing)
    crew.make()
    crew.say("ran")
    crew.do("measure", what="scrape", inputs={"clearance": 90, "depth": 8})
    crew.tell(verdict="better", **landing)
    assert decided(crew).act == "go further"
    assert "never lets the front rise more" in decided(crew).text
    assert crew.advice.kind == "turn", "front rebound firmer, as the landing asks for"


def test_a_change_under_another_is_not_judged_alone() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    crew.do("already turned", adjuster="left front rebound", now="11", sides="both")
    judged(crew, 1.42)
    assert crew.last.mixed
    assert follow(crew) is None


def test_two_knobs_that_answer_for_one_another_are_flagged() -> None:
    crew = Crew()
    crew.good_pass(1.43)
    own_turn(crew, "11")
    crew.do("already turned", adjuster="left rear rebound", now="11", sides="both")
    judged(crew, 1.42)
    pairs = [{one.one, one.other} for one in known(crew).interactions]
    assert pairs == [{"rear compression", "rear rebound"}]


def test_without_a_slip_there_are_no_times() -> None:
    crew = Crew()
    crew.say(["it-is-good"], ["nothing"], "ok")
    own_turn(crew, "11")
    crew.say("ran")
    crew.tell(verdict="better")
    told = known(crew)
    assert told.times is None
    assert told.day is None


@pytest.mark.parametrize("gain", [0.0, -1.0, 9.0, float("nan")])
def test_a_gain_that_is_none_is_refused(gain: float) -> None:
    crew = Crew()
    with pytest.raises(Exception, match=r"wanted 0\.003 to 0.2 s"):
        crew.do("worth", gain=gain)
    assert crew.state.worth_s is None


def test_a_harder_landing_is_a_danger_whatever_the_change_was_for() -> None:
    axle = Axle.model_validate({"tyre_diameter": 0.66, "motion_ratio": 0.9, "bump_travel": 0.075})
    crew = Crew(invented_car().model_copy(update={"front": axle}))
    crew.say(["spins-at-hit"])
    film = {"tyre px": 132, "earlier gap": 40, "last gap": 10, "rate": 60}
    crew.do("measure", what="touchdown", inputs={**film, "frames": 10})
    crew.tell(**SQUATS)
    crew.make()
    crew.say("ran")
    crew.do("measure", what="touchdown", inputs={**film, "frames": 4})
    crew.tell(verdict="better", **SQUATS)
    told = known(crew)
    assert told.is_dangerous
    assert decided(crew).act == "put back"
    assert decided(crew).reason == "touchdown speed got worse: safety outranks time."


def test_the_cause_of_a_further_step_is_in_the_crews_word_of_the_fault() -> None:
    crew = with_an_advised_change(1.430, 1.432, 1.431)
    judged(crew, 1.431, "better")
    assert crew.advice.cause.startswith("Better, and the fault is still there")
    crew = with_an_advised_change(1.430, 1.432, 1.431)
    judged(crew, 1.400)
    assert crew.advice.cause.startswith("The fault is as before")
    assert "no effect" not in decided(crew).reason.lower()
