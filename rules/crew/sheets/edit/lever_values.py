"""A lever's number as a crew types it: in the lever's own unit, or with another one behind it."""

from math import floor, isfinite

from rules.car.adjusters import Adjuster
from rules.typed import UnreadableError, Wanted, read
from rules.units import SYSTEMS, UNITS, Quantity, System

_MEASURED = (Quantity.PRESSURE, Quantity.LENGTH, Quantity.SPRING_RATE, Quantity.MASS)


def measured_in(unit: str) -> tuple[Quantity, System] | None:
    """Return what a lever's unit measures and whose it is; None for flats, rpm and the like."""
    owners = ((quantity, system) for quantity in _MEASURED for system in SYSTEMS)
    return next((owner for owner in owners if UNITS[owner].name == unit), None)


def wanted_in(unit: str, label: str, system: System) -> Wanted:
    """Return what a number of a lever takes: either unit where its own is one of the crew's."""
    owner = measured_in(unit)
    if owner is not None and owner[1] == system:
        return Wanted(label, owner[0])
    return Wanted(label, None, unit=unit)


def in_unit(text: str, unit: str, system: System) -> float | None:
    """Return a number of a lever in its own unit; None where there is none, or none of this."""
    wanted = wanted_in(unit, "number", system)
    try:
        value = read(text, wanted, system)
    except UnreadableError:
        return None
    if value is None or wanted.quantity is None:
        return value
    return float(f"{value / UNITS[wanted.quantity, system].si:.6g}")


def read_setting(one: Adjuster, text: str) -> float:
    """Return the setting of a lever in its own unit, whichever it was typed in.

    Raises:
        ValueError: saying what was found and what is wanted: no number, or past the lever's ends.
    """
    owner = measured_in(one.unit)
    if one.positions or one.part == "knob":
        return one.parse(text)
    if owner is None:
        return one.parse(text.strip().removesuffix(one.unit).strip())
    quantity, system = owner
    value = read(text, Wanted(one.label, quantity), system)
    if value is None:
        raise ValueError(f"{one.label}: found {text!r}, wanted {one.wanted()}")
    return one.parse(round(value / UNITS[owner].si, 6))


def step_fault(one: Adjuster, value: float, stands: float) -> str:
    """Say that a lever has no such step; empty where it has.

    Its steps are counted from its lower end, from its start in the file, and from where it stands.
    """
    if one.positions or one.part == "knob":
        return ""
    origins = [*([one.low] if isfinite(one.low) else []), one.start, stands]
    steps = [(value - origin) / one.step for origin in origins]
    if any(abs(step - round(step)) < 1e-4 for step in steps):
        return ""
    below = origins[0] + floor(steps[0]) * one.step
    near = [one.show(round(end, 6)) for end in (below, below + one.step) if one.holds(end)]
    return (
        f"found {one.show(value)}; wanted steps of {one.show_steps(1)}, such as {' or '.join(near)}"
    )
