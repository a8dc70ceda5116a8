"""The advice is for the coming pass: lane, air and track reach the launch as the log has them."""

from typing import Any

from rules.advice.advise import advise
from rules.advice.earlier_passes import coming_conditions, sightings
from rules.car.model import Car
from rules.launch.outlook import Outlook, OutlookAsked
from rules.launch.pass_conditions import NOT_NOTED
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from rules.launch.surprise import SurpriseAsked
from rules.log.events.advice import AdviceSettled
from rules.log.events.passes import ConditionsNoted
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import hopeless

BIG: dict[str, Any] = {
    "symptoms": ["front-carries"],
    "stand": "big",
    "carry": "long",
    "bars": "clear",
}
# The invented demonstration car is described in US units.
AIR = {"air_temperature": 80, "humidity": 40, "pressure": 29.5, "pressure_kind": "station pressure"}


class Asked:
    """A launch that keeps what it was asked."""

    def __init__(self) -> None:
        self.questions: list[OutlookAsked] = []

    def __call__(self, question: ProposedChange) -> Expected:
        return Expected(standing="unsure", reason="x", trade_step=1, step=1)

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: SurpriseAsked) -> None:
        return None

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        self.questions.append(question)
        return hopeless(question)


def crew_on() -> Crew:
    crew = Crew(car=shipped_car("demo"))
    crew.tell(**BIG)
    return crew


def test_a_log_that_notes_nothing_asks_for_nothing() -> None:
    crew, model = crew_on(), Asked()
    advise(crew.state, crew.run, crew.book, model)
    [last] = model.questions[-1].passes
    assert last.noted == model.questions[-1].coming == NOT_NOTED


def test_each_pass_has_what_was_noted_and_air_and_track_last_until_noted_again() -> None:
    crew = crew_on()
    crew.do("conditions", lane="left", track_temperature=95, surface="cold", **AIR)
    crew.make()
    crew.say("ran")
    crew.tell(**BIG, verdict="same")
    first, second = (one.noted for one in sightings(crew.state, of=crew.run))
    assert first.lane == "left"
    assert second.lane is None
    assert first.track_c == second.track_c == 35.0
    assert first.surface == second.surface == "cold"
    assert first.density is not None
    assert 1.0 < first.density < 1.25
    assert second.density == first.density


def test_what_is_noted_of_the_coming_pass_is_asked_for() -> None:
    crew, model = crew_on(), Asked()
    crew.do("conditions", lane="left", **AIR)
    crew.do("conditions", run="coming", lane="right", track_temperature=104)
    advise(crew.state, crew.run, crew.book, model)
    question = model.questions[-1]
    assert question.coming == coming_conditions(crew.state)
    assert (question.coming.lane, question.coming.track_c) == ("right", 40.0)
    assert question.coming.density is None
    assert question.passes[-1].noted.lane == "left"


def test_an_open_advice_is_due_again_once_the_coming_pass_is_noted() -> None:
    crew = crew_on()
    assert crew.prompt.topic == "advice"
    before = len(crew.log)
    crew.do("conditions", run="coming", lane="right")
    kinds = [one.body.kind for one in crew.log[before:]]
    assert kinds == ["conditions-noted", "advice-given"]
    assert crew.run.put_by is None


def test_a_log_that_settled_an_advice_after_such_a_note_still_says_which_it_was() -> None:
    """Programs before this one left the advice open, so such logs hold no second one."""
    crew = crew_on()
    given = crew.run.given
    crew.record(
        [
            ConditionsNoted(run="", units="us", lane="right"),
            AdviceSettled(run=crew.run.id, choice="ok", done=True),
        ]
    )
    assert given is not None
    assert crew.run.given == crew.run.settled_last == given
    assert crew.run.put_by is None
