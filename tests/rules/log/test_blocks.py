"""A block holds until its list is clean: through way back, correction, pass and meeting."""

import pytest

from rules.advice.safety.gates import BEGUN
from tests.support.crew import Crew


def dropped(crew: Crew, **marks: str) -> Crew:
    """Bring a crew to the list after a hard landing, with these marks made."""
    crew.say(["front-drops-hard"], ["nothing"], "small", "at-stop")
    if marks:
        crew.say(marks)
    return crew


def test_a_fault_that_was_found_stays_when_the_answer_is_taken_back() -> None:
    crew = dropped(Crew(), toe="fault")
    for _ in range(4):
        crew.back()
    crew.say(["spins-at-hit"])
    assert crew.tell(tyre_hit="under", rear_motion="squats").id == "advice"
    assert crew.run.answers["symptoms"] == ("spins-at-hit",)
    assert crew.state.ticks["hard-landing", crew.run.id, "toe"] == "ok"


def test_a_fault_holds_until_it_is_ticked_again() -> None:
    crew = dropped(Crew(), toe="fault")
    for _ in range(4):
        crew.back()
    crew.say(["spins-at-hit"], ["nothing"])
    assert crew.say("under", "squats").id == "inspect:hard-landing"
    for item in crew.prompt.choices:
        if item.id != "toe":
            crew.say({item.id: "ok"})
    assert crew.prompt.id == "inspect:hard-landing"
    assert crew.say({"toe": "ok"}).id == "advice"


def test_a_fault_holds_when_the_answer_is_corrected() -> None:
    crew = Crew()
    crew.say(["front-rises-violently"], ["nothing"], "no", "dangerous")
    assert crew.say({"toe": "fault"}).id == "inspect:hard-landing"
    assert crew.do("correct", run=1, prompt="stand", value="small").id == "inspect:hard-landing"
    assert crew.prompt.notice == BEGUN
    assert crew.say("all ok").id == "advice"


def test_what_raised_a_block_is_corrected_and_its_list_is_ticked_all_the_same() -> None:
    crew = dropped(Crew())
    for _ in range(4):
        crew.back()
    crew.say(["spins-at-hit"], ["nothing"], "under", "squats")
    assert crew.prompt.id == "inspect:hard-landing"
    assert "Corrected since" in crew.prompt.notice
    assert crew.say("all ok").id == "advice"


def test_a_list_begun_for_a_pass_that_never_ran_is_finished() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    crew.make()
    crew.say("ran", ["nothing"], "other", ["front-drops-hard"], "", "small", "at-stop")
    crew.say({"toe": "fault"})
    while crew.state.open_run is not None and len(crew.state.runs) > 1:
        crew.back()
    assert crew.prompt.id == "inspect:hard-landing"


@pytest.mark.parametrize("meeting", [False, True])
@pytest.mark.parametrize("later", [False, True])
def test_a_correction_of_any_pass_blocks_until_its_list_is_clean(
    meeting: bool, later: bool
) -> None:
    crew = Crew()
    for _ in range(2 if later else 1):
        crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
        crew.say("leave")
    crew.do("correct", run=1, prompt="symptoms", value=["front-drops-hard"])
    assert crew.prompt.id == "inspect:hard-landing"
    if meeting:
        crew.do("meeting", name="Another invented meeting")
        crew.say("test")
    assert crew.prompt.id == "inspect:hard-landing"
    crew.say("all ok")
    assert crew.prompt.id == "symptoms"


def test_a_correction_blocks_while_another_pass_is_talked_about() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    crew.say("leave", ["spins-at-hit"], ["nothing"])
    crew.do("correct", run=1, prompt="symptoms", value=["front-drops-hard"])
    assert crew.say("under", "squats").id == "inspect:hard-landing"
    assert crew.say("all ok").id == "advice"


def test_one_look_clears_the_list_for_every_pass_before_it() -> None:
    crew = Crew()
    for _ in range(3):
        crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
        crew.say("leave")
    for number in (1, 2, 3):
        crew.do("correct", run=number, prompt="symptoms", value=["front-drops-hard"])
    assert crew.prompt.id == "inspect:hard-landing"
    assert crew.say("all ok").id == "symptoms"
