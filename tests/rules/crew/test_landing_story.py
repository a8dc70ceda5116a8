"""Hard landing out of clicks, firmer valving in, a good landing, the nose stays high, bleed opened.

The whole road of one car, by the questions a crew answers: nothing is set from outside.
"""

from collections.abc import Iterable, Mapping
from typing import Any

import pytest

from rules.advice.safety.gates import open_blocks
from rules.log.other_parts import is_evidence, other_parts
from tests.rules.crew.sheets.test_dampers import LEVER, fill, finish
from tests.support.crew import LEVERS, Crew, invented_car, knob

# The firmer pack gives the old force of full hard at 50 mm/s between 10 and 11 of its 12 counts,
# where it gives about a quarter more at 250 mm/s: 110 (260/110)^(10/12) = 225 N against 225 N, and
# 900 (2000/900)^(10/12) = 1751 N against 1350 N.
OLD = [
    "speed [mm/s], 0 [N], 6 [N], 12 [N]", "50, 100, 150, 225", "250, 600, 900, 1350",
    "500, 900, 1350, 2025",
]  # fmt: skip
FIRMER = [
    "speed [mm/s], 0 [N], 6 [N], 12 [N]", "50, 110, 169, 260", "250, 900, 1342, 2000",
    "500, 1500, 2236, 3333",
]  # fmt: skip
FRONT = (
    knob("rebound", "rebound", start=12),
    knob("bleed", "compression", "low", start=14),
    knob("compression", "compression", "high", clicks=12, start=12, compression_dyno=OLD),
)
HARD: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}


STORY_LEVERS = (*LEVERS, {**LEVER, "positions": ["C1", "C2"]})


def story_car(levers: Iterable[Mapping[str, Any]] = STORY_LEVERS) -> Any:
    return invented_car(
        front=FRONT,
        levers=levers,
        stock=[{"kind": "valving", "axle": "front", "name": "C2", "compression_dyno": FIRMER}],
    )


def ticked(crew: Crew) -> None:
    while crew.prompt.kind == "tick":
        crew.say("all ok")


@pytest.fixture
def valved_crew() -> Crew:
    """Return a crew whose hard landing found no click left, with the firmer valving in and run."""
    crew = Crew(story_car())
    crew.tell(symptoms=["front-drops-hard"], **HARD)
    assert crew.advice.kind == "ladder"
    assert "C2" in crew.advice.lines[0]
    crew.say("ok")
    fill(crew, job="valving", where="front", how="from outside", stroke="compression")
    fill(crew, **{"in": "C2"}, shims="0.15 x 3", clicks="low speed")
    finish(crew)
    return crew


def test_the_landing_story_from_the_ladder_to_the_opened_bleed(valved_crew: Crew) -> None:
    crew = valved_crew
    change = crew.last
    assert (
        change.title == "Front valving: C1 to C2, compression 12 to 10 to keep the low-speed force"
    )
    kept = {key: crew.state.settings[key] for key in ("left front rebound", "left front bleed")}
    crew.tick()
    assert not open_blocks(crew.state, crew.book)
    assert {key: crew.state.settings[key] for key in kept} == kept
    assert crew.state.settings["right front compression"] == 10
    assert crew.prompt.id == "ran"
    crew.say("ran")
    crew.tell(verdict="gone", symptoms=["nose-stays-high"], stand="small", on_lift="sinks")
    judged = crew.state.change(change.id)
    assert (judged.status, judged.verdict) == ("judged", "gone")
    assert is_evidence(crew.state, judged)
    assert crew.advice.rule == "nose-high-low-speed-softer"
    bleed = {turn.adjuster: turn.after - turn.before for turn in crew.advice.turns}
    assert bleed == {"left front bleed": -3, "right front bleed": -3}
    made = crew.make()
    assert crew.prompt.id == "ran"
    crew.say("ran")
    crew.tell(verdict="gone", stand="small")
    assert crew.state.change(made.id).verdict == "gone"
    inside = crew.state.dampers.records["first left front"].strokes["compression"]
    assert (inside.valving, inside.shims) == ("C2", "0.15 x 3")
    assert [job.says for job in crew.state.dampers.jobs] == [
        "Front, both sides: valving changed from outside, now compression C2, 0.15 x 3."
    ]


def test_it_goes_back_whole_as_one(valved_crew: Crew) -> None:
    crew = valved_crew
    before = {key: one.start for key, one in crew.fitted.items()}
    crew.tick()
    crew.do("undo last change", knowing=True)
    crew.tick()
    assert dict(crew.state.settings) == before
    assert crew.state.dampers.at("left front") == "first left front"


def test_what_was_learnt_with_a_valving_goes_with_it(valved_crew: Crew) -> None:
    """Judged with the firmer pack in, a turn of its knob says nothing once the old one is back."""
    crew = valved_crew
    crew.tick()
    crew.say("ran")
    crew.tell(verdict="gone", symptoms=["nose-stays-high"], stand="small", on_lift="sinks")
    bleed = crew.make()
    crew.say("ran")
    crew.tell(verdict="gone", stand="small")
    assert is_evidence(crew.state, crew.state.change(bleed.id))
    crew.say("ok")
    crew.put_back()
    assert crew.off == {}
    crew.do("already turned", adjuster="left front bleed", now="11")
    assert other_parts(crew.state, crew.state.change(bleed.id)).startswith("of the parts before")


def test_a_kill_at_any_event_of_the_job_opens_where_it_stood(valved_crew: Crew) -> None:
    """Every answer is its own event, so the sheet goes on from the last one."""
    crew = valved_crew
    for events in range(3, len(crew.log)):
        again = crew.killed(events, crew.names)
        assert again.prompt.id
