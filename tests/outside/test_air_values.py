"""Moist air against published formulas and reference libraries.

The table was computed with CoolProp (HumidAir), PsychroLib and a general-purpose evaluation of
CIPM-2007; the formulas differ among themselves by under 600 ppm, below any pit instrument. The
standard atmosphere is ISO 2533 / U.S. Standard Atmosphere 1976. The saturation pressure at 30 C is
IAPWS-95. The density altitudes were computed with the closed form over an ideal gas.
"""

import ambiance
import psychrolib
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rules.passes.air import (
    MoistAir,
    PressureKind,
    altimeter_setting,
    dew_point,
    pressure_doubt,
    relative_humidity,
    saturation_pressure,
    standard_pressure,
    station_pressure,
)

psychrolib.SetUnitSystem(psychrolib.SI)
FOOT_M = 0.3048

DENSITIES = [
    (10, 0.95, 104000, 1.27476, 1.27481, 1.27417),
    (20, 0.50, 101325, 1.19931, 1.19936, 1.19890),
    (28, 0.60, 100800, 1.15650, 1.15654, 1.15617),
    (32, 0.90, 100500, 1.12923, 1.12928, 1.12890),
    (38, 0.30, 98500, 1.09464, 1.09468, 1.09444),
    (35, 0.40, 83000, 0.92891, 0.92894, 0.92874),
    (45, 0.10, 83000, 0.90499, 0.90502, 0.90490),
]
ISA = [
    (0, 101325.00),
    (500, 95460.84),
    (1000, 89874.57),
    (1500, 84556.00),
    (2000, 79495.22),
    (3000, 70108.54),
]
airs = st.builds(MoistAir, st.floats(0, 48), st.floats(0.02, 1.0), st.floats(70_000, 105_000))


@pytest.mark.parametrize(("t", "rh", "p", "cipm", "coolprop", "psychro"), DENSITIES)
def test_moist_density(
    t: float, rh: float, p: float, cipm: float, coolprop: float, psychro: float
) -> None:
    density = MoistAir(t, rh, p).density_kg_m3
    assert density == pytest.approx(cipm, abs=6e-6)
    assert density == pytest.approx(coolprop, rel=600e-6)
    assert density == pytest.approx(psychro, rel=600e-6)


@pytest.mark.sweep
@given(air=airs)
def test_moist_density_against_coolprop_live(air: MoistAir) -> None:
    """In the sweep alone: the library takes seconds to load, and the table above is its own."""
    from CoolProp.HumidAirProp import HAPropsSI

    inputs = ("T", air.temperature_c + 273.15, "P", air.station_pressure_pa)
    volume = HAPropsSI("Vha", *inputs, "R", air.relative_humidity)
    assert air.density_kg_m3 == pytest.approx(1.0 / volume, rel=600e-6)


@given(air=airs)
def test_moist_density_against_psychrolib_live(air: MoistAir) -> None:
    ratio = psychrolib.GetHumRatioFromRelHum(
        air.temperature_c, air.relative_humidity, air.station_pressure_pa
    )
    density = psychrolib.GetMoistAirDensity(air.temperature_c, ratio, air.station_pressure_pa)
    assert air.density_kg_m3 == pytest.approx(density, rel=1000e-6)
    assert air.dry_density_kg_m3 == pytest.approx(density / (1 + ratio), rel=1500e-6)


def test_saturation_pressure() -> None:
    assert saturation_pressure(30.0) == pytest.approx(4246.97, rel=300e-6)


@given(t=st.floats(1, 48), rh=st.floats(0.05, 1.0))
def test_dew_point_against_psychrolib_live(t: float, rh: float) -> None:
    """Below freezing the library gives the frost point over ice; the tool keeps to water."""
    assume(dew_point(t, rh) > 0.05)
    assert dew_point(t, rh) == pytest.approx(psychrolib.GetTDewPointFromRelHum(t, rh), abs=0.02)
    assert relative_humidity(t, min(t, dew_point(t, rh))) == pytest.approx(rh, rel=1e-6)


@pytest.mark.parametrize(
    ("t", "rh", "p", "feet"),
    [
        (20, 0.50, 101325, 735),
        (30, 0.60, 100500, 2323),
        (35, 0.40, 83000, 9161),
        (10, 0.95, 104000, -1350),
    ],
)
def test_density_altitude(t: float, rh: float, p: float, feet: float) -> None:
    assert MoistAir(t, rh, p).density_altitude_m / FOOT_M == pytest.approx(feet, abs=1.0)


@pytest.mark.parametrize(("height", "pressure"), ISA)
def test_the_standard_atmosphere(height: float, pressure: float) -> None:
    assert standard_pressure(height) == pytest.approx(pressure, abs=0.02)
    assert station_pressure(101325.0, PressureKind.ALTIMETER_SETTING, height) == pytest.approx(
        pressure, abs=0.02
    )
    assert altimeter_setting(pressure, height) == pytest.approx(101325.0, abs=0.05)


@given(height=st.floats(0, 4400))
def test_the_standard_atmosphere_against_ambiance_live(height: float) -> None:
    geometric = ambiance.Atmosphere.geop2geom_height(height)
    there = ambiance.Atmosphere(geometric)
    assert standard_pressure(height) == pytest.approx(there.pressure[0], abs=0.05)


def test_a_sea_level_barometer_is_reduced_with_the_air_there_is() -> None:
    """In standard air both reductions agree: the mean of the column is the standard one."""
    both = [
        station_pressure(101325.0, kind, 1500.0, 15.0 - 0.0065 * 1500.0)
        for kind in (PressureKind.SEA_LEVEL, PressureKind.ALTIMETER_SETTING)
    ]
    assert both[0] == pytest.approx(both[1], rel=2e-4)


@pytest.mark.parametrize("height", [450.0, 800.0, 1500.0, 2500.0])
@pytest.mark.parametrize("sea_level", [99500.0, 101325.0, 103000.0])
def test_a_sea_level_figure_called_station_pressure_is_seen(
    height: float, sea_level: float
) -> None:
    station = station_pressure(sea_level, PressureKind.ALTIMETER_SETTING, height)
    assert pressure_doubt(station, PressureKind.STATION, height) is None
    assert pressure_doubt(sea_level, PressureKind.ALTIMETER_SETTING, height) is None
    if height >= 800.0 or sea_level > 100_000:
        doubt = pressure_doubt(sea_level, PressureKind.STATION, height)
        assert doubt is not None
        assert "sea level" in doubt.wanted
    if height >= 800.0:
        assert pressure_doubt(station, PressureKind.SEA_LEVEL, height) is not None


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: MoistAir(75, 0.5, 101325), "air temperature"),
        (lambda: MoistAir(20, 50, 101325), "relative humidity"),
        (lambda: MoistAir(20, 0.5, 1013.25), "air pressure"),
        (lambda: MoistAir(float("nan"), 0.5, 101325), "air temperature"),
        (lambda: relative_humidity(20, 25), "dew point"),
        (lambda: dew_point(20, 0.0), "relative humidity"),
        (lambda: station_pressure(101325, PressureKind.SEA_LEVEL), "track elevation"),
        (lambda: station_pressure(83000, PressureKind.SEA_LEVEL, 1500.0), "sea-level barometer"),
        (lambda: standard_pressure(9000), "track elevation"),
    ],
)
def test_a_wrong_number_is_refused_by_name(make: object, field: str) -> None:
    with pytest.raises(ValueError, match=field) as refused:
        make()  # type: ignore[operator]
    assert "found" in str(refused.value)
    assert "wanted" in str(refused.value)
