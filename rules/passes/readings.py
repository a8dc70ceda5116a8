"""What can be read of lane, air and track at a pass."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.units import System

LANE = "lane"


PRESSURE_KIND = "pressure_kind"


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
    "dew_point": Reading("Dew point", {"us": ("F", -60, 100), "metric": ("C", -50, 38)}),
    "pressure": Reading("Air pressure", {"us": ("inHg", 18, 32), "metric": ("hPa", 600, 1100)}),
    "elevation": Reading(
        "Track elevation", {"us": ("ft", -1500, 12000), "metric": ("m", -450, 3700)}
    ),
    "track_temperature": Reading(
        "Track temperature", {"us": ("F", -40, 210), "metric": ("C", -40, 100)}
    ),
}
