"""The air of a pass: what was read, in the crew's units, as air with a density."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rules import units
from rules.log.state import Run
from rules.units import FOOT_M, INCH_OF_MERCURY_PA, System

if TYPE_CHECKING:
    from rules.log.events.passes import PassImported
    from rules.log.noted import AsNoted, Surface
    from rules.passes.air import MoistAir, PressureKind

SURFACES: dict[Surface, str] = {
    "prepared": "Prepared, and it holds",
    "cold": "Prepared, but cold, green or worn",
    "new": "Prepared, but a track we do not know",
    "unprepared": "Not prepared: bare, dusty or street-like",
}


class ReadingsInSi(NamedTuple):
    """Readings in SI: degrees Celsius, fraction, pascal, metres; what is None was not said."""

    temperature_c: float | None
    humidity: float | None
    dew_point_c: float | None
    pressure_pa: float | None
    kind: PressureKind | None
    elevation_m: float | None


def in_si(noted: AsNoted) -> ReadingsInSi:
    """Return what was read in SI."""
    from rules.passes.air import PressureKind

    us = noted.units == "us"
    return ReadingsInSi(
        temperature_c=celsius(noted.air_temperature, noted.units),
        humidity=None if noted.humidity is None else noted.humidity / 100.0,
        dew_point_c=celsius(noted.dew_point, noted.units),
        pressure_pa=_times(noted.pressure, INCH_OF_MERCURY_PA if us else 100.0),
        kind=PressureKind(noted.pressure_kind) if noted.pressure_kind else None,
        elevation_m=_times(noted.elevation, FOOT_M if us else 1.0),
    )


def missing(noted: AsNoted | None) -> list[str]:
    """Return what must still be read before the air has a density."""
    if noted is None:
        return ["air temperature", "humidity or dew point", "pressure"]
    wanted = {
        "air temperature": noted.air_temperature is None,
        "humidity or dew point": noted.humidity is None and noted.dew_point is None,
        "pressure": noted.pressure is None,
        "which pressure that is": noted.pressure is not None and noted.pressure_kind is None,
        "track elevation": noted.elevation is None
        and noted.pressure_kind not in (None, "station pressure"),
    }
    return [name for name, is_missing in wanted.items() if is_missing]


def air_of(noted: AsNoted) -> MoistAir:
    """Return the air that was noted.

    Raises:
        ValueError: something is missing, or does not go together; names it.
    """
    from rules.passes.air import MoistAir, relative_humidity, station_pressure

    if gaps := missing(noted):
        raise ValueError(f"not noted: {', '.join(gaps)}")
    read = in_si(noted)
    temperature, pressure, kind = read.temperature_c, read.pressure_pa, read.kind
    humidity = read.humidity
    if temperature is not None and humidity is None and read.dew_point_c is not None:
        humidity = relative_humidity(temperature, read.dew_point_c)
    if temperature is None or pressure is None or kind is None or humidity is None:
        raise ValueError("not noted: temperature, pressure, which it is, or humidity")
    return MoistAir(
        temperature, humidity, station_pressure(pressure, kind, read.elevation_m, temperature)
    )


def air_at(run: Run | PassImported) -> MoistAir | None:
    """Return the air of a pass where it is known."""
    try:
        return air_of(run.conditions) if run.conditions else None
    except ValueError:
        return None


def doubt(noted: AsNoted) -> str:
    """Say what is odd about a pressure called by its name at this track, or nothing."""
    from rules.passes.air import pressure_doubt

    read = in_si(noted)
    if read.pressure_pa is None or read.kind is None:
        return ""
    fault = pressure_doubt(read.pressure_pa, read.kind, read.elevation_m or 0.0)
    return str(fault) if fault else ""


def celsius(value: float | None, system: System) -> float | None:
    """Return a temperature [degrees Celsius] that was read in the crew's unit."""
    return None if value is None else units.celsius(value, system)


def _times(value: float | None, size: float) -> float | None:
    return None if value is None else value * size


def shown(noted: AsNoted) -> list[str]:
    """Return what was noted, one reading each: left lane, Air temperature 84 F, ..."""
    from rules.passes.readings import READINGS

    rows = [f"{noted.lane.capitalize()} lane"] if noted.lane else []
    rows += [SURFACES[noted.surface]] if noted.surface else []
    for key, one in READINGS.items():
        number = getattr(noted, key)
        if number is not None:
            kind = f" ({noted.pressure_kind})" if key == "pressure" and noted.pressure_kind else ""
            rows.append(f"{one.label} {number:g} {one.units[noted.units][0]}{kind}")
    return rows
