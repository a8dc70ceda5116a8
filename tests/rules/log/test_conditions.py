"""The air of a pass from what a crew reads: units, what is missing, what is odd."""

from typing import Any

import pytest

from rules.log.conditions import air_of, doubt, in_si, missing
from rules.log.events.passes import ConditionsNoted


def noted(**read: Any) -> ConditionsNoted:
    return ConditionsNoted.model_validate({"run": "r", "units": "us", **read})


FULL: dict[str, Any] = {
    "air_temperature": 86,
    "humidity": 60,
    "pressure": 29.677,
    "pressure_kind": "station pressure",
}


def test_readings_in_si() -> None:
    # NIST SP 811, appendix B.8: 1 inHg (conventional) = 3386.389 Pa, 1 ft = 0.3048 m.
    read = in_si(noted(**FULL, elevation=1000))
    assert read.temperature_c == pytest.approx(30.0)
    assert read.humidity == 0.6
    assert read.pressure_pa == pytest.approx(29.677 * 3386.389)
    assert read.elevation_m == pytest.approx(304.8)
    metric = in_si(noted(units="metric", air_temperature=30, pressure=1005, elevation=300))
    assert (metric.temperature_c, metric.pressure_pa, metric.elevation_m) == (30, 100500, 300)


def test_density_altitude_of_a_summer_day() -> None:
    # 30 C, 60 %, 1005 hPa: 2323 ft by the standard atmosphere turned round, ideal-gas density.
    assert air_of(noted(**FULL)).density_altitude_m / 0.3048 == pytest.approx(2323, abs=8)


@pytest.mark.parametrize(
    ("left_out", "named"),
    [
        ("air_temperature", "air temperature"),
        ("humidity", "humidity or dew point"),
        ("pressure", "pressure"),
        ("pressure_kind", "which pressure that is"),
    ],
)
def test_what_is_missing_is_named(left_out: str, named: str) -> None:
    read = noted(**{key: value for key, value in FULL.items() if key != left_out})
    assert missing(read) == [named]
    with pytest.raises(ValueError, match=f"not noted: {named}"):
        air_of(read)


def test_a_sea_level_pressure_needs_the_elevation() -> None:
    assert missing(noted(**{**FULL, "pressure_kind": "altimeter setting"})) == ["track elevation"]
    assert missing(None) != []


def test_an_altimeter_setting_called_station_pressure_is_odd_on_a_high_track() -> None:
    high = {**FULL, "pressure": 29.92, "elevation": 5000}
    assert "looks reduced to sea level" in doubt(noted(**high))
    assert doubt(noted(**{**high, "pressure_kind": "altimeter setting"})) == ""
    assert doubt(noted(**FULL)) == ""
    assert doubt(noted(air_temperature=80)) == ""
