"""What a crew can read of the air and the track at a pass, and what fits in either system."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from rules.events import ConditionsNoted, Surface
from rules.prompts import Choice, Prompt
from rules.state import Run, State
from rules.units import System

LANE = "lane"
PRESSURE_KIND = "pressure_kind"
LANES = ("left", "right")
COMING, COMING_LANE = "coming", "coming lane"
SURFACES: dict[Surface, str] = {
    "prepared": "Prepared, and it holds",
    "cold": "Prepared, but cold, green or worn",
    "new": "Prepared, but a track we do not know",
    "unprepared": "Not prepared: bare, dusty or street-like",
}


@dataclass(frozen=True)
class Reading:
    """One number: its words, and by system its unit and the bounds beyond which it is a slip."""

    label: str
    units: Mapping[System, tuple[str, float, float]]


READINGS = {
    "air_temperature": Reading(
        "Air temperature", {"us": ("F", -40, 140), "metric": ("C", -40, 60)}
    ),
    "humidity": Reading("Relative humidity", {"us": ("%", 0, 100), "metric": ("%", 0, 100)}),
    "dew_point": Reading("Dew point", {"us": ("F", -60, 100), "metric": ("C", -50, 38)}),
    "pressure": Reading("Air pressure", {"us": ("inHg", 18, 32), "metric": ("hPa", 600, 1100)}),
    "elevation": Reading(
        "Track elevation", {"us": ("ft", -1500, 12000), "metric": ("m", -450, 3700)}
    ),
    "track_temperature": Reading(
        "Track temperature", {"us": ("F", -40, 210), "metric": ("C", -40, 100)}
    ),
}


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


def shown(noted: ConditionsNoted) -> list[str]:
    """Return what was noted, one reading each: left lane, Air temperature 84 F, ..."""
    rows = [f"{noted.lane.capitalize()} lane"] if noted.lane else []
    rows += [SURFACES[noted.surface]] if noted.surface else []
    for key, one in READINGS.items():
        number = getattr(noted, key)
        if number is not None:
            kind = f" ({noted.pressure_kind})" if key == "pressure" and noted.pressure_kind else ""
            rows.append(f"{one.label} {number:g} {one.units[noted.units][0]}{kind}")
    return rows
