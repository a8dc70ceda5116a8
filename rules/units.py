"""The one place where the crew's units meet SI.

Factors: NIST Special Publication 811 (2008), appendix B.8; the inch, the pound and standard
gravity are exact by definition.
"""

import re
from collections.abc import Callable
from enum import StrEnum
from math import ceil, floor, isclose, isfinite, log10
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, ValidationInfo
    from pydantic_core import CoreSchema

POUND_KG = 0.45359237
INCH_M = 0.0254
FOOT_M = 12 * INCH_M
STANDARD_GRAVITY_M_S2 = 9.80665
POUND_FORCE_N = POUND_KG * STANDARD_GRAVITY_M_S2
HORSEPOWER_W = 550 * FOOT_M * POUND_FORCE_N
MILE_M = 5280 * FOOT_M
# Lengths as a crew writes them behind a lever of its own.
LENGTHS_M = {"in": INCH_M, "mm": 0.001, "cm": 0.01, "m": 1.0}
INCH_OF_MERCURY_PA = 3386.389
PSI_PA = POUND_FORCE_N / INCH_M**2
# One psi in the units of a gauge.
PSI_IN = {"psi": 1.0, "kpa": PSI_PA / 1e3, "bar": PSI_PA / 1e5}
FAHRENHEIT_PER_KELVIN = 1.8
# Piston speed and force as the head of a dyno table names them.
SPEED_UNITS = {
    "m/s": 1.0, "mm/s": 0.001, "cm/s": 0.01, "in/s": INCH_M, "ips": INCH_M, "ft/s": FOOT_M,
}  # fmt: skip
FORCE_UNITS = {
    "N": 1.0, "kN": 1000.0, "daN": 10.0, "kgf": STANDARD_GRAVITY_M_S2, "lb": POUND_FORCE_N,
    "lbf": POUND_FORCE_N,
}  # fmt: skip

System = Literal["us", "metric"]
SYSTEMS: tuple[System, ...] = ("us", "metric")


class Quantity(StrEnum):
    """What a number of the car file measures."""

    MASS = "mass"
    LENGTH = "length"
    SPRING_RATE = "spring rate"
    PRESSURE = "pressure"
    INERTIA = "inertia"
    FORCE = "force"
    POWER = "power"
    PISTON_SPEED = "piston speed"
    SPEED = "speed"
    ELEVATION = "elevation"


class Unit(NamedTuple):
    """A unit of one system: its printed name and its size in SI."""

    name: str
    si: float


UNITS: dict[tuple[Quantity, System], Unit] = {
    (Quantity.MASS, "us"): Unit("lb", POUND_KG),
    (Quantity.MASS, "metric"): Unit("kg", 1.0),
    (Quantity.LENGTH, "us"): Unit("in", INCH_M),
    (Quantity.LENGTH, "metric"): Unit("mm", 0.001),
    (Quantity.SPRING_RATE, "us"): Unit("lb/in", POUND_FORCE_N / INCH_M),
    (Quantity.SPRING_RATE, "metric"): Unit("N/mm", 1000.0),
    (Quantity.PRESSURE, "us"): Unit("psi", POUND_FORCE_N / INCH_M**2),
    (Quantity.PRESSURE, "metric"): Unit("kPa", 1000.0),
    (Quantity.INERTIA, "us"): Unit("lb ft2", POUND_KG * FOOT_M**2),
    (Quantity.INERTIA, "metric"): Unit("kg m2", 1.0),
    (Quantity.FORCE, "us"): Unit("lb", POUND_FORCE_N),
    (Quantity.FORCE, "metric"): Unit("N", 1.0),
    (Quantity.POWER, "us"): Unit("hp", HORSEPOWER_W),
    (Quantity.POWER, "metric"): Unit("kW", 1000.0),
    (Quantity.PISTON_SPEED, "us"): Unit("in/s", INCH_M),
    (Quantity.PISTON_SPEED, "metric"): Unit("mm/s", 0.001),
    (Quantity.SPEED, "us"): Unit("mph", MILE_M / 3600),
    (Quantity.SPEED, "metric"): Unit("km/h", 1 / 3.6),
    (Quantity.ELEVATION, "us"): Unit("ft", FOOT_M),
    (Quantity.ELEVATION, "metric"): Unit("m", 1.0),
}


