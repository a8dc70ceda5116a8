"""How slip and conditions move the state: the lane is one fact, and a later slip corrects."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from rules.log.events.event import BODY
from rules.log.events.passes import SlipNoted
from rules.log.folds.fold import fold
from rules.passes.slip import Slip
from tests.support.crew import Crew

LANES = st.sampled_from([None, "left", "right"])


@given(st.lists(st.tuples(st.sampled_from(["slip", "conditions"]), LANES), min_size=1, max_size=8))
def test_the_lane_is_one_fact_whoever_said_it(said: list[tuple[str, str | None]]) -> None:
    crew = Crew()
    crew.say(["it-is-good"])
    expected = None
    for action, lane in said:
        given: dict[str, Any] = {"lane": lane} if lane else {}
        given |= {"sixty": 1.43} if action == "slip" else {"air_temperature": 20}
        crew.do(action, **given)
        expected = lane or expected
        run = crew.run
        assert run.lane == expected
        assert {one.lane for one in (run.slip, run.conditions) if one is not None} == {expected}
    assert fold(crew.log) == crew.state


def test_a_later_slip_corrects_and_the_earlier_stays_in_the_log() -> None:
    crew = Crew()
    crew.say(["it-is-good"])
    crew.do("slip", sixty=1.432, marks=["spun"], lane="left")
    crew.do("slip", sixty=1.423, eighth=6.5)
    assert crew.run.slip == Slip(sixty_s=1.423, eighth_s=6.5, lane="left")
    noted = [one.body for one in crew.log if isinstance(one.body, SlipNoted)]
    assert [one.slip.sixty_s for one in noted] == [1.432, 1.423]


def test_a_slip_survives_being_written_and_read() -> None:
    crew = Crew()
    crew.say(["it-is-good"])
    crew.do("slip", sixty=1.432, marks=["spun", "lifted", "red light"], lane="left", dial_in=10.2)
    body = crew.log[-2].body if crew.log[-1].body.kind != "slip-noted" else crew.log[-1].body
    again = BODY.validate_json(BODY.dump_json(body, by_alias=True))
    assert again == body
    assert b'"marks":["lifted","red light","spun"]' in BODY.dump_json(body)


def test_the_sixty_foot_is_the_slips_or_the_one_that_was_answered() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    crew.make()
    crew.say("ran", ["nothing"], "same", "1.44")
    assert crew.run.sixty_s == 1.44
    crew.do("slip", eighth=6.5)
    assert crew.run.sixty_s == 1.44
    crew.do("slip", sixty=1.43, eighth=6.5)
    assert crew.run.sixty_s == 1.43


def test_a_slip_for_an_earlier_pass() -> None:
    crew = Crew()
    crew.say(["it-is-good"], ["nothing"], "ok", ["it-is-good"])
    crew.do("slip", run=1, sixty=1.43)
    assert crew.state.runs[0].sixty_s == 1.43
    assert crew.run.slip is None
