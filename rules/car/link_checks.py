"""Faults of the rear links, and of the levers that move them."""

from collections.abc import Iterator
from itertools import pairwise

from rules.car.instant_centre import instant_centre, link_levers
from rules.car.model import Car, Lever
from rules.faults import Fault
from rules.units import LENGTHS_M, Quantity, show

# How far two tapes may differ on the place of one bolt; common practice, no source.
BOLT_GIVE_M = 0.005
# How far a told instant centre may lie off the crossing of the told links, in thrust lifted over
# thrust: a tape's slip on a few bolts; a judgement.
RATIO_GIVE = 0.03


def link_faults(car: Car) -> list[Fault]:
    """Return what is wrong between the links, the levers that move them, and the rest."""
    levers = [fault for lever in car.levers for fault in _lever_faults(lever)]
    levers += _collar_faults(car)
    return levers or [*_end_faults(car), *_order_faults(car), *_centre_faults(car)]


def _lever_faults(lever: Lever) -> Iterator[Fault]:
    where = f"lever {lever.id}"
    if lever.at_springs:
        if lever.kind != "preload" or lever.axle == "car":
            yield Fault(f"{where}.at_springs", f"a {lever.kind}", "a preload of one axle")
        elif lever.positions or lever.unit not in LENGTHS_M:
            wanted = "a number in " + " or ".join(LENGTHS_M)
            yield Fault(f"{where}.unit", lever.unit or "no unit", wanted)
    if lever.moves is None:
        if lever.places:
            yield Fault(f"{where}.places", "places of nothing", "moves, which end they are of")
        return
    if lever.kind != "link position" or lever.axle != "rear":
        yield Fault(f"{where}.moves", f"a {lever.axle} {lever.kind}", "a rear link position")
    elif len(lever.places) not in (0, len(lever.positions)):
        wanted = f"{len(lever.positions)}, one for each position"
        yield Fault(f"{where}.places", f"{len(lever.places)}", wanted)
    elif isinstance(lever.start, str) and lever.start not in lever.positions:
        yield Fault(f"{where}.start", f"{lever.start!r}", "one of " + ", ".join(lever.positions))


def _collar_faults(car: Car) -> Iterator[Fault]:
    told = [one.axle for one in car.levers if one.at_springs]
    for lever in car.levers:
        if lever.at_springs and told.count(lever.axle) > 1:
            wanted = "one lever for both springs of an axle"
            yield Fault(f"lever {lever.id}.at_springs", f"{told.count(lever.axle)} levers", wanted)


def _end_faults(car: Car) -> Iterator[Fault]:
    """Yield each end that two levers move, or that stands elsewhere among the links."""
    levers = link_levers(car)
    ends = [one.moves for one in levers]
    whole = [end for end in ends if end in ("bar front", "instant centre")]
    for lever in levers:
        where = f"lever {lever.id}"
        if ends.count(lever.moves) > 1 or (whole and len(ends) > 1):
            yield Fault(f"{where}.moves", f"{lever.moves!r} beside another", "one lever for an end")
            continue
        there = car.links.place(lever.moves) if lever.moves else None
        if there is None:
            continue
        start = lever.places[int(lever.start_number)]
        for key in ("ahead", "height"):
            lies, stands = (getattr(one, f"{key}_m") for one in (there, start))
            if abs(lies - stands) > BOLT_GIVE_M:
                told, found = (show(one, Quantity.LENGTH, car.units) for one in (lies, stands))
                wanted = f"{told}, as in links"
                yield Fault(f"{where}.places", f"{key} {found} at the start", wanted)


def _order_faults(car: Car) -> Iterator[Fault]:
    """Yield each lever whose positions do not go from the least anti-squat to the most.

    "Raise" is gated as the harder hit, so a higher position must be one.
    """
    for lever in link_levers(car):
        rows = [instant_centre(car, {lever.id: float(at)}) for at in range(len(lever.places))]
        told = [one.ratio for one in rows if one is not None]
        if any(before > after for before, after in pairwise(told)):
            names = zip(lever.positions, rows, strict=True)
            found = ", ".join(f"{name}: {one.ratio:.2f}" for name, one in names if one)
            wanted = "positions from the least lift for the thrust to the most"
            yield Fault(f"lever {lever.id}.places", found, wanted)


def _centre_faults(car: Car) -> Iterator[Fault]:
    """Yield an instant centre that is told and that the links do not have."""
    crossed, geometry = instant_centre(car, {}), car.geometry
    ahead, height = geometry.instant_centre_ahead_m, geometry.instant_centre_height_m
    if crossed is None or not ahead or height is None:
        return
    if abs(height / ahead - crossed.ratio) > RATIO_GIVE:
        told, there = (
            f"{show(up, Quantity.LENGTH, car.units)} up, "
            f"{show(on, Quantity.LENGTH, car.units)} ahead"
            for up, on in ((height, ahead), (crossed.height, crossed.ahead))
        )
        wanted = f"where the links cross, {there}"
        yield Fault("geometry.instant_centre_height", told, wanted)
