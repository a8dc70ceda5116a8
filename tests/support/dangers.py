"""A crew whose passes showed a danger, and turns back to it."""

from typing import Any

from rules.car.adjusters import Turn
from tests.support.crew import Crew, invented_car

LAUNCH, LIMITER = "launch rpm", "front limiter"
REBOUND = tuple(f"{side} front rebound" for side in ("left", "right"))
BOGS: dict[str, Any] = {"rpm_drop": "deep", "usual_stand": "low"}
OVER: dict[str, Any] = {"stand": "dangerous", "bars": "hit"}


def with_bars() -> Crew:
    """Return a crew whose car has wheelie bars."""
    return Crew(invented_car(wheelie_bars=True))


def over_and_lowered() -> Crew:
    """Return a crew whose pass 1 went over 24 in with the bars hit; launch 4200 to 4100, gone."""
    crew = with_bars()
    crew.tell(symptoms=["front-carries"], **OVER)
    assert [(t.adjuster, t.before, t.after) for t in crew.advice.turns] == [(LAUNCH, 4200, 4100)]
    crew.make()
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    return crew


def to(crew: Crew, **goals: float) -> tuple[Turn, ...]:
    """Return turns from where the car stands to these goals, _ for a space."""
    goal = {key.replace("_", " "): value for key, value in goals.items()}
    return tuple(
        Turn(adjuster=key, before=crew.state.settings[key], after=value)
        for key, value in goal.items()
    )


def good_pass(crew: Crew, **noted: Any) -> None:
    """Run a pass that was good, with its stand told where it is asked."""
    crew.say(["it-is-good"])
    if noted:
        crew.do("conditions", **noted)
    crew.tell(stand="small")
    crew.say("ok")
