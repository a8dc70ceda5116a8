"""Another valving with its clicks is one change: proposed, walked, judged and put back as one."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.advice.advise import advise
from rules.advice.candidates import candidates
from rules.advice.change_evidence import verdict_of
from rules.advice.situation import situation
from rules.car.adjusters import adjusters
from rules.car.model import Car
from rules.crew.forms import FORMS
from rules.crew.valving_change import ChangeValving
from rules.launch.kept_force import kept_counts
from rules.launch.proposed_change import Expected, ProposedChange
from rules.log.changes import Change
from rules.question import ActionError
from tests.support.crew import LEVERS, Crew, invented_car, knob
from tests.support.dyno_tables import FIRM, HARD, SOFT
from tests.support.own_rule import VALVING, own
from tests.support.sample import examples

LEVER = {
    "id": "front valving", "kind": "valving", "axle": "front", "minutes": 60, "lift_car": True,
    "positions": ["stack 1", "stack 2", "stack 3"], "start": "stack 1",
}  # fmt: skip
STOCK = (
    {"kind": "valving", "axle": "front", "name": "stack 2", "rebound_dyno": FIRM},
    {"kind": "valving", "axle": "front", "name": "stack 3", "rebound_dyno": HARD},
)


def valved(start: float = 9, **more: Any) -> Car:
    front = [
        knob("rebound", "rebound", clicks=12, start=start, rebound_dyno=SOFT),
        knob("compression", "compression", clicks=12, start=4),
    ]
    return invented_car(front=front, levers=[*LEVERS, LEVER], **{"stock": STOCK, **more})


def the_change(crew: Crew) -> Change:
    (change,) = crew.state.changes
    return change


def turns_of(change: Change) -> dict[str, tuple[float, float]]:
    return {step.turn.adjuster: (step.turn.before, step.turn.after) for step in change.steps}


def test_valving_and_clicks_are_one_change_of_its_own() -> None:
    """Twice the force is six clicks, so nine on the soft stack are three on the firm one."""
    crew = Crew(valved())
    crew.do("valving changed", lever="front valving", to="stack 2")
    change = the_change(crew)
    assert change.title == (
        "Front valving: stack 1 to stack 2, rebound 9 to 3 to keep the low-speed force"
    )
    assert change.origin == "own"
    assert turns_of(change) == {
        "front valving": (0, 1),
        "left front rebound": (9, 3),
        "right front rebound": (9, 3),
    }
    assert crew.state.work_order == change


def test_it_is_walked_judged_and_put_back_to_the_baseline_as_one() -> None:
    crew = Crew(valved())
    before = dict(crew.state.settings)
    crew.do("valving changed", lever="front valving", to="stack 2")
    crew.tick()
    assert the_change(crew).status == "applied"
    crew.say("ran")
    assert the_change(crew).runs == (crew.state.runs[-1].id,)
    crew.tell(symptoms=["it-is-good"], verdict="better")
    assert the_change(crew).status == "judged"
    assert the_change(crew).verdict == "better"
    crew.do("put back to baseline")
    back = crew.state.work_order
    assert back is not None
    assert back.undoes == (crew.state.changes[0].id,)
    crew.tick()
    assert dict(crew.state.settings) == before
    assert [one.status for one in crew.state.changes] == ["withdrawn", "applied"]


def test_undo_puts_back_all_of_it() -> None:
    crew = Crew(valved())
    before = dict(crew.state.settings)
    crew.do(
        "valving changed", lever="front valving", to="stack 2", counts={"left front rebound": 5}
    )
    crew.tick()
    crew.do("undo last change")
    crew.tick()
    assert dict(crew.state.settings) == before


def test_the_high_speed_answer_stands_apart() -> None:
    """Six clicks at slow speed are nine at fast: twelve on the soft stack are six, or three."""
    car = valved(start=12)
    lever = adjusters(car)["front valving"]
    stands = Crew(car).state.settings
    both = {
        speed: kept_counts(car, stands, lever, 1, speed) for speed in ("low speed", "high speed")
    }
    assert both == {
        "low speed": {"left front rebound": 6, "right front rebound": 6},
        "high speed": {"left front rebound": 3, "right front rebound": 3},
    }


@pytest.mark.parametrize(
    ("more", "to"),
    [
        ({}, "stack 3"),  # no click of it is soft enough
        ({"stock": ()}, "stack 2"),  # nobody measured it
    ],
)
def test_counts_stay_where_no_click_is_known(more: dict[str, Any], to: str) -> None:
    crew = Crew(valved(**more))
    crew.do("valving changed", lever="front valving", to=to)
    assert the_change(crew).title == f"Front valving: stack 1 to {to}"
    assert list(turns_of(the_change(crew))) == ["front valving"]


def test_a_count_near_shut_is_left_to_the_crew() -> None:
    """Back from the firm stack, three clicks more than shut allows in one step are not proposed."""
    car = valved(start=9)
    lever = adjusters(car)["front valving"]
    on_firm = {**Crew(car).state.settings, "front valving": 1.0}
    on_firm |= {"left front rebound": 5.0, "right front rebound": 5.0}
    assert kept_counts(car, on_firm, lever, 0, "low speed") == {}


def test_typed_counts_carry_the_other_side_along() -> None:
    crew = Crew(valved())
    crew.do(
        "valving changed", lever="front valving", to="stack 2", counts={"left front rebound": 7}
    )
    assert turns_of(the_change(crew))["right front rebound"] == (9, 7)
    assert the_change(crew).title == "Front valving: stack 1 to stack 2, rebound 9 to 7"


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"lever": "launch rpm", "to": 1}, "lever: found 'launch rpm'; wanted front valving"),
        ({"lever": "front valving", "to": "stack 9"}, "wanted one of stack 1, stack 2, stack 3"),
        ({"lever": "front valving", "to": "stack 1"}, "at stack 1 already"),
        ({"counts": {"left rear rebound": 1}}, "counts: found 'left rear rebound'"),
        ({"counts": {"left front rebound": 40}}, "left front rebound: found 40"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_recorded(
    fields: dict[str, Any], says: str
) -> None:
    crew = Crew(valved())
    before = len(crew.log)
    with pytest.raises(ActionError, match=says):
        crew.do("valving changed", **{"lever": "front valving", "to": "stack 2"} | fields)
    assert len(crew.log) == before


def test_a_half_made_order_is_finished_first() -> None:
    crew = Crew(valved())
    crew.do("valving changed", lever="front valving", to="stack 2")
    crew.say("done")
    with pytest.raises(ActionError, match="is not finished"):
        crew.do("valving changed", lever="front valving", to="stack 3")


def test_an_order_of_which_nothing_is_made_gives_way() -> None:
    crew = Crew(valved())
    crew.do("valving changed", lever="front valving", to="stack 2")
    crew.do("valving changed", lever="front valving", to="stack 3")
    assert [one.status for one in crew.state.changes] == ["withdrawn", "proposed"]


def test_a_recount_half_way_leaves_the_count_that_belongs_to_the_valving() -> None:
    crew = Crew(valved())
    crew.do("valving changed", lever="front valving", to="stack 2")
    crew.say("done")
    crew.do("recount", adjuster="left front rebound", found=8)
    assert turns_of(the_change(crew))["left front rebound"] == (8, 3)


def test_a_valving_whose_clicks_could_not_be_made_is_never_evened_out() -> None:
    crew = Crew(valved())
    crew.do("valving changed", lever="front valving", to="stack 2")
    crew.say("done", "done", "not done")
    even = next(one for one in crew.prompt.choices if one.id == "even out")
    assert even.why_not == "its clicks belong to its valving"


def test_the_form_of_t_ends_in_the_same_action() -> None:
    crew = Crew(valved())
    filled: dict[str, Any] = {"adjuster": "front valving", "to": "stack 2"}
    asked: Any = FORMS["already turned"](crew.state, crew.book, filled)
    labels = {one.id: one.label for one in asked.choices}
    assert labels["low speed"] == (
        "Today's force kept at {2 in/s|51 mm/s}, the settle: rebound 9 to 3"
    )
    hard: Any = FORMS["already turned"](crew.state, crew.book, {**filled, "to": "stack 3"})
    assert [one.id for one in hard.choices if one.why_not] == [
        "low speed", "high speed", "rise speed",
    ]  # fmt: skip
    assert "wants a dyno table of both" in hard.hint
    ends = FORMS["already turned"](crew.state, crew.book, {**filled, "keep": "low speed"})
    assert ends == ChangeValving(lever="front valving", to="stack 2", knowing=True)
    typed: Any = FORMS["valving changed"](crew.state, crew.book, {**filled, "keep": "typed"})
    assert typed.id == "count left front rebound"
    assert typed.default == "9"
    counts = {"count left front rebound": "5", "count left front compression": "4"}
    ends = FORMS["valving changed"](crew.state, crew.book, {**filled, "keep": "typed", **counts})
    assert isinstance(ends, ChangeValving)
    assert ends.counts == {"left front rebound": "5", "left front compression": "4"}


def to_advice(crew: Crew, symptom: str, **answers: str) -> None:
    """Answer with the first choice of whatever else is asked."""
    crew.tell(symptoms=[symptom], **answers)
    while crew.prompt.id != "advice":
        crew.say(crew.prompt.choices[0].id)


def test_a_rule_for_firmer_valving_proposes_the_clicks_with_it() -> None:
    crew = Crew(valved(), own("spins-at-hit", VALVING, "firmer"))
    to_advice(crew, "spins-at-hit")
    assert crew.advice.rule == "own-idea"
    ends = "stack 1 to stack 2, rebound 9 to 3 to keep the low-speed force"
    assert crew.advice.title.endswith(ends)
    assert {turn.adjuster: turn.after for turn in crew.advice.turns} == {
        "front valving": 1,
        "left front rebound": 3,
        "right front rebound": 3,
    }
    crew.make()
    crew.say("ran")
    to_advice(crew, "spins-at-hit", verdict="worse")
    assert crew.advice.kind == "put back"
    assert len(crew.advice.turns) == 3


def test_the_model_is_asked_about_valving_and_clicks_as_a_whole() -> None:
    crew = Crew(valved(), own("spins-at-hit", VALVING, "firmer"))
    to_advice(crew, "spins-at-hit")
    asked: list[ProposedChange] = []

    def model(question: ProposedChange) -> Expected:
        asked.append(question)
        return Expected(standing="unsure", reason="asked", trade_step=1, step=1)

    advice = advise(crew.state, crew.run, crew.book, model)
    (question,) = asked
    (whole,) = question.steps
    moved = {key: value for key, value in whole.items() if value != question.settings[key]}
    assert moved == {turn.adjuster: turn.after for turn in advice.turns}
    assert len(moved) == 3


def test_after_a_big_stand_no_click_takes_the_firmness_back() -> None:
    """A gate lets no click go softer after a big stand: there the valving is proposed alone."""
    crew = Crew(valved())
    crew.tell(symptoms=["front-carries"], stand="dangerous", carry="long")
    now = situation(crew.state, crew.run, crew.book)
    one = next(c for c in candidates(now) if c.rule.id == "carries-valving-firmer")
    assert [turn.adjuster for turn in one.turns] == ["front valving"]


@given(
    start=st.integers(0, 12),
    to=st.sampled_from(["stack 2", "stack 3"]),
    keep=st.sampled_from(["low speed", "high speed", "counts as they are"]),
    made=st.integers(0, 3),
)
@examples(10, 40)
def test_however_far_it_was_made_the_way_back_is_the_baseline(
    start: int, to: str, keep: str, made: int
) -> None:
    crew = Crew(valved(start=start))
    before = dict(crew.state.settings)
    crew.do("valving changed", lever="front valving", to=to, keep=keep)
    left, right = (step.turn for step in (the_change(crew).steps + the_change(crew).steps)[-2:])
    assert left.after - left.before == right.after - right.before
    for _ in range(made):
        if crew.prompt.id.startswith("turn:"):
            crew.say("done")
    crew.do("put back to baseline")
    crew.tick()
    assert dict(crew.state.settings) == before
    assert not any(one.is_open for one in crew.state.changes)


def test_times_judge_it_as_one_change() -> None:
    """Three passes without it and one with it: one effect, of one change."""
    crew = Crew(valved())
    for sixty in (1.312, 1.309, 1.311):
        crew.good_pass(sixty)
    crew.do("valving changed", lever="front valving", to="stack 2")
    crew.tick()
    crew.say("ran")
    crew.do("slip", sixty=1.281)
    to_advice(crew, "it-is-good", verdict="better")
    known = verdict_of(crew.state, crew.book, the_change(crew))
    assert (len(known.before), len(known.after)) == (3, 1)
    assert known.times is not None
    assert known.times.effect.mean == pytest.approx(-0.03, abs=0.015)
    assert the_change(crew).counts_as_evidence
