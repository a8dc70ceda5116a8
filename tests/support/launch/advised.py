"""An advice of the launch, which takes seconds: worked out once for all that read it."""

from functools import lru_cache

from rules.advice.advise import advise
from rules.launch.model import launch_model
from rules.log.advice import Advice
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car


@lru_cache
def carries(car: str) -> tuple[Crew, Advice]:
    """Return the crew of a shipped car that carries a big stand, and what it is advised."""
    crew = Crew(car=shipped_car(car))
    crew.tell(symptoms=["front-carries"], stand="big", carry="long", bars="clear")
    return crew, advise(crew.state, crew.run, crew.book, launch_model)
