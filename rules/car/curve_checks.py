"""Faults of what a car file says about its dampers' curves and its launch."""

from collections.abc import Iterator

from rules.car.body import Axle
from rules.car.counted_end import counted_knob, says_turned_round, turned_round
from rules.car.dyno_tables import DynoTableError, read_rows, too_slow
from rules.car.model import Car, Knob, Points
from rules.faults import Fault
from rules.units import Quantity, show

STROKES = ("compression", "rebound")


def curve_faults(car: Car) -> Iterator[Fault]:
    """Yield what is wrong with dyno tables, published points and the launch."""
    for damper in car.dampers:
        for knob in damper.knobs:
            yield from _knob_faults(car, f"{damper.corner} {knob.id}", knob)
    yield from _stock_faults(car)
    if car.launch.thrust_n is not None and car.launch.peak_g is not None:
        yield Fault("launch", "both thrust and peak_g", "one of them")
    for name in ("front", "rear"):
        axle: Axle = getattr(car, name)
        if axle.damper_angle is not None and axle.motion_ratio is None:
            yield Fault(f"{name}.damper_angle", "no motion_ratio to go with it", "both, or neither")


def _stock_faults(car: Car) -> Iterator[Fault]:
    for one in car.stock:
        where = f"stock {one.name}"
        tables = {stroke: getattr(one, f"{stroke}_dyno") for stroke in STROKES}
        if one.kind == "spring" and one.rate_n_per_m is None:
            yield Fault(f"{where}.rate", "nothing", "the spring's rate")
        if one.kind == "valving" and not any(tables.values()) and not one.note:
            yield Fault(where, "no curve and no note", "compression_dyno, rebound_dyno or note")
        solid, free = one.solid_length_m, one.free_length_m
        if solid is not None and free is not None and solid >= free:
            found = show(solid, Quantity.LENGTH, car.units)
            wanted = f"less than free_length, {show(free, Quantity.LENGTH, car.units)}"
            yield Fault(f"{where}.solid_length", found, wanted)
        for stroke, rows in tables.items():
            if rows is not None:
                yield from _dyno_faults(f"{where}.{stroke}_dyno", rows)
                knob = counted_knob(car, one.axle, stroke, one.counted(stroke))
                yield from _end_faults(car, f"{where}.{stroke}_dyno", rows, knob)


def _knob_faults(car: Car, where: str, knob: Knob) -> Iterator[Fault]:
    for stroke in STROKES:
        yield from _click_faults(where, knob, stroke)
        rows = getattr(knob, f"{stroke}_dyno")
        points = getattr(knob, f"{stroke}_points")
        if rows is None and points is None:
            continue
        if knob.controls not in (stroke, "both"):
            key = f"{stroke}_dyno" if rows is not None else f"{stroke}_points"
            yield Fault(f"{where}.{key}", f"a knob of {knob.controls}", f"one that moves {stroke}")
        if rows is not None:
            yield from _dyno_faults(f"{where}.{stroke}_dyno", rows)
            yield from _reach_faults(f"{where}.{stroke}_dyno", rows, knob)
            yield from _end_faults(car, f"{where}.{stroke}_dyno", rows, knob)
        if points is not None:
            yield from _points_faults(car, f"{where}.{stroke}_points", points)


def _click_faults(where: str, knob: Knob, stroke: str) -> Iterator[Fault]:
    """Yield what is wrong with what a click adds: of a stroke it moves, and next to both ends."""
    keys = [f"{stroke}_click_{end}" for end in ("soft", "hard")]
    said = [key for key in keys if getattr(knob, key) is not None]
    if said and knob.controls not in (stroke, "both"):
        yield Fault(f"{where}.{said[0]}", f"a knob of {knob.controls}", f"one that moves {stroke}")
    elif len(said) == 1:
        other = next(key for key in keys if key not in said)
        yield Fault(f"{where}.{said[0]}", f"no {other} to go with it", "both, or neither")


def _dyno_faults(where: str, rows: tuple[str, ...]) -> Iterator[Fault]:
    try:
        table = read_rows("\n".join(rows))
    except DynoTableError as error:
        for fault in error.faults:
            yield Fault(where, fault)
        return
    if slow := too_slow(table):
        yield Fault(where, slow)


def _reach_faults(where: str, rows: tuple[str, ...], knob: Knob) -> Iterator[Fault]:
    """Tell a table that does not hold where the knob starts, or reaches beyond its end."""
    try:
        settings = sorted(read_rows("\n".join(rows)).settings)
    except DynoTableError:
        return
    found = f"a table from {settings[0]:g} to {settings[-1]:g}"
    if not settings[0] <= knob.start <= settings[-1]:
        yield Fault(where, found, f"one that holds the start, {knob.start:g}")
    if settings[-1] > knob.marks / knob.per_unit + 1e-9:
        yield Fault(where, found, f"none beyond the knob's end, {knob.marks / knob.per_unit:g}")


def _end_faults(car: Car, where: str, rows: tuple[str, ...], knob: Knob | None) -> Iterator[Fault]:
    """Tell a table that counts its knob from the other end."""
    if knob is not None and turned_round(rows, knob):
        yield Fault(where, *says_turned_round(rows, knob, car.units))


def _points_faults(car: Car, where: str, points: Points) -> Iterator[Fault]:
    for end in ("soft", "firm"):
        low, high = getattr(points, f"{end}_low"), getattr(points, f"{end}_high")
        rises = low.speed_m_per_s < high.speed_m_per_s and low.force_n < high.force_n
        faster = high.speed_m_per_s / low.speed_m_per_s
        if rises and high.force_n / low.force_n < faster**2:
            continue
        found = " and ".join(
            f"{show(one.force_n, Quantity.FORCE, car.units)} at "
            f"{show(one.speed_m_per_s, Quantity.PISTON_SPEED, car.units)}"
            for one in (low, high)
        )
        wanted = "a faster, higher point, its force growing by less than the speed squared"
        yield Fault(f"{where}, {end} end", found, wanted)
    for place in ("low", "high"):
        soft, firm = getattr(points, f"soft_{place}"), getattr(points, f"firm_{place}")
        if soft.speed_m_per_s == firm.speed_m_per_s and soft.force_n > firm.force_n:
            yield Fault(f"{where}, {place}", "more force at the soft end", "more at the firm end")