def to_si(value: float, quantity: Quantity, system: System) -> float:
    """Return `value`, given in the unit of `system`, in SI."""
    return value * UNITS[quantity, system].si


def from_si(value: float, quantity: Quantity, system: System) -> float:
    """Return the SI `value` in the unit of `system`."""
    return value / UNITS[quantity, system].si


def celsius(value: float, system: System) -> float:
    """Return a temperature, given in the unit of `system`, in degrees Celsius."""
    return (value - 32.0) / FAHRENHEIT_PER_KELVIN if system == "us" else value


def fahrenheit(value: float) -> float:
    """Return a temperature in degrees Celsius in degrees Fahrenheit."""
    return value * FAHRENHEIT_PER_KELVIN + 32.0


def plain(value: float, figures: int = 4) -> str:
    """Write a number to so many significant figures, or whole, and never with an exponent."""
    rounded = float(f"{value:.{figures}g}") if abs(value) < 10.0**figures else float(round(value))
    digits = f"{rounded:.12f}".rstrip("0").rstrip(".")
    return "0" if digits in ("", "-0") else digits


def show(value: float, quantity: Quantity, system: System) -> str:
    """Write an SI value in the crew's unit, to four significant figures or whole."""
    return f"{plain(from_si(value, quantity, system))} {UNITS[quantity, system].name}"


class Reader(NamedTuple):
    """A validator that reads a number of the car file into SI.

    `low` and `high` bound the SI value. The unit system is the validation context's "units";
    without one the value is SI already, as it is in the log.
    """

    quantity: Quantity
    low: float
    high: float

    def __get_pydantic_core_schema__(
        self, source: Any, handler: "GetCoreSchemaHandler"
    ) -> "CoreSchema":
        from pydantic_core import core_schema

        return core_schema.with_info_before_validator_function(self.read, handler(source))

    def read(self, value: object, info: "ValidationInfo") -> float:
        """Return the number in SI.

        Raises:
            ValueError: no number, or out of bounds.
        """
        system: System | None = (info.context or {}).get("units")
        wanted = _wanted(self.quantity, self.low, self.high, system)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"wanted {wanted}")
        si = to_si(float(value), self.quantity, system) if system else float(value)
        if not self.low <= si <= self.high:
            raise ValueError(f"wanted {wanted}")
        return si


def _wanted(quantity: Quantity, low: float, high: float, system: System | None) -> str:
    if system is None:
        return f"a number from {low:g} to {high:g} in SI"
    unit = UNITS[quantity, system]
    least, most = inward(low / unit.si, high / unit.si)
    return f"a number from {least} to {most} {unit.name}"


def inward(low: float, high: float) -> tuple[str, str]:
    """Write two bounds in two and three figures, rounded so that what is said lies within them."""
    return plain(_cut(low, 2, ceil)), plain(_cut(high, 3, floor))


def _cut(value: float, figures: int, how: Callable[[float], int]) -> float:
    if value == 0.0 or not isfinite(value):
        return value
    size = 10.0 ** (floor(log10(abs(value))) + 1 - figures)
    # A bound that stands on such a figure already stays there, whatever its last bit.
    nearest = round(value / size)
    return (nearest if isclose(nearest, value / size, rel_tol=1e-9) else how(value / size)) * size


_EITHER = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")


def localise(text: str, system: System) -> str:
    """Keep the half of each ``{us|metric}`` pair that belongs to `system`."""
    return _EITHER.sub(lambda pair: pair.group(1 if system == "us" else 2), text)
