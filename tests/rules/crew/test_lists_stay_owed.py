"""What raised a block is corrected, not taken back, and its list still has to be ticked."""

from typing import Any

import pytest

from rules.advice.safety.gates import open_blocks
from tests.rules.crew.test_taking_back import advised
from tests.support.crew import Crew

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}


@pytest.mark.parametrize("way", ["back", "correct"])
def test_what_raised_a_block_is_corrected_and_its_list_stays(way: str) -> None:
    crew = Crew()
    crew.say(["front-rises-violently"], ["nothing"], "no", "dangerous")
    assert crew.prompt.id == "inspect:hard-landing"
    if way == "back":
        crew.back()
        crew.say("small")
    else:
        crew.do("correct", run=1, prompt="stand", value="small")
    assert crew.prompt.id == "inspect:hard-landing"
    crew.say("all ok")
    assert crew.prompt.id != "inspect:hard-landing"


def test_no_answer_of_a_pass_goes_for_a_list_that_a_report_asked_for() -> None:
    crew = advised()
    before = dict(crew.run.answers)
    crew.do("report damage", found="loose")
    listed = crew.prompt
    assert listed.kind == "tick"
    crew.back()
    assert crew.run.answers == before
    assert crew.prompt == listed


def test_a_pass_that_raised_a_block_and_never_ran_leaves_its_list() -> None:
    crew = Crew()
    crew.say(["front-rises-violently"], ["nothing"], "no", "dangerous")
    while crew.state.runs:
        crew.back()
    assert [one.inspection for one in open_blocks(crew.state, crew.book)] == ["hard-landing"]
    assert crew.prompt.id == "inspect:hard-landing"
    assert crew.say("all ok").id == "symptoms"
