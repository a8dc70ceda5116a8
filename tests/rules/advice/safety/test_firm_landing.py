"""When the front's compression may be opened for a nose that stays high.

Common practice, no source: a firm landing that was found is never undone; a landing with room to
spare, by the ring, is no firm one.
"""

from typing import Any

import pytest

from rules.advice.safety.firm_landing import LANDING_FIRMED, landing_was_firmed
from rules.advice.safety.moves import moves
from rules.advice.safety.nevers import forbidden
from rules.advice.safety.pass_facts import TRAVEL_USED
from rules.car.adjusters import Turn
from tests.rules.crew.sheets.test_dampers import fill, finish
from tests.support.crew import Crew, invented_car, knob

ROOM: dict[str, Any] = {
    "also seen": frozenset({"nose-stays-high"}),
    "stand": "small",
    "front bleed": "open",
    TRAVEL_USED: 0.45,
    LANDING_FIRMED: "no",
}
FITTED = Crew(invented_car(front=[knob("compression", "compression", start=8)])).fitted
KNOB = FITTED["left front compression"]
SOFTER = moves((Turn(adjuster=KNOB.id, before=8, after=8 + 2 * KNOB.up(False)),), FITTED)


def test_with_room_to_spare_and_no_bleed_to_open_it_may_be_softer() -> None:
    assert not forbidden(SOFTER, ROOM)
    assert not forbidden(SOFTER, ROOM | {"front bleed": "not fitted"})


@pytest.mark.parametrize(
    "but",
    [
        {TRAVEL_USED: 0.7},
        {"front bleed": "has room"},
        {LANDING_FIRMED: "yes"},
        {"front-travel": "at-stop"},
    ],
    ids=["little room", "a bleed has room", "it was firmed", "at the stop as it was seen"],
)
def test_else_the_firm_landing_stays(but: dict[str, Any]) -> None:
    assert forbidden(SOFTER, ROOM | but)


UNREAD = {key: value for key, value in ROOM.items() if key != TRAVEL_USED}


@pytest.mark.parametrize(
    ("said", "firm"),
    [({}, True), ({"travel-share": "more"}, True), ({"travel-share": "half-or-less"}, False)],
)
def test_without_a_number_the_rings_half_says_whether_it_is_firm(
    said: dict[str, str], firm: bool
) -> None:
    assert bool(forbidden(SOFTER, UNREAD | {"front-travel": "short-soft"} | said)) is firm


def test_a_landing_that_a_change_made_firm_is_known_until_it_is_put_back() -> None:
    crew = Crew(invented_car(front=[knob("compression", "compression", start=8)]))
    crew.tell(symptoms=["front-drops-hard"], front_travel="at-stop", stand="small")
    assert not landing_was_firmed(crew.state)
    crew.make()
    assert landing_was_firmed(crew.state)
    crew.do("put back to baseline", knowing=True)
    crew.tick()
    assert not landing_was_firmed(crew.state)


@pytest.mark.parametrize(("stroke", "firm"), [("compression", True), ("rebound", False)])
def test_a_valving_that_no_lever_names_may_be_firmer(stroke: str, firm: bool) -> None:
    """Nobody knows which way it went, so a compression valving is not undone by a knob."""
    crew = Crew(invented_car(front=[knob(stroke, stroke, "high")]))
    fill(crew, job="valving", where="front", how="opened", by="the maker", stroke=stroke)
    fill(crew, out="Stack 1", **{"in": "Stack 2"}, gas="as noted", baseline="later")
    finish(crew)
    assert landing_was_firmed(crew.state) is firm
