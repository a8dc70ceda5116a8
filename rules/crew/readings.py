"""What a crew can read of the air and the track at a pass, and what fits in either system."""

from dataclasses import replace

from rules.log.conditions import SURFACES
from rules.log.engine import BREATHING
from rules.log.state import Run, State
from rules.passes.readings import LANE, LANES, PRESSURE_KIND, READINGS
from rules.question import Choice, Prompt
from rules.units import System

COMING, COMING_LANE = "coming", "coming lane"


def lane(run: Run) -> Prompt:
    """Ask for the lane of a pass, or whether another one is meant; what its slip said is marked."""
    coming = Choice(COMING, "Not of this pass: of the one that comes")
    choices = (*(Choice(one, one.capitalize()) for one in LANES), coming)
    question = f"Pass {run.number}: which lane?"
    return Prompt(LANE, question, choices=choices, default=run.lane, unknown=True)


def coming_lane(number: int) -> Prompt:
    """Ask for the lane of the pass that comes."""
    choices = tuple(Choice(one, one.capitalize()) for one in LANES)
    question = f"Pass {number}, the one that comes: which lane?"
    return Prompt(COMING_LANE, question, choices=choices, unknown=True)


def surface() -> Prompt:
    """Ask what the launch area is like."""
    choices = tuple(Choice(key, words) for key, words in SURFACES.items())
    hint = "Walk it to the far mark, where the officials allow it. Unknown counts as a strange one."
    return Prompt("surface", "What is the surface like?", choices=choices, hint=hint, unknown=True)


def pressure_kind() -> Prompt:
    """Ask which pressure was read: it is never guessed."""
    return Prompt(
        PRESSURE_KIND,
        "Which pressure is that?",
        choices=(
            Choice("station pressure", "Station pressure: what the air is here, not corrected"),
            Choice("sea-level barometer", "Sea-level barometer, as a weather report gives it"),
            Choice("altimeter setting", "Altimeter setting, as an airfield gives it"),
        ),
        hint="A barometer reduced to sea level is far off on a high track: it is converted.",
        unknown=True,
    )


def breathing() -> Prompt:
    """Ask how the engine breathes: what the air does to its times follows from it."""
    return Prompt(
        BREATHING,
        "How does the engine breathe?",
        choices=(
            Choice("unblown", "Unblown: naturally aspirated"),
            Choice("belt", "A blower on a belt"),
            Choice("turbo", "Turbo, its wastegate on a spring: no boost control"),
            Choice("turbo held", "Turbo with boost control"),
            Choice("nitrous", "Nitrous"),
            Choice("electric", "Electric"),
        ),
        hint="Asked once: how far thinner air slows it follows from this, and from its passes.",
        unknown=True,
    )


def elevation_known(state: State) -> float | None:
    """Return the elevation noted last at this meeting, in the units of now."""
    meeting = state.meeting.id if state.meeting else None
    units = state.car.units if state.car else None
    noted = [
        run.conditions.elevation
        for run in state.runs
        if run.meeting == meeting and run.conditions and run.conditions.units == units
    ]
    if state.coming is not None and state.coming.units == units:
        noted.append(state.coming.elevation)
    return next((one for one in reversed(noted) if one is not None), None)


def elevation(state: State, system: System) -> Prompt:
    """Ask for the elevation of the track; Enter takes what this meeting had."""
    asked = reading("elevation", system)
    known = elevation_known(state)
    if known is None:
        return asked
    return replace(asked, hint=f"Enter alone: {known:g} {asked.unit}, as noted before.")


def reading(key: str, system: System) -> Prompt:
    """Ask for one reading."""
    unit, low, high = READINGS[key].units[system]
    return Prompt(
        key,
        f"{READINGS[key].label}, in {unit}?",
        "number",
        hint="As it was read. Enter alone: not read.",
        low=low,
        high=high,
        unit=unit,
        optional=True,
    )
