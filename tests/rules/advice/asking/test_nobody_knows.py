"""No question and no advice is a dead end: whoever cannot tell goes on, and is told how."""

from collections.abc import Iterator
from itertools import product

import pytest

from rules.advice.asking.imagined_pass import all_known
from rules.advice.situation import situation
from rules.asked import AdviceChoice
from rules.book import shipped
from rules.crew import doubted_stop
from rules.crew.actions import ACTION, act
from rules.crew.loop import answer
from rules.log.advice import Advice
from rules.question import UNKNOWN, AnswerError, Prompt
from tests.support.crew import LEVERS, Crew, invented_car
from tests.support.sample import sampled

BOOK = shipped()
BARE = tuple(lever for lever in LEVERS if lever["id"] != "launch rpm")


def fork(crew: Crew) -> Crew:
    """Return the same crew at the same place, to try an answer on."""
    again = Crew.__new__(Crew)
    again.__dict__.update(crew.__dict__)
    again.log = list(crew.log)
    return again


def ends(crew: Crew) -> Iterator[Crew]:
    """Yield the crew at every advice that the answers of the book lead to."""
    prompt = crew.prompt
    if prompt.kind == "tick":
        crew = fork(crew)
        crew.say("all ok")
        yield from ends(crew)
    elif prompt.id in BOOK.prompts or prompt.id == doubted_stop.MEANT:
        for value in (*(choice.id for choice in prompt.choices), UNKNOWN):
            other = fork(crew)
            other.say(value)
            yield from ends(other)
    else:
        yield crew


def screen(prompt: Prompt) -> tuple[object, ...]:
    """Return what tells one screen from another."""
    about = prompt.about
    said = (about.title, about.cause, about.lines) if isinstance(about, Advice) else ()
    return (prompt.id, prompt.question, tuple(c.id for c in prompt.choices if not c.why_not), said)


@pytest.mark.parametrize("symptom", sampled(zip(sorted(BOOK.symptoms)), 3))
def test_every_answer_leads_on_and_never_to_the_same_screen(symptom: str) -> None:
    crew = Crew(invented_car(wheelie_bars=True))
    crew.say([symptom], ["nothing"])
    for end in ends(crew):
        assert end.prompt.id == "advice"
        before, left = screen(end.prompt), set()
        for choice in end.prompt.choices:
            if choice.why_not:
                continue
            other = fork(end)
            other.say(choice.id)
            assert screen(other.prompt) != before, (choice.id, end.run.answers)
            left.add(other.prompt.id)
        assert left, end.run.answers


@pytest.mark.parametrize(
    ("symptom", "levers"),
    sampled(product(sorted(s.id for s in BOOK.symptoms.values() if s.safety), [LEVERS, BARE]), 3),
)
def test_after_a_danger_nobody_knows_gives_a_sure_turn_or_says_why_the_car_stays(
    symptom: str, levers: tuple[dict[str, object], ...]
) -> None:
    crew = Crew(invented_car(levers=levers, wheelie_bars=True))
    crew.say([symptom], ["nothing"])
    for end in ends(crew):
        if end.advice.kind != "measure":
            continue
        ids = [choice.id for choice in end.prompt.choices if not choice.why_not]
        assert ids[:2] == ["find out", AdviceChoice.NOBODY]
        end.say(AdviceChoice.NOBODY)
        given = end.advice
        assert given.kind in ("turn", "stop")
        assert given.look_for
        if given.kind == "turn":
            assert given.cause.startswith("Not known: ")
            continue
        assert given.lines
        assert [c.id for c in end.prompt.choices] == ["ok", "find out"]
        other = fork(end)
        assert other.say("find out").id in BOOK.prompts
        assert end.say("ok").id == "symptoms"


