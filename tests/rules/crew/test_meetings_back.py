"""A meeting that was begun by a slip goes back, and one that is in the log goes on."""

import pytest

from rules.question import Prompt
from tests.rules.crew.test_taking_back import SPINS, advised, ask, take_back
from tests.support.crew import Crew


def test_a_meeting_with_passes_gives_them_to_the_one_before() -> None:
    crew = advised()
    crew.say("leave")
    first = crew.state.meeting
    assert first is not None
    crew.do("meeting", name="Slip of the finger")
    crew.say("test")
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    crew.make()
    take_back(crew, "meeting")
    assert crew.state.meeting == first
    assert {run.meeting for run in crew.state.runs} == {first.id}
    assert crew.last.meeting == first.id


def test_back_from_the_first_meeting_asks_its_name_again() -> None:
    crew = Crew()
    crew.do("meeting", name="Another")
    assert crew.prompt.id == "session"
    assert crew.back().id == "symptoms"
    assert crew.state.session == "test"


def test_a_meeting_that_is_in_the_log_is_offered_and_goes_on() -> None:
    crew = advised()
    crew.say("leave")
    first = crew.state.meeting
    assert first is not None
    assert ask(crew, "meeting").id == "name"
    crew.do("meeting", name="Second")
    crew.say("test")
    assert [one.label for one in ask(crew, "meeting").choices][1] == f"Go on with {first.name}"
    same = ask(crew, "meeting", which="new", name=f" {first.name.upper()}")
    assert isinstance(same, Prompt)
    assert first.name in same.question
    crew.do("meeting", name=first.name, again=True)
    crew.say("test")
    assert crew.state.meeting is not None
    assert crew.state.meeting.id == first.id
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    assert {run.meeting for run in crew.state.runs} == {first.id}


@pytest.mark.parametrize("session", [None, "qualifying"])
def test_a_meeting_begun_goes_back_until_something_is_answered_in_it(session: str | None) -> None:
    crew = advised()
    crew.say("leave")
    before = crew.prompt
    crew.do("meeting", name="Slip of the finger")
    if session:
        crew.say(session)
    assert crew.back() == before
    assert [one.name for one in crew.state.meetings] == ["Invented meeting"]
    assert crew.state.session == "test"
    assert crew.back().id == "advice"


def test_a_meeting_begun_over_an_open_pass_goes_back_before_its_answers() -> None:
    crew = Crew()
    crew.say(["spins-at-hit"])
    asked = crew.prompt
    crew.do("meeting", name="Slip of the finger")
    crew.say("test")
    assert crew.back() == asked
    crew.do("meeting", name="Meant")
    crew.say("test", ["nothing"])
    assert crew.back().id == "what-else"
    assert len(crew.state.meetings) == 2
