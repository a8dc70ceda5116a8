"""A 60-foot is asked back by one measure, whichever way it comes in: slip, question, correction."""

import pytest

from rules.crew import correcting, doubted_time
from rules.crew.correcting import Correct
from rules.crew.own_times import own_numbers
from rules.passes.slip import Slip, questions
from rules.question import ActionError, Prompt
from tests.support.crew import Crew

# What the setting runs.
OWN = (1.300, 1.304, 1.297, 1.301)


def with_change(passes: int = 4) -> Crew:
    """A crew whose change has had so many passes, each with the 60-foot of the question."""
    crew = Crew()
    crew.say(["it-is-good"])
    crew.say(["nothing"])
    crew.say("ok")
    for number in range(passes + 1):
        crew.do(
            "already turned",
            adjuster="left rear compression",
            now=str(11 if number % 2 == 0 else 9),
            sides="both",
        )
        crew.say("ran")
        crew.say(["nothing"], "same", ["it-is-good"])
        if number < passes:
            crew.say(OWN[number % 4])
            settled(crew)
    return crew


def settled(crew: Crew) -> None:
    """Let what was advised stand."""
    known = {choice.id for choice in crew.prompt.choices}
    crew.say(next(one for one in ("ok", "leave") if one in known))


@pytest.fixture
def crew() -> Crew:
    return with_change(8)


def test_the_question_of_the_loop_asks_a_far_time_back(crew: Crew) -> None:
    prompt = crew.say(1.640)
    assert prompt.id == doubted_time.MEANT
    assert prompt.asks_back
    assert "far from the 4 passes of this setting (1.298)" in prompt.question
    assert [one.id for one in prompt.choices] == ["keep", "lifted", "spun", "again"]


def test_it_is_the_question_of_the_slip(crew: Crew) -> None:
    """The same measure: what `questions` says of a slip with this time alone."""
    own = own_numbers(crew.state, crew.run)
    for time in (1.20, 1.29, 1.33, 1.36, 1.50, 2.9, 3.7):
        asked = questions(Slip(sixty_s=time), own)
        assert (crew.say(time).id == doubted_time.MEANT) == bool(asked), time
        crew.back()


def test_what_is_kept_is_asked_once(crew: Crew) -> None:
    crew.say(1.640)
    assert crew.say("keep").id != doubted_time.MEANT
    assert crew.run.sixty_s == 1.640
    assert crew.back().id == doubted_time.MEANT
    assert crew.back().id == "sixty-foot"


def test_typing_again_opens_the_question_again(crew: Crew) -> None:
    crew.say(1.640)
    assert crew.say("again").id == "sixty-foot"
    assert crew.say(1.302).id != doubted_time.MEANT
    assert crew.run.sixty_s == 1.302


@pytest.mark.parametrize("mark", ["lifted", "spun"])
def test_a_mark_is_that_of_a_slip(crew: Crew, mark: str) -> None:
    crew.say(1.640)
    assert crew.say(mark).id != doubted_time.MEANT
    run = crew.state.runs[-1]
    assert run.slip is not None
    assert run.slip.marks == {mark}
    assert run.sixty_s == 1.640


def test_a_usual_time_is_not_asked_back(crew: Crew) -> None:
    assert crew.say(1.305).id != doubted_time.MEANT


def corrected(crew: Crew, time: float) -> None:
    crew.say(1.302)
    settled(crew)
    number = crew.state.runs[-1].number
    with pytest.raises(ActionError, match=r"far from the 4 passes .* say keep if it is right"):
        crew.do("correct", run=number, prompt="sixty-foot", value=time)


def test_a_correction_is_asked_back_too(crew: Crew) -> None:
    corrected(crew, 1.640)
    run = crew.state.runs[-1]
    filled: dict[str, object] = {
        "run": str(run.number),
        "prompt": "sixty-foot",
        "sixty-foot": "1640",
    }
    asked = correcting.next_step(crew.state, crew.book, filled)  # type: ignore[arg-type]
    assert isinstance(asked, Prompt)
    assert [one.id for one in asked.choices] == ["keep"]
    done = correcting.next_step(crew.state, crew.book, {**filled, asked.id: "keep"})  # type: ignore[dict-item]
    assert isinstance(done, Correct)
    crew.do(**done.model_dump())
    assert crew.state.runs[-1].sixty_s == 1.640
    crew.do("correct", run=run.number, prompt="sixty-foot", value=1.303)
    assert crew.state.runs[-1].sixty_s == 1.303
