"""Which valving is in an axle's dampers, and what is known of a knob's curves with it."""

from collections.abc import Iterator, Mapping

from rules.car.adjusters import adjusters
from rules.car.counted_end import knob_of_tables, turned_round
from rules.car.damper_record import Stroke
from rules.car.model import Car, Damper, Knob, Lever

STROKES: tuple[Stroke, ...] = ("compression", "rebound")
Rows = tuple[str, ...]


def valving_lever(car: Car, axle: str) -> Lever | None:
    """Return the lever that names the valvings of an axle."""
    return next((one for one in car.levers if one.kind == "valving" and one.axle == axle), None)


def strokes_named(car: Car, lever: Lever) -> set[Stroke]:
    """Return the strokes of which a lever's valvings have tables; empty where none has one."""
    named = [
        one
        for one in car.stock
        if (one.kind, one.axle) == ("valving", lever.axle) and one.name in (lever.positions or ())
    ]
    return {
        stroke
        for stroke in STROKES
        if any(getattr(one, f"{stroke}_dyno") is not None for one in named)
    }


def valving_on(car: Car, settings: Mapping[str, float], axle: str) -> str:
    """Return the name of an axle's valving at these settings; empty where no lever names it."""
    lever = valving_lever(car, axle)
    if lever is None:
        return ""
    one = adjusters(car)[lever.id]
    return one.show(settings.get(lever.id, one.start))


def rows_with(car: Car, damper: Damper, knob: Knob, stroke: str, valving: str) -> Rows | None:
    """Return the dyno table of a knob's stroke with a valving in its damper, None if not known.

    A table in stock counts the settings of one knob: of the one it names, or that has a table of
    its own, or of the stroke's first. A knob's own table is of the valving that the car file starts
    with. One that counts from the other end than the knob is no table: its counts are of other
    settings.
    """
    rows = _rows_named(car, damper, knob, stroke, valving)
    return None if rows is not None and turned_round(rows, knob) else rows


def _rows_named(car: Car, damper: Damper, knob: Knob, stroke: str, valving: str) -> Rows | None:
    for one in car.stock:
        named = (one.kind, one.axle, one.name) == ("valving", damper.axle, valving)
        rows: Rows | None = getattr(one, f"{stroke}_dyno")
        if not named or rows is None:
            continue
        counted = knob_of_tables(damper.knobs, stroke, one.counted(stroke))
        if counted is not None and counted.id == knob.id:
            return rows
    return _own(knob, stroke) if valving == valving_on(car, {}, damper.axle) else None


def _own(knob: Knob, stroke: str) -> Rows | None:
    rows: Rows | None = getattr(knob, f"{stroke}_dyno")
    return rows


def both_sides(car: Car, axle: str, stroke: str) -> Iterator[tuple[str, str, Rows, Rows]]:
    """Yield the tables of an axle's two dampers for the same knob: axle, knob, left and right."""
    left, right = (
        [one for one in car.dampers if one.corner == f"{side} {axle}"] for side in ("left", "right")
    )
    for one, other in zip(left, right, strict=False):
        theirs = {knob.id: _own(knob, stroke) for knob in other.knobs}
        for knob in one.knobs:
            ours, other_rows = _own(knob, stroke), theirs.get(knob.id)
            if ours is not None and other_rows is not None and ours != other_rows:
                yield axle, f"{knob.id} {stroke}", ours, other_rows
