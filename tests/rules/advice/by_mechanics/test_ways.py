"""Ways to go on: both directions, sizes within the gates, nothing that a gate refuses."""

import pytest

from rules.advice.by_mechanics.ways import (
    HALF_RANGE,
    MOST_LAUNCH,
    Way,
    beside,
    of_draft,
    sizes,
    ways,
)
from rules.advice.candidates import candidates
from rules.advice.drafts import turn_draft
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation, situation
from rules.car.steps import trade_step
from tests.rules.advice.safety import test_valving_gate as valving_gate
from tests.support.crew import Crew, invented_car, knob
from tests.support.launch.car_questions import shipped_car


def carrying(**told: object) -> Situation:
    """Return how things stand after a pass on which the demonstration car stood."""
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**{"symptoms": ["front-carries"], "stand": "small", "carry": "long"} | told)
    return situation(crew.state, crew.run, crew.book)


def steps_of(found: list[Way], knob: str, upward: bool) -> set[int]:
    """Return by how many clicks a knob may go one way."""
    return {one.steps for one in found if one.levers[0].id == knob and one.upward == upward}


def test_every_way_passes_every_gate_and_stays_within_its_range() -> None:
    now = carrying()
    found = ways(now)
    assert {one.upward for one in found} == {True, False}
    for one in found:
        assert not refused(now, one.turns)
        for turn in one.turns:
            assert now.fitted[turn.adjuster].holds(turn.after)
            assert turn.before == now.state.settings[turn.adjuster]


def test_a_pair_moves_together_and_one_side_alone_is_no_way() -> None:
    for one in ways(carrying()):
        if one.levers[0].part == "knob":
            assert len(one.levers) == 2
            assert len({turn.after - turn.before for turn in one.turns}) == 1


def test_after_a_big_stand_no_way_lets_the_front_rise() -> None:
    """The trade's list of what is never advised; common practice, no source."""
    assert not any(one.rises for one in ways(carrying(stand="big", bars="clear")))


@pytest.mark.parametrize("knob", ["left front rebound", "left rear compression"])
def test_sizes_go_from_one_click_past_the_trades_step_to_half_the_range(knob: str) -> None:
    one = carrying().fitted[knob]
    found = list(sizes(one, one.start))
    assert found[0] == 1
    assert trade_step(one) in found
    assert max(found) == int(one.marks * HALF_RANGE)


def test_a_knob_at_shut_opens_as_far_as_its_cure_needs_and_shuts_by_one_click() -> None:
    """A needle does most of its work near shut, so it goes there click by click."""
    crew = Crew(car=invented_car(front=[knob("rebound", "rebound", start=18, clicks=18)]))
    crew.tell(symptoms=["front-slow-to-rise"], stand="none", hooked="lazy")
    found = ways(situation(crew.state, crew.run, crew.book))
    assert max(steps_of(found, "left front rebound", upward=False)) == 9
    crew = Crew(car=invented_car(front=[knob("rebound", "rebound", start=15, clicks=18)]))
    crew.tell(symptoms=["front-carries"], stand="small", carry="long")
    found = ways(situation(crew.state, crew.run, crew.book))
    assert steps_of(found, "left front rebound", upward=True) == {1}


def test_no_launch_moves_by_more_than_a_tenth_of_its_rpm_at_once() -> None:
    """Past that a car bogs; common practice, no source."""
    launches = [one for one in ways(carrying()) if one.levers[0].part == "launch rpm"]
    shares = [abs(t.after - t.before) / t.before for one in launches for t in one.turns]
    assert 0.05 < max(shares) <= MOST_LAUNCH


def test_the_books_own_turn_is_a_way_and_a_ladder_is_none() -> None:
    now = carrying()
    best = next(one for one in candidates(now) if one.turns)
    way = of_draft(now, turn_draft(now, best))
    assert way is not None
    assert way.turns == best.turns
    assert of_draft(now, turn_draft(now, best).model_copy(update={"turns": ()})) is None


def test_what_stands_on_the_other_side_moves_with_it() -> None:
    fitted = carrying().fitted
    both = beside(fitted, fitted["left front rebound"])
    assert [one.id for one in both] == ["left front rebound", "right front rebound"]


def valvings(new: list[str] | None, said: str = "small") -> list[Way]:
    """Return the ways that fit the valving in the trailer, with this table of both strokes."""
    tables = {f"{one}_dyno": new for one in ("rebound", "compression") if new}
    one = valving_gate.car(tables, start=6)
    crew, _ = valving_gate.told(one, stand=said, carry="long")
    found = ways(situation(crew.state, crew.run, crew.book))
    return [way for way in found if way.levers[0].part == "valving"]


def test_a_measured_valving_is_a_way() -> None:
    (way,) = valvings(valving_gate.FIRMER)
    assert (way.steps, way.upward, way.levers[0].id) == (1, True, "front valving")


def test_a_valving_that_its_curve_gives_away_or_that_nobody_measured_is_none() -> None:
    assert not valvings(valving_gate.FALSE, said="big")
    assert not valvings(None)


def test_every_other_valving_is_the_same_job() -> None:
    three = {**valving_gate.LEVER, "positions": ["1", "2", "3"], "start": "1"}
    lever = Crew(invented_car(levers=[three])).fitted["front valving"]
    assert list(sizes(lever, 0.0)) == [1, 2]


def test_what_was_put_back_after_a_pass_is_not_put_on_again_before_another() -> None:
    crew = Crew()
    crew.say(["squats-and-drags"])
    crew.do("slip", sixty=1.43)
    crew.tell(contact="none", squat_when="hit")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="worse", contact="none", squat_when="hit", sixty_foot="")
    ran = dict(crew.run.settings)
    assert crew.advice.kind == "put back"
    crew.make()
    now = situation(crew.state, crew.run, crew.book)
    assert dict(crew.state.settings) != ran
    assert ways(now)
    assert all(way.settings(crew.state.settings) != ran for way in ways(now))
