"""What was seen and no car of the cloud shows is known to be so, for each answer by itself."""

import pytest

from rules.advice.earlier_passes import sightings
from rules.launch.belief.ahead import look_ahead
from rules.launch.outlook import OutlookAsked
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car


@pytest.mark.parametrize(("word", "known"), [("sinks", False), ("at-once", True)])
def test_a_nose_that_dampers_hold_is_unknown_to_cars_whose_springs_hold_it(
    word: str, known: bool
) -> None:
    car = shipped_car("demo")
    crew = Crew(car)
    crew.tell(symptoms=["nose-stays-high"], on_lift=word, stand="small", front_travel="short-soft")
    today = crew.state.settings
    passes = sightings(crew.state, of=crew.run)
    answer = look_ahead(OutlookAsked(car, today, (today,), ("nose-stays-high",), passes, 112))
    assert ("on-lift" not in answer.hardly_shown) is known
