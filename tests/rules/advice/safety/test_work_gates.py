"""While a list is open no turn is ordered but one that is proved gentler; recording never waits.

Common practice, no source: what a turn does to a broken car nobody knows.
"""

from typing import Any

import pytest

from rules.advice.safety.work_gates import is_gentler
from rules.car.adjusters import Turn
from rules.crew.forms import FORMS
from rules.question import ActionError
from tests.support.crew import Crew, invented_car

LAUNCH = "launch rpm"
REBOUND = tuple(f"{side} front rebound" for side in ("left", "right"))
SPINS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}


def off_and_dropped(adjuster: str, now: str) -> Crew:
    """Return a crew that turned something, ran, and stands at the list of a hard landing."""
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    crew.do("already turned", adjuster=adjuster, now=now)
    crew.say("ran", ["nothing"], "other", ["front-drops-hard"], "", "small", "at-stop")
    assert crew.prompt.id == "inspect:hard-landing"
    return crew


@pytest.mark.parametrize("action", ["undo last change", "put back to baseline"])
@pytest.mark.parametrize(
    ("adjuster", "now"),
    [(REBOUND[0], "12"), (LAUNCH, "4000"), ("left rear rebound", "11"), ("front limiter", "2.5")],
)
def test_no_way_back_is_ordered_at_an_open_list(adjuster: str, now: str, action: str) -> None:
    crew = off_and_dropped(adjuster, now)
    before = len(crew.log)
    for knowing in (False, True):
        with pytest.raises(ActionError, match="no turn before the open list is ticked: "):
            crew.do(action, knowing=knowing)
    assert len(crew.log) == before
    assert crew.prompt.id == "inspect:hard-landing"
    crew.say("all ok")
    crew.do(action, knowing=True)
    assert crew.prompt.id.startswith("turn:")


@pytest.mark.parametrize(("adjuster", "now"), [(REBOUND[0], "6"), (LAUNCH, "4300")])
def test_a_way_back_that_is_proved_gentler_is_ordered(adjuster: str, now: str) -> None:
    crew = off_and_dropped(adjuster, now)
    assert crew.do("undo last change").id == f"turn:{adjuster}"
    crew.tick()
    assert crew.off == {}
    assert crew.prompt.id == "inspect:hard-landing"


def test_only_levers_that_let_the_front_rise_are_proved_gentler() -> None:
    crew = Crew()

    def turn(adjuster: str, by: float) -> Turn:
        now = crew.state.settings[adjuster]
        return Turn(adjuster=adjuster, before=now, after=now + by)

    assert is_gentler(crew.state, [turn(LAUNCH, -100), turn(REBOUND[0], 1)])
    assert not is_gentler(crew.state, [turn(LAUNCH, -100), turn(REBOUND[0], -1)])
    assert not is_gentler(crew.state, [turn(LAUNCH, -100), turn("left rear rebound", 1)])
    assert not is_gentler(crew.state, [turn("left front high-speed compression", 1)])
    assert not is_gentler(crew.state, [])


def test_what_a_hand_already_turned_is_recorded_at_an_open_list() -> None:
    crew = off_and_dropped(LAUNCH, "4000")
    crew.do("already turned", adjuster=LAUNCH, now="4200")
    crew.do("recount", adjuster=REBOUND[0], found="8")
    assert crew.state.settings[LAUNCH] == 4200
    assert crew.state.settings[REBOUND[0]] == 8


def test_a_valving_that_is_in_already_is_recorded_and_none_is_ordered_at_an_open_list() -> None:
    stacks = {"id": "front valving", "kind": "valving", "axle": "front", "start": "stack 2"}
    stacks |= {"positions": ["stack 1", "stack 2", "stack 3"], "minutes": 40, "lift_car": True}
    crew = Crew(invented_car(levers=[stacks]))
    crew.do("report damage", found="loose")
    action = {"lever": "front valving", "to": "stack 1", "keep": "counts as they are"}
    with pytest.raises(ActionError, match="no turn before the open list"):
        crew.do("valving changed", **action, knowing=True)
    filled = {"adjuster": "front valving", "to": "stack 1", "keep": "counts as they are"}
    taken: Any = FORMS["already turned"](crew.state, crew.book, filled)
    crew.do(taken.action, **taken.model_dump(exclude={"action"}))
    assert crew.state.settings["front valving"] == 0


def half_made() -> Crew:
    """Return a crew with an order of the rear half made: left 9 to 12, right still at 9."""
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    crew.say("make", "done")
    assert crew.prompt.id == "turn:right rear compression"
    return crew


def test_a_half_made_order_stops_where_it_stands_until_the_list_is_ticked() -> None:
    crew = half_made()
    settings = dict(crew.state.settings)
    assert crew.do("report damage", found="loose").id == "inspect:loose-or-toe"
    assert crew.state.settings == settings
    assert crew.back().id == "inspect:loose-or-toe", "no tick comes off behind the list"
    assert crew.state.settings == settings
    assert crew.say("all ok").id == "turn:right rear compression"
    crew.say("done")
    assert crew.last.status == "applied"


def test_what_was_turned_of_a_stopped_order_is_recorded() -> None:
    crew = half_made()
    crew.do("report damage", found="loose")
    goal = crew.last.steps[1].turn.after
    crew.do("already turned", adjuster="right rear compression", now=goal, sides="one")
    assert crew.last.status == "applied"
    assert crew.prompt.id == "inspect:loose-or-toe"


def test_an_order_that_is_proved_gentler_goes_on_at_an_open_list() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("make", "done")
    assert crew.do("report damage", found="loose").id == f"turn:{REBOUND[1]}"


def test_where_a_knob_stopped_is_asked_before_its_list() -> None:
    crew = half_made()
    assert crew.say("stops early").id == "reached:right rear compression"
    assert crew.say("10").id == "inspect:damper-damage"
    assert crew.say("all ok").id == "settle"


def test_a_broken_pair_waits_for_the_list_unless_putting_it_right_is_gentler() -> None:
    for found, asked in (("11", "inspect:loose-or-toe"), ("7", f"pair:{REBOUND[0]}")):
        crew = Crew()
        crew.do("recount", adjuster=REBOUND[0], found=found)
        assert crew.do("report damage", found="loose").id == asked


def test_an_inspection_is_owed_however_many_meetings_came_since() -> None:
    crew = Crew()
    crew.tell(symptoms=["spins-at-hit"], **SPINS)
    crew.say("leave")
    for number in range(3):
        crew.do("meeting", name=f"Invented meeting {number}")
        crew.say("test")
        crew.tell(symptoms=["it-is-good"])
        crew.say("ok")
    crew.do("correct", run=1, prompt="symptoms", value=["front-drops-hard"])
    assert crew.prompt.id == "inspect:hard-landing"
    crew.do("meeting", name="Last invented meeting")
    assert crew.say("test").id == "inspect:hard-landing"
    assert crew.say("all ok").id == "symptoms"