def test_no_o_ring_and_a_small_hard_landing_goes_on_with_less_launch() -> None:
    """The way on is right under every answer, and says how to be able to tell on the next pass."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel=UNKNOWN)
    assert crew.advice.kind == "measure"
    assert any("grease" in line for line in crew.advice.lines)
    crew.say(AdviceChoice.NOBODY)
    given = crew.advice
    assert [(t.adjuster, t.before, t.after) for t in given.turns] == [("launch rpm", 4200, 4100)]
    assert "O-ring" in given.look_for
    assert "cable tie" in given.look_for
    crew.make()
    assert crew.prompt.id == "ran"


def test_without_a_launch_lever_the_car_stays_until_somebody_can_tell() -> None:
    crew = Crew(invented_car(levers=BARE))
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel=UNKNOWN)
    crew.say(AdviceChoice.NOBODY)
    assert crew.advice.kind == "stop"
    assert "Front shaft" in crew.advice.look_for
    assert any("cable tie" in line for line in crew.advice.lines)
    crew.say("find out")
    crew.tell(front_travel="at-stop")
    assert crew.advice.rule == "drops-hard-compression-firmer"


def test_a_turn_that_every_answer_leads_to_needs_no_answer() -> None:
    """Slips or sticks, less launch is in the list for both: it is taken whoever cannot tell."""
    crew = Crew()
    crew.tell(symptoms=["tyre-shake"], shake="violent", shake_slip=UNKNOWN)
    crew.say(AdviceChoice.NOBODY)
    assert crew.advice.kind == "turn"
    assert [turn.adjuster for turn in crew.advice.turns] == ["launch rpm"]
    now = situation(crew.state, crew.run, BOOK)
    assert {one.facts["shake-slip"] for one in all_known(now)} == {"sticks", "slips"}


def landing_treated() -> Crew:
    """Return a crew whose pass after a firmer landing waits for its verdict."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    crew.make()
    crew.say("ran", ["nothing"])
    return crew


def test_gone_asks_what_else_the_car_did_and_treats_it() -> None:
    crew = landing_treated()
    assert crew.say("gone").question == "Pass 2: and what else did the car do?"
    crew.say(["nose-stays-high"], "")
    assert crew.last.verdict == "gone"
    crew.tell(on_lift="sinks", stand="small")
    assert crew.advice.rule == "nose-high-low-speed-softer"


def test_a_plain_gone_costs_one_key_more() -> None:
    """Enter alone says that nothing else was seen."""
    crew = landing_treated()
    prompt = crew.say("gone")
    assert prompt.default == "it-is-good"
    assert crew.say([prompt.default]).id == "sixty-foot"
    crew.say("")
    assert crew.advice.kind == "leave"


def test_gone_and_then_another_that_it_went_past_to_goes_half_back() -> None:
    crew = landing_treated()
    crew.say("gone", ["front-bounces"], "")
    crew.tell(front_travel="short-soft", bounces="once")
    assert crew.advice.kind == "half back"


def test_what_is_said_to_be_gone_is_not_named_again() -> None:
    crew = landing_treated()
    crew.say("gone")
    with pytest.raises(AnswerError, match="said to be gone"):
        crew.say(["front-drops-hard"])


@pytest.mark.parametrize(
    ("prompt", "marked"),
    [
        ("symptoms", ("it-is-good", "front-drops-hard")),
        ("symptoms", (UNKNOWN, "front-drops-hard")),
        ("what-else", ("nothing", "tyre-pressure")),
    ],
)
def test_what_says_nothing_else_goes_with_nothing_else(
    prompt: str, marked: tuple[str, ...]
) -> None:
    crew = Crew()
    if prompt == "what-else":
        crew.say(["front-drops-hard"])
    with pytest.raises(AnswerError, match="goes alone"):
        answer(crew.state, BOOK, prompt, marked, crew.new_id)


def test_a_good_pass_is_not_corrected_to_good_with_a_fault() -> None:
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    correct = {"action": "correct", "run": 1, "prompt": "symptoms"}
    both = ["it-is-good", "front-drops-hard"]
    with pytest.raises(ValueError, match="goes alone"):
        act(crew.state, BOOK, ACTION.validate_python({**correct, "value": both}), crew.new_id)


def test_every_question_about_a_pass_says_which_pass() -> None:
    crew = Crew()
    assert crew.prompt.question == "Pass 1: what did the car do?"
    crew.say(["front-drops-hard"])
    while crew.prompt.id != "advice":
        if crew.prompt.kind != "tick":
            assert crew.prompt.question.startswith("Pass 1: ")
        crew.say(
            {"what-else": ["nothing"], "stand": "small", "front-travel": "at-stop"}.get(
                crew.prompt.id, "all ok"
            )
        )
    crew.make()
    crew.say("ran")
    for value in (["nothing"], "same", ""):
        assert crew.prompt.question.startswith("Pass 2: ")
        crew.say(value)
