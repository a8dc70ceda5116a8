"""Killed in the middle of a sheet, the program goes on there and has lost no answer."""

from pathlib import Path

import pytest
from test_kill import life, stored

SURVEY = "travel survey"


@pytest.mark.long
def test_killed_in_the_middle_of_a_sheet_it_goes_on_there(log_path: Path) -> None:
    with life(log_path) as one:
        one.wait_for("Which event is this?")
        one.press((*"Killed day", "enter"))
        one.wait_for("What is it now?")
        one.press(("1",))
        one.wait_for("what did the car do?")
        one.press(("j",))
        one.wait_for("The shop: what shall be done?")
        one.press(("4",))
        one.wait_for("how long is it at ride height?")
        one.press((*"14 1/2 in", "enter"))
        one.wait_for("length at ride height?")
        one.press((*"305 mm", "enter"))
        one.wait_for("Is the front spring on the ")
        one.press(("1",))
        one.wait_for("as on the left, or measured too?")
        one.press(("1",))
        one.wait_for("pressed in at its hardest?")
        one.press(tuple("17"))
        one.kill()
    desk = stored(log_path)
    answers = desk.state.sheets[SURVEY][0].answers
    assert dict(answers) == {
        "front ride": "14 1/2 in", "front spring at ride": "305 mm", "front coil-over": "yes",
        "front alike": "yes",
    }  # fmt: skip
    desk.log.close()
    with life(log_path) as one:
        one.wait_for("Picked up at: ")
        one.press(("j",))
        one.wait_for("50 of 54 left")
        one.press(("4",))
        one.wait_for("pressed in at its hardest?")
        one.press((*"1", "enter"))
        one.wait_for("how long is it at ride height?")
    desk = stored(log_path)
    assert desk.state.sheets[SURVEY][0].answers["front squash"] == "1 in"
    desk.log.close()
