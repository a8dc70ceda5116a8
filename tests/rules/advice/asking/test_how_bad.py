"""How bad a fault was: asked in one key, last, and only where the launch reads the answer."""

from typing import Any

import pytest

from rules.advice.earlier_passes import sightings
from rules.book import shipped
from rules.launch.judged import JUDGED
from rules.launch.severity import PROMPTS, WORDS, how_bad
from rules.log.folds.fold import fold
from rules.question import UNKNOWN
from tests.support.crew import Crew, invented_car
from tests.support.launch.car_questions import shipped_car

BOOK = shipped()
DEMO = shipped_car("demo")
SPINS: dict[str, Any] = {"tyre-hit": "under", "rear-motion": "squats"}


def to_how_bad(symptom: str, told: dict[str, str], crew: Crew | None = None) -> list[str]:
    """Name a fault, answer what the book asks, and return what was asked, down to the advice."""
    crew = crew or Crew(car=DEMO)
    crew.say([symptom], ["nothing"])
    asked = []
    while crew.prompt.id != "advice":
        asked.append(crew.prompt.id)
        tick = crew.prompt.kind == "tick"
        crew.say("all ok" if tick else told.get(crew.prompt.id, UNKNOWN))
    return asked


def test_every_fault_that_the_launch_judges_has_its_question_and_one_key_answers_it() -> None:
    for symptom in JUDGED:
        prompt = BOOK.prompts[how_bad(symptom)]
        assert tuple(choice.id for choice in prompt.choices) == WORDS


def test_it_comes_after_the_symptoms_own_questions_and_is_answered_once() -> None:
    assert to_how_bad("spins-at-hit", SPINS) == [*SPINS, "how-bad-spins-at-hit"]


def test_a_car_without_numbers_is_not_asked() -> None:
    """The launch cannot run there, so nothing would read it."""
    crew = Crew(car=invented_car())
    assert not set(to_how_bad("spins-at-hit", SPINS, crew)) & set(PROMPTS)


def test_no_rule_reads_it_so_the_books_own_advice_is_the_same_under_every_word() -> None:
    given = []
    for word in (*WORDS, UNKNOWN):
        crew = Crew(car=DEMO)
        to_how_bad("spins-at-hit", {**SPINS, "how-bad-spins-at-hit": word}, crew)
        given.append((crew.advice.rule, crew.advice.turns))
    assert len(set(given)) == 1


@pytest.mark.parametrize(
    ("symptom", "told", "asked"),
    [
        ("front-carries", {"stand": "small", "carry": "long", "bars": "clear"}, True),
        ("front-carries", {"stand": "big", "bars": "clear"}, False),
        ("front-drops-hard", {"stand": "small", "front-travel": "short-harsh"}, True),
        ("front-drops-hard", {"stand": "small", "front-travel": "at-stop"}, False),
        ("wheelie-bar-hits", {"bars": "hit"}, True),
        ("wheelie-bar-hits", {"bars": "touched", "stand": "small"}, False),
        ("wheelie-bar-hits", {"bars": UNKNOWN, "stand": "big"}, False),
        ("front-rises-violently", {"top-out": "bang", "stand": "small"}, False),
        ("unloads-after-hit", {"unload-when": "rear-fell", "rear-travel": "some"}, True),
        ("unloads-after-hit", {"unload-when": "front-landed", "stand": "small"}, False),
        ("nose-stays-high", {"on-lift": "sinks"}, True),
        ("front-slow-to-rise", {"hooked": "yes"}, False),
    ],
)
def test_it_is_asked_where_no_more_exact_word_says_it(
    symptom: str, told: dict[str, str], asked: bool
) -> None:
    assert (how_bad(symptom) in to_how_bad(symptom, told)) == asked


def test_a_measured_lift_says_how_high_it_went() -> None:
    crew = Crew(car=DEMO)
    crew.say(["front-carries"])
    crew.do("measure", what="lift", inputs={"tyre": 26, "tyre px": 400, "gap": 150})
    asked = []
    while crew.prompt.id != "advice":
        asked.append(crew.prompt.id)
        kind = crew.prompt.kind
        crew.say("all ok" if kind == "tick" else ["nothing"] if kind == "many" else UNKNOWN)
    assert not set(asked) & set(PROMPTS)


def test_the_pass_carries_the_word_to_the_launch() -> None:
    crew = Crew(car=DEMO)
    to_how_bad("spins-at-hit", {**SPINS, "how-bad-spins-at-hit": "badly"}, crew)
    [seen] = sightings(crew.state, of=crew.run)
    assert dict(seen.facts)["how-bad-spins-at-hit"] == "badly"


def test_back_takes_the_word_off_again() -> None:
    crew = Crew(car=DEMO)
    to_how_bad("spins-at-hit", {**SPINS, "how-bad-spins-at-hit": "badly"}, crew)
    assert crew.back().id == "how-bad-spins-at-hit"


def test_a_log_whose_advice_was_given_without_it_goes_on_at_its_advice() -> None:
    """What was advised stands: nothing is asked after it."""
    crew = Crew(car=DEMO)
    to_how_bad("spins-at-hit", SPINS, crew)
    before = [one for one in crew.log if getattr(one.body, "prompt", "") not in PROMPTS]
    assert len(before) == len(crew.log) - 1
    old = Crew(car=DEMO)
    old.log, old.state = before, fold(before)
    assert old.prompt.id == "advice"
    assert old.advice == crew.advice
