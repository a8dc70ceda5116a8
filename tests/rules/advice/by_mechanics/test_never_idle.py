"""The car stands idle only where no allowed turn has a fair chance, or something comes first."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import pytest

from rules.advice.advise import advise
from rules.advice.by_mechanics.ways import ways
from rules.advice.situation import situation
from rules.book import shipped
from rules.car.model import Car
from rules.launch.judged import JUDGED
from rules.launch.outlook import Outlook, OutlookAsked, Prospect
from rules.launch.proposed_change import Expected, ProposedChange, Seen
from rules.launch.severity import LITTLE, PLAINLY, PROMPTS
from rules.log.advice import Advice
from rules.question import UNKNOWN
from tests.support.crew import Crew
from tests.support.launch.car_questions import shipped_car
from tests.support.launch.told import HOPELESS

BOOK = shipped()
EXAMPLES = [one.id for one in BOOK.rules.values() if one.symptom in JUDGED and one.fires]
# What comes before any turn: a list, a car that stays, what else was changed.
FIRST = {"inspect", "stop", "put right"}
IDLE = {"leave", "control", "measure", "ladder"}


class Hopes:
    """A launch on which every turn has one chance, and turning nothing has another."""

    def __init__(self, gone: float, as_it_is: float = 0.0) -> None:
        self.by_turn = replace(HOPELESS, gone=gone, then=gone, better=gone)
        self.as_it_is = replace(HOPELESS, gone=as_it_is, then=as_it_is)

    def __call__(self, question: ProposedChange) -> Expected:
        return Expected(standing="unsure", reason="x", trade_step=1, step=len(question.steps))

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        def prospect(settings: Mapping[str, float]) -> Prospect:
            return self.by_turn if settings != question.today else self.as_it_is

        every = tuple(prospect(one) for one in question.ways)
        return Outlook(every, self.as_it_is, goal="lift", version=1, seed=7, cars=9)

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: object) -> None:
        return None


def told(
    crew: Crew,
    symptom: str,
    answers: Mapping[str, str],
    what_else: str = "nothing",
    bad: str = PLAINLY,
) -> Crew:
    """Tell a pass to its advice: what is not in the answers, nobody knows."""
    while not isinstance(crew.prompt.about, Advice):
        prompt = crew.prompt
        if prompt.topic == "symptoms":
            crew.say([symptom])
        elif prompt.id == "what-else":
            crew.say([what_else])
        elif prompt.id == "ran":
            crew.say("ran")
        elif prompt.id == "sixty-foot":
            crew.say("")
        elif prompt.kind == "tick":
            crew.say("all ok")
        elif prompt.id in PROMPTS:
            crew.say(bad)
        else:
            crew.say(answers.get(prompt.id, UNKNOWN))
    return crew


@cache
def in_example(rule: str) -> Crew:
    """Return a crew that told the first example of a rule; who asks it says nothing more."""
    one = BOOK.rules[rule]
    return told(Crew(car=shipped_car("demo")), one.symptom, one.fires[0].answers)


@pytest.mark.parametrize("rule", EXAMPLES)
def test_no_car_stands_idle_where_an_allowed_turn_has_a_fair_chance(rule: str) -> None:
    """On every example of the book without danger, whatever the book alone would do."""
    crew = in_example(rule)
    now = situation(crew.state, crew.run, crew.book)
    given = advise(crew.state, crew.run, crew.book, Hopes(0.9))
    if now.danger or given.kind in FIRST or not ways(now):
        return
    assert given.turns


@pytest.mark.parametrize("rule", EXAMPLES)
def test_where_no_turn_has_a_chance_the_book_has_the_word_and_the_number_is_told(rule: str) -> None:
    crew = in_example(rule)
    given = advise(crew.state, crew.run, crew.book, Hopes(0.0))
    assert (given.kind, given.turns) == (crew.advice.kind, crew.advice.turns)
    now = situation(crew.state, crew.run, crew.book)
    if given.kind in IDLE and not now.danger and ways(now):
        assert any("no fair chance: gone on" in one.lost for one in given.alternatives)


LEFT = {"on-lift": "at-once"}
ONCE = {"bounces": "once", "front-travel": "short-soft"}


def test_what_the_book_leaves_weighs_against_a_turn_once() -> None:
    """A turn that may do something is made where the crew names it again, not at first."""
    crew = told(Crew(car=shipped_car("demo")), "nose-stays-high", LEFT)
    assert crew.advice.kind == "leave"
    doubtful = Hopes(0.24, as_it_is=0.12)
    assert advise(crew.state, crew.run, crew.book, doubtful).kind == "leave"
    assert advise(crew.state, crew.run, crew.book, Hopes(0.9)).turns
    crew.say("ok")
    told(crew, "nose-stays-high", LEFT)
    assert crew.advice.kind == "leave"
    assert advise(crew.state, crew.run, crew.book, doubtful).turns


@pytest.mark.parametrize("bad", [LITTLE, UNKNOWN])
def test_what_may_be_normal_is_left_the_first_time(bad: str) -> None:
    """One bounce is the tyre giving back what it took, unless it was plainly a high one."""
    crew = told(Crew(car=shipped_car("demo")), "front-bounces", ONCE, bad=bad)
    assert crew.advice.kind == "leave"
    assert advise(crew.state, crew.run, crew.book, Hopes(0.9)).kind == "leave"
    crew.say("ok")
    told(crew, "front-bounces", ONCE, bad=bad)
    assert advise(crew.state, crew.run, crew.book, Hopes(0.9)).turns


@pytest.mark.parametrize(
    ("bad", "kind"), [(LITTLE, "control"), (UNKNOWN, "control"), (PLAINLY, "turn")]
)
def test_a_lane_that_may_have_made_it_weighs_against_a_turn_and_forbids_none(
    bad: str, kind: str
) -> None:
    """What is plain is more than a lane commonly makes."""
    spun = {"tyre-hit": "over", "rear-motion": "separates", "rear-travel": "some"}
    crew = told(Crew(car=shipped_car("demo")), "spins-at-hit", spun, "lane-or-air", bad)
    assert crew.advice.kind == "control"
    doubtful = Hopes(0.24, as_it_is=0.12)
    assert advise(crew.state, crew.run, crew.book, doubtful).kind == "control"
    assert advise(crew.state, crew.run, crew.book, Hopes(0.9)).kind == kind


def test_a_control_pass_that_showed_the_same_leads_past_the_knobs() -> None:
    """Where no turn has a chance either: one more of them would teach nothing."""
    nothing = {"unload-when": "nothing", "rear-travel": "some"}
    crew = told(Crew(car=shipped_car("demo")), "unloads-after-hit", nothing)
    assert advise(crew.state, crew.run, crew.book, Hopes(0.0)).kind == "control"
    crew.say("control")
    told(crew, "unloads-after-hit", nothing)
    assert crew.advice.kind == "control"
    assert advise(crew.state, crew.run, crew.book, Hopes(0.0)).kind == "ladder"


def test_a_pass_of_which_nobody_can_tell_what_it_did_is_run_again() -> None:
    crew = told(Crew(car=shipped_car("demo")), "nose-stays-high", {"on-lift": "sinks"})
    crew.make()
    crew.say("ran")
    told(crew, "nose-stays-high", {"verdict": UNKNOWN, "on-lift": "sinks"})
    assert advise(crew.state, crew.run, crew.book, Hopes(0.9)).kind == "control"


def test_what_is_to_be_measured_may_be_found_out_and_answered_at_once() -> None:
    nobody = {"unload-when": UNKNOWN, "rear-travel": UNKNOWN}
    crew = told(Crew(car=shipped_car("demo")), "unloads-after-hit", nobody)
    assert crew.advice.kind == "measure"
    ids = [one.id for one in crew.prompt.choices]
    assert (ids[0], ids[-1]) == ("ok", "find out")
    assert crew.say("find out").id == "unload-when"
