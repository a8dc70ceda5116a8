"""The air a pass is made in: moist density, humidity, density altitude, and the pressure meant.

Temperatures in degrees Celsius, pressures in pascal, humidity as a fraction, heights in metres.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import exp, isfinite, log, pow

from rules.faults import Fault

ZERO_CELSIUS_K = 273.15

# ISO 2533 (U.S. Standard Atmosphere 1976), troposphere, geopotential metres.
ISA_TEMPERATURE_K = 288.15
ISA_PRESSURE_PA = 101325.0
ISA_DENSITY_KG_M3 = 1.225
LAPSE_K_M = 0.0065
GRAVITY_M_S2 = 9.80665
AIR_CONSTANT_J_KG_K = 287.05287
_ISA_POWER = GRAVITY_M_S2 / (AIR_CONSTANT_J_KG_K * LAPSE_K_M)

# Picard, Davis, Glaeser, Fujii: Revised formula for the density of moist air (CIPM-2007),
# Metrologia 45 (2008) 149-155; carbon dioxide 400 ppm.
_GAS_CONSTANT = 8.314472
_DRY_KG_MOL = 0.02896546
_WATER_KG_MOL = 0.01801528
_WATER_RATIO = _WATER_KG_MOL / _DRY_KG_MOL

# Heaviest and lightest weather, as a sea-level pressure: common practice, no source.
SEA_LEVEL_LOW_PA = 94_000.0
SEA_LEVEL_HIGH_PA = 105_000.0

RANGES = {
    "air temperature": (-40.0, 60.0, "degrees C"),
    "dew point": (-60.0, 60.0, "degrees C"),
    "relative humidity": (0.0, 1.0, "as a fraction"),
    "air pressure": (50_000.0, 110_000.0, "Pa"),
    "track elevation": (-500.0, 4_500.0, "m"),
}


class PressureKind(StrEnum):
    """Which pressure a number is: the crew says it, it is never guessed."""

    STATION = "station pressure"
    ALTIMETER_SETTING = "altimeter setting"
    SEA_LEVEL = "sea-level barometer"


def checked(field: str, value: float) -> float:
    """Return the value, or refuse it.

    Raises:
        ValueError: not a number inside the range of its field; names the field, what was found
            and what is wanted.
    """
    low, high, unit = RANGES[field]
    if not isfinite(value) or not low <= value <= high:
        raise ValueError(str(Fault(field, f"{value:g}", f"{low:g} to {high:g} {unit}")))
    return value


def saturation_pressure(temperature_c: float) -> float:
    """Return the saturation vapour pressure over water [Pa]: CIPM-2007, equation A1.1.

    Raises:
        ValueError: temperature out of range.
    """
    kelvin = checked("air temperature", temperature_c) + ZERO_CELSIUS_K
    return _saturation(kelvin)


def _saturation(kelvin: float) -> float:
    return exp(
        1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )


def dew_point(temperature_c: float, relative_humidity: float) -> float:
    """Return the dew point over water [degrees C], by Newton's method on the saturation pressure.

    Raises:
        ValueError: temperature or humidity out of range, or no vapour at all.
    """
    humidity = checked("relative humidity", relative_humidity)
    if humidity <= 0.0:
        raise ValueError(str(Fault("relative humidity", "0", "above 0: dry air has no dew point")))
    goal = log(saturation_pressure(temperature_c) * humidity)
    kelvin = temperature_c + ZERO_CELSIUS_K
    for _ in range(60):
        slope = 2 * 1.2378847e-5 * kelvin - 1.9121316e-2 + 6.3431645e3 / kelvin**2
        step = (log(_saturation(kelvin)) - goal) / slope
        kelvin -= max(-20.0, min(20.0, step))
        if abs(step) < 1e-10:
            break
    return kelvin - ZERO_CELSIUS_K


def relative_humidity(temperature_c: float, dew_point_c: float) -> float:
    """Return the relative humidity [fraction] of air with a dew point.

    Raises:
        ValueError: a temperature out of range, or a dew point above the air temperature.
    """
    checked("air temperature", temperature_c)
    checked("dew point", dew_point_c)
    if dew_point_c > temperature_c:
        raise ValueError(
            str(Fault("dew point", f"{dew_point_c:g}", f"at most the air's {temperature_c:g}"))
        )
    return _saturation(dew_point_c + ZERO_CELSIUS_K) / _saturation(temperature_c + ZERO_CELSIUS_K)


@dataclass(frozen=True)
class MoistAir:
    """Air at the track.

    Raises:
        ValueError: a number out of its range.
    """

    temperature_c: float
    relative_humidity: float
    station_pressure_pa: float

    def __post_init__(self) -> None:
        checked("air temperature", self.temperature_c)
        checked("relative humidity", self.relative_humidity)
        checked("air pressure", self.station_pressure_pa)

    @property
    def vapour_pressure_pa(self) -> float:
        """Partial pressure of the water vapour, without the enhancement factor."""
        return self.relative_humidity * saturation_pressure(self.temperature_c)

    @property
    def dry_pressure_pa(self) -> float:
        """Partial pressure of the air that is not water."""
        return self.station_pressure_pa - self.vapour_pressure_pa

    @property
    def density_kg_m3(self) -> float:
        """Moist density: CIPM-2007, equations 1 and A1.1 to A1.4."""
        t, p = self.temperature_c, self.station_pressure_pa
        kelvin = t + ZERO_CELSIUS_K
        water = self._water_fraction
        compressibility = (
            1.0
            - p
            / kelvin
            * (
                1.58123e-6
                - 2.9331e-8 * t
                + 1.1043e-10 * t**2
                + (5.707e-6 - 2.051e-8 * t) * water
                + (1.9898e-4 - 2.376e-6 * t) * water**2
            )
            + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * water**2)
        )
        dry = p * _DRY_KG_MOL / (compressibility * _GAS_CONSTANT * kelvin)
        return dry * (1.0 - water * (1.0 - _WATER_RATIO))

    @property
    def dry_density_kg_m3(self) -> float:
        """What of the density is not water: the air an engine burns with."""
        water = self._water_fraction
        dry_share = (1.0 - water) / (1.0 - water * (1.0 - _WATER_RATIO))
        return self.density_kg_m3 * dry_share

    @property
    def ideal_density_kg_m3(self) -> float:
        """Moist density of an ideal gas, as density altitude is reckoned with."""
        kelvin = self.temperature_c + ZERO_CELSIUS_K
        return (self.dry_pressure_pa + _WATER_RATIO * self.vapour_pressure_pa) / (
            AIR_CONSTANT_J_KG_K * kelvin
        )

    @property
    def density_altitude_m(self) -> float:
        """Height in the standard atmosphere at which dry air is as dense."""
        return density_altitude(self.ideal_density_kg_m3)

    @property
    def dew_point_c(self) -> float:
        """Dew point; see `dew_point` for what it refuses."""
        return dew_point(self.temperature_c, self.relative_humidity)

    @property
    def _water_fraction(self) -> float:
        t, p = self.temperature_c, self.station_pressure_pa
        enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
        return self.relative_humidity * enhancement * saturation_pressure(t) / p


def density_altitude(density_kg_m3: float) -> float:
    """Return the height [m] of a density in the standard atmosphere, ISO 2533 turned round.

    Raises:
        ValueError: a density that is not above zero.
    """
    if not density_kg_m3 > 0.0:
        raise ValueError(str(Fault("density", f"{density_kg_m3:g}", "above 0 kg/m3")))
    ratio = density_kg_m3 / ISA_DENSITY_KG_M3
    return ISA_TEMPERATURE_K / LAPSE_K_M * (1.0 - pow(ratio, 1.0 / (_ISA_POWER - 1.0)))


def standard_pressure(elevation_m: float) -> float:
    """Return the pressure [Pa] of the standard atmosphere at a geopotential height.

    Raises:
        ValueError: elevation out of range.
    """
    height = checked("track elevation", elevation_m)
    return ISA_PRESSURE_PA * pow(1.0 - LAPSE_K_M * height / ISA_TEMPERATURE_K, _ISA_POWER)


def station_pressure(
    pressure_pa: float,
    kind: PressureKind,
    elevation_m: float | None = None,
    temperature_c: float | None = None,
) -> float:
    """Return the pressure [Pa] at the track from what a barometer or a weather report gives.

    An altimeter setting is reduced by the standard atmosphere, by its definition. A sea-level
    barometer is reduced by the weather service with the air's own temperature: the column is taken
    at the track's temperature plus half the standard lapse, or standard where none is given.

    Raises:
        ValueError: a number out of range, or no elevation for a pressure reduced to sea level.
    """
    if kind is PressureKind.STATION:
        return checked("air pressure", pressure_pa)
    if elevation_m is None:
        raise ValueError(str(Fault("track elevation", "nothing", f"a height, for a {kind}")))
    height = checked("track elevation", elevation_m)
    low, high, unit = RANGES["air pressure"]
    if not SEA_LEVEL_LOW_PA <= pressure_pa <= 1.03 * SEA_LEVEL_HIGH_PA:
        wanted = f"{SEA_LEVEL_LOW_PA:g} to {1.03 * SEA_LEVEL_HIGH_PA:g} {unit}"
        raise ValueError(
            str(Fault(str(kind), f"{pressure_pa:g}", f"{wanted}, reduced to sea level"))
        )
    if kind is PressureKind.ALTIMETER_SETTING or temperature_c is None:
        base = pow(pressure_pa / ISA_PRESSURE_PA, 1.0 / _ISA_POWER)
        base -= LAPSE_K_M * height / ISA_TEMPERATURE_K
        station = ISA_PRESSURE_PA * pow(base, _ISA_POWER)
    else:
        column_k = checked("air temperature", temperature_c) + ZERO_CELSIUS_K
        column_k += LAPSE_K_M * height / 2.0
        station = pressure_pa * exp(-GRAVITY_M_S2 * height / (AIR_CONSTANT_J_KG_K * column_k))
    if not low <= station <= high:
        raise ValueError(str(Fault("air pressure", f"{station:g}", f"{low:g} to {high:g} {unit}")))
    return station


def altimeter_setting(station_pressure_pa: float, elevation_m: float) -> float:
    """Return the sea-level pressure [Pa] a station pressure stands for: the same turned round.

    Raises:
        ValueError: a number out of range.
    """
    station = checked("air pressure", station_pressure_pa)
    height = checked("track elevation", elevation_m)
    base = pow(station / ISA_PRESSURE_PA, 1.0 / _ISA_POWER)
    return ISA_PRESSURE_PA * pow(base + LAPSE_K_M * height / ISA_TEMPERATURE_K, _ISA_POWER)


def pressure_doubt(pressure_pa: float, kind: PressureKind, elevation_m: float) -> Fault | None:
    """Return what is odd about a pressure called by that name at that elevation, or None.

    Below about 300 m the two can hardly be told apart, and a mix-up costs less than 4 %.

    Raises:
        ValueError: pressure or elevation out of range.
    """
    checked("air pressure", pressure_pa)
    checked("track elevation", elevation_m)
    if kind is PressureKind.STATION:
        at_sea = altimeter_setting(pressure_pa, elevation_m)
        usual = standard_pressure(elevation_m)
        if at_sea > SEA_LEVEL_HIGH_PA and elevation_m > 0:
            return Fault(
                "air pressure",
                f"{pressure_pa / 100:.0f} hPa called station pressure at {elevation_m:.0f} m",
                f"about {usual / 100:.0f} hPa: it looks reduced to sea level",
            )
        if at_sea < SEA_LEVEL_LOW_PA:
            return Fault(
                "air pressure",
                f"{pressure_pa / 100:.0f} hPa called station pressure at {elevation_m:.0f} m",
                f"about {usual / 100:.0f} hPa: check the reading and the elevation",
            )
    elif not SEA_LEVEL_LOW_PA <= pressure_pa <= SEA_LEVEL_HIGH_PA:
        return Fault(
            "air pressure",
            f"{pressure_pa / 100:.0f} hPa called {kind}",
            f"{SEA_LEVEL_LOW_PA / 100:.0f} to {SEA_LEVEL_HIGH_PA / 100:.0f} hPa: it looks like "
            "station pressure",
        )
    return None
