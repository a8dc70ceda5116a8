"""Faults of a car that need more than one field to see."""

from collections import Counter
from collections.abc import Iterator

from rules.car.body import Masses
from rules.car.curve_checks import curve_faults
from rules.car.instant_centre import instant_centre
from rules.car.link_checks import link_faults
from rules.car.model import TABLES, Car, Damper, Knob, Lever
from rules.faults import Fault
from rules.units import LENGTHS_M, Quantity, show

__all__ = ["Fault", "cross_faults"]


# Wheels, brakes and axles of a car that has a body weigh less than this share of it; a bound far
# past any car, so that a slip of a key is seen and no light car is refused.
MOST_UNSPRUNG = 0.8
# How far a tape and a motion ratio may put a limiter past the droop; common practice, no source.
LIMITER_GIVE_M = 0.005


def cross_faults(car: Car) -> list[Fault]:
    """Return every fault of the car that lies between fields."""
    return [
        *_twice("dampers", "corner", [damper.corner for damper in car.dampers]),
        *_twice("levers", "id", [lever.id for lever in car.levers]),
        *_twice("stock", "name", [one.name for one in car.stock]),
        *(fault for damper in car.dampers for fault in _damper_faults(car, damper)),
        *(fault for lever in car.levers for fault in _lever_faults(lever)),
        *_mass_faults(car),
        *_geometry_faults(car),
        *_bar_faults(car),
        *_change_faults(car),
        *_limiter_faults(car),
        *link_faults(car),
        *curve_faults(car),
        *_guess_faults(car),
    ]


def _twice(where: str, what: str, ids: list[str]) -> Iterator[Fault]:
    for one, times in Counter(ids).items():
        if times > 1:
            yield Fault(where, f"{what} {one!r} {times} times", f"each {what} once")


def _damper_faults(car: Car, damper: Damper) -> Iterator[Fault]:
    yield from _twice(damper.corner, "knob id", [knob.id for knob in damper.knobs])
    for knob in damper.knobs:
        where = f"{damper.corner} {knob.id}"
        yield from _range_faults(where, knob)
        yield from _pair_faults(car, where, damper, knob)


def _range_faults(where: str, knob: Knob) -> Iterator[Fault]:
    if (knob.clicks is None) == (knob.turns is None):
        found = "neither" if knob.clicks is None else "both"
        yield Fault(where, f"{found} of clicks and turns", "one: clicks, or turns without detents")
        return
    marks = knob.turns * knob.marks_per_turn if knob.turns is not None else knob.marks
    if abs(marks - round(marks)) > 1e-6:
        yield Fault(
            f"{where}.turns", f"{knob.turns:g}", f"a whole number of 1/{knob.marks_per_turn} turns"
        )
    start = knob.start * knob.per_unit
    if abs(start - round(start)) > 1e-6:
        step = "whole clicks" if knob.clicks is not None else f"whole 1/{knob.marks_per_turn} turns"
        yield Fault(f"{where}.start", f"{knob.start:g}", step)
    if start > marks + 1e-6:
        unit = "clicks" if knob.clicks is not None else "turns"
        yield Fault(f"{where}.start", f"{knob.start:g}", f"0 to {marks / knob.per_unit:g} {unit}")


def _pair_faults(car: Car, where: str, damper: Damper, knob: Knob) -> Iterator[Fault]:
    side, axle = damper.corner.split()
    if knob.pair == "none":
        if knob.offset:
            yield Fault(f"{where}.offset", f"{knob.offset:g}", 'none with pair = "none"')
        return
    other = f"{'right' if side == 'left' else 'left'} {axle}"
    twin = next(
        (k for d in car.dampers if d.corner == other for k in d.knobs if k.id == knob.id), None
    )
    if twin is None or twin.pair == "none":
        yield Fault(
            where, f"no knob {knob.id!r} to pair with on the {other}", 'one, or pair = "none"'
        )
        return
    if side == "left":
        if knob.offset:
            yield Fault(
                f"{where}.offset", f"{knob.offset:g}", "the offset on the right side's knob"
            )
        return
    for key in ("controls", "speed", "clicks", "turns", "count_from", "marks_per_turn"):
        mine, theirs = getattr(knob, key), getattr(twin, key)
        if mine != theirs:
            yield Fault(
                f"{where}.{key}", f"{mine}", f'{theirs}, as on the {other}, or pair = "none"'
            )
    if abs(knob.start - twin.start - knob.offset) > 1e-6:
        yield Fault(
            f"{where}.offset",
            f"{knob.offset:g} with starts {twin.start:g} left and {knob.start:g} right",
            f"right minus left, {knob.start - twin.start:g}",
        )


