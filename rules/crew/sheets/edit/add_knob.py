"""A knob that the car file lacks: both sides of an axle, their dampers along with it."""

from collections.abc import Iterator

from rules.car.edits import Edit
from rules.car.model import Car
from rules.crew.sheets.describe.knobs import (
    agreed,
    count_from_field,
    firmer_field,
    knob_fields,
    knob_tables,
    not_yet,
)
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.question import Choice

AXLES = ("front", "rear")


def knob_questions(now: Filling) -> Iterator[SheetField]:
    """Ask for the axle and its new knobs, in the car's own way of counting."""
    yield SheetField(
        "axle", "Axle", "On which axle is the knob?", "one", unknown=False,
        choices=tuple(Choice(axle, axle.capitalize()) for axle in AXLES),
        hint="Both sides get it; a side without a damper gets one.",
    )  # fmt: skip
    axle = now.said("axle")
    if not axle:
        return
    if counted_from(now.car, axle) is None:
        yield count_from_field()
    yield firmer_field()
    yield from knob_fields(_counting(now, axle), axle, _there(now.car, axle))


def counted_from(car: Car, axle: str) -> str | None:
    """Return the one end that the axle's knobs are counted from, or all of the car's; else None."""
    ends = [(damper.axle, knob.count_from) for damper in car.dampers for knob in damper.knobs]
    here = {end for at, end in ends if at == axle} or {end for _, end in ends}
    return here.pop() if len(here) == 1 else None


def _counting(now: Filling, axle: str) -> Filling:
    """Return the answers with the car's own end of counting among them."""
    end = counted_from(now.car, axle)
    return Filling(now.state, {**now.answers, "count from": end}) if end else now


def _there(car: Car, axle: str) -> frozenset[str]:
    """Return the knobs that both sides of an axle have."""
    left, right = (_of(car, f"{side} {axle}") for side in ("left", "right"))
    return left & right


def _of(car: Car, corner: str) -> frozenset[str]:
    return frozenset(
        knob.id for damper in car.dampers if damper.corner == corner for knob in damper.knobs
    )


def knob_result(now: Filling) -> Result:
    """Say which knobs come into the file, and which have to be counted first."""
    axle = now.said("axle")
    if not axle:
        return Result()
    now = _counting(now, axle)
    edits = tuple(_edits(now, axle))
    says = [f"New: {edit.label}." for edit in edits]
    if edits:
        says.append("They start from today's counts; the baseline in force takes them in as such.")
    return Result((*says, *agreed(now), *not_yet(now)), edits=edits)


def _edits(now: Filling, axle: str) -> Iterator[Edit]:
    """Yield the new knobs, a damper with them where there is none; none that is there."""
    dampers = now.car.dampers
    places = {damper.corner: at for at, damper in enumerate(dampers)}
    new = len(dampers)
    for corner, knobs in knob_tables(now, axle).items():
        missing = [knob for knob in knobs if knob["id"] not in _of(now.car, corner)]
        at = next((places[one] for one in places if one == corner), None)
        if at is None and missing:
            ids = ", ".join(str(knob["id"]) for knob in missing)
            table: dict[str, object] = {"corner": corner, "knobs": missing}
            yield Edit(("dampers", new), table, f"a damper at the {corner} with {ids}")
            new += 1
        elif at is not None:
            for number, knob in enumerate(missing, len(dampers[at].knobs)):
                yield Edit(("dampers", at, "knobs", number), knob, f"{corner} {knob['id']}")
