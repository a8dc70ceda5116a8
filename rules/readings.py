"""What a crew can read of the air and the track at a pass, and what fits in either system."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.events import ConditionsNoted
from rules.prompts import Choice, Prompt
from rules.units import System

LANE = "lane"
LANES = ("left", "right")


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
    "pressure": Reading("Air pressure", {"us": ("inHg", 18, 32), "metric": ("hPa", 600, 1100)}),
    "track_temperature": Reading(
        "Track temperature", {"us": ("F", -40, 210), "metric": ("C", -40, 100)}
    ),
}


def lane(number: int) -> Prompt:
    """Ask for the lane of a pass."""
    choices = tuple(Choice(one, one.capitalize()) for one in LANES)
    return Prompt(LANE, f"Pass {number}: which lane?", choices=choices, unknown=True)


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
    for key, one in READINGS.items():
        number = getattr(noted, key)
        if number is not None:
            rows.append(f"{one.label} {number:g} {one.units[noted.units][0]}")
    return rows