def _lever_faults(lever: Lever) -> Iterator[Fault]:
    where = f"lever {lever.id}"
    if lever.positions:
        yield from _twice(where, "position", list(lever.positions))
        if lever.start not in lever.positions:
            yield Fault(
                f"{where}.start", f"{lever.start!r}", "one of " + ", ".join(lever.positions)
            )
        return
    if isinstance(lever.start, str):
        yield Fault(f"{where}.start", f"{lever.start!r}", "a number, or positions to name it from")
        return
    if lever.low is not None and lever.high is not None and lever.low >= lever.high:
        yield Fault(where, f"low {lever.low:g}, high {lever.high:g}", "low below high")
    if lever.low is not None and lever.start < lever.low:
        yield Fault(f"{where}.start", f"{lever.start:g}", f"at least low, {lever.low:g}")
    if lever.high is not None and lever.start > lever.high:
        yield Fault(f"{where}.start", f"{lever.start:g}", f"at most high, {lever.high:g}")
    if lever.makers_minimum is not None and lever.start < lever.makers_minimum:
        yield Fault(
            f"{where}.start",
            f"{lever.start:g}",
            f"at least makers_minimum, {lever.makers_minimum:g}",
        )


def _mass_faults(car: Car) -> Iterator[Fault]:
    masses: Masses = car.masses
    corners = (
        masses.left_front_kg,
        masses.right_front_kg,
        masses.left_rear_kg,
        masses.right_rear_kg,
    )
    known = [corner for corner in corners if corner is not None]
    if masses.total_kg is not None and len(known) == len(corners):
        together = sum(known)
        if abs(together - masses.total_kg) > 0.01 * masses.total_kg:
            yield Fault(
                "masses.total",
                show(masses.total_kg, Quantity.MASS, car.units),
                f"the corners' sum, {show(together, Quantity.MASS, car.units)}, within 1 %",
            )
    total = masses.total_kg or (sum(known) if len(known) == len(corners) else None)
    apart = [one for one in (masses.front_unsprung_kg, masses.rear_unsprung_kg) if one is not None]
    if total is not None and apart and sum(apart) >= MOST_UNSPRUNG * total:
        yield Fault(
            "masses.total" if masses.total_kg is not None else "masses.left_front",
            show(total, Quantity.MASS, car.units),
            "more than the unsprung masses weigh, "
            f"{show(sum(apart), Quantity.MASS, car.units)}, with a body on them",
        )
    for end, unsprung in (("front", masses.front_unsprung_kg), ("rear", masses.rear_unsprung_kg)):
        ends = [corner for corner in (corners[:2] if end == "front" else corners[2:]) if corner]
        if unsprung is not None and len(ends) == 2 and unsprung >= sum(ends):
            yield Fault(
                f"masses.{end}_unsprung",
                show(unsprung, Quantity.MASS, car.units),
                f"less than the {end} end weighs, {show(sum(ends), Quantity.MASS, car.units)}",
            )


def _limiter_faults(car: Car) -> Iterator[Fault]:
    """Yield each limiter that starts past the droop its end has: droop ends at stop or limiter."""
    for lever in car.levers:
        size = LENGTHS_M.get(lever.unit)
        if lever.kind != "travel limiter" or size is None or isinstance(lever.start, str):
            continue
        for end in ("front", "rear"):
            droop = getattr(car, end).droop_travel_m
            if lever.axle not in (end, "car") or droop is None:
                continue
            if lever.start * size > droop + LIMITER_GIVE_M:
                there = show(droop, Quantity.LENGTH, car.units)
                yield Fault(
                    f"lever {lever.id}.start",
                    f"{lever.start:g} {lever.unit}",
                    f"at most {end}.droop_travel, {there}: droop ends at stop or limiter",
                )


def _geometry_faults(car: Car) -> Iterator[Fault]:
    geometry = car.geometry
    if geometry.wheelbase_m is None:
        return
    for key in ("cg_height", "front_track", "rear_track"):
        value = car.said(f"geometry.{key}")
        if value is not None and value >= geometry.wheelbase_m:
            wheelbase = show(geometry.wheelbase_m, Quantity.LENGTH, car.units)
            found = show(value, Quantity.LENGTH, car.units)
            yield Fault(f"geometry.{key}", found, f"less than the wheelbase, {wheelbase}")


def _bar_faults(car: Car) -> Iterator[Fault]:
    if car.wheelie_bars:
        return
    for key in ("bar_height", "bar_length", "bar_rate"):
        if car.said(f"geometry.{key}") is not None:
            yield Fault(f"geometry.{key}", "a number, and no wheelie_bars", "wheelie_bars = true")


def _change_faults(car: Car) -> Iterator[Fault]:
    first, second = car.launch.first_change_at_s, car.launch.second_change_at_s
    if second is None:
        return
    if first is None:
        yield Fault("launch.second_change_at", f"{second:g} s alone", "first_change_at as well")
    elif second <= first:
        yield Fault("launch.second_change_at", f"{second:g} s", f"later than the first, {first:g}")


def _guess_faults(car: Car) -> Iterator[Fault]:
    numbers = car.model_dump(by_alias=True, include=set(TABLES))
    for guess in car.guesses:
        if guess == "wheelie_bars" or (guess == "links" and instant_centre(car, {})):
            continue
        table, _, key = guess.partition(".")
        if key not in numbers.get(table, {}):
            yield Fault("guesses", repr(guess), "a key such as 'geometry.cg_height'")
        elif numbers[table][key] is None:
            yield Fault(
                "guesses", f"{guess!r}, which the file does not give", "a key that has a value"
            )
