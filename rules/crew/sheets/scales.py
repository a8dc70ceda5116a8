"""The scales as a sheet: weighed as raced, held against the car file and the weighing before."""

from collections.abc import Iterator
from functools import partial

from rules.car.edits import Edit
from rules.car.model import CORNERS
from rules.crew.sheets.asking import weight
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.question import Choice, Given
from rules.shop.scales import PROCEDURE, Corners, read_again, weighed
from rules.typed import Wanted, read
from rules.units import Quantity, show

ID = "scales"
AGAIN, GUESSED = ", again", "guess"


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions of a weighing."""
    yield SheetField(
        "driver", "Driver", "Is the driver aboard, in helmet and gear?", "one",
        choices=(
            Choice("aboard", "Yes, aboard"),
            Choice("ballast", "No, but the same weight in the seat"),
            Choice("empty", "No, the seat is empty"),
        ),
        unknown=False,
    )  # fmt: skip
    yield SheetField("fuel", "Fuel", "How much fuel is in it?", "text", hint="As the crew says it.")
    for corner in CORNERS:
        key = f"masses.{corner.replace(' ', '_')}"
        yield weight(
            corner, corner.capitalize(), question=f"What does the {corner} scale read?", typical=key
        )
    yield SheetField(
        "again", "Read again", "Rolled off and on: are all four read again?", "one", default="no",
        choices=(Choice("no", "No second reading"), Choice("yes", "Yes, here they are")),
        hint="Two readings that agree are worth trusting.", unknown=False,
    )  # fmt: skip
    for corner in CORNERS if now.said("again") == "yes" else ():
        yield weight(
            f"{corner}{AGAIN}", f"{corner.capitalize()}, again",
            question=f"Second reading: what does the {corner} scale read?",
        )  # fmt: skip
    for end, typical in (("front", "masses.front_unsprung"), ("rear", "masses.rear_unsprung")):
        yield weight(
            f"{end} unsprung", f"{end.capitalize()} unsprung",
            question=f"What of the {end} is unsprung?",
            hint="Both wheels, brakes, hubs and half of the arms or links; scales or a guess.",
            typical=typical, fault=partial(_unsprung_fault, now, end),
        )  # fmt: skip
    if now.said("front unsprung") or now.said("rear unsprung"):
        yield SheetField(
            "unsprung known", "Unsprung weights", "Were the unsprung weights weighed?", "one",
            choices=(Choice(GUESSED, "No, a guess"), Choice("weighed", "Yes, off scales")),
            hint="A guess is kept as one: the launch model spreads it wider.", default=GUESSED,
            unknown=False,
        )  # fmt: skip


def corners_of(now: Filling | None, which: str = "") -> Corners | None:
    """Return the four readings, None until all are there. which: `AGAIN` for the second ones."""
    values = [now.si(f"{corner}{which}", Quantity.MASS) for corner in CORNERS] if now else [None]
    known = [value for value in values if value is not None]
    return Corners(*known) if len(known) == len(CORNERS) else None


def result(now: Filling) -> Result:
    """Return the findings, and what a weighing as raced puts into the car file."""
    corners, car = corners_of(now), now.car
    if corners is None:
        return Result(says=("All four scales have to be read before anything follows.",))
    raced = now.said("driver") != "empty"
    found = weighed(
        corners,
        total=car.masses.total_kg if raced else None,
        base=car.geometry.wheelbase_m,
        tracks=(car.geometry.front_track_m, car.geometry.rear_track_m),
        last=corners_of(now.previously()),
    )
    again = corners_of(now, AGAIN)
    if again is not None:
        found = (read_again(corners, again), *found)
    if not raced:
        return Result(
            ("Weighed without the driver: compare only, the car file wants it as raced.",), found
        )
    edits = [
        Edit(("masses", corner.replace(" ", "_")), value, corner, Quantity.MASS)
        for corner, value in corners.by_name().items()
    ]
    edits.append(Edit(("masses", "total"), corners.total, "total", Quantity.MASS))
    for end in ("front", "rear"):
        unsprung = now.si(f"{end} unsprung", Quantity.MASS)
        if unsprung is not None:
            key = f"{end}_unsprung"
            name = f"{end} unsprung"
            guess = now.said("unsprung known") != "weighed"
            edits.append(Edit(("masses", key), unsprung, name, Quantity.MASS, guess))
    return Result(findings=found, edits=tuple(edits))


def _unsprung_fault(now: Filling, end: str, value: Given) -> str:
    unsprung = read(str(value), Wanted("unsprung", Quantity.MASS), now.system)
    sides = [now.si(f"{side} {end}", Quantity.MASS) for side in ("left", "right")]
    if unsprung is None or None in sides:
        return ""
    carries = sum(side for side in sides if side is not None)
    if unsprung < 0.6 * carries:
        return ""
    return (
        f"found {show(unsprung, Quantity.MASS, now.system)}; wanted well under what the {end} "
        f"carries, {show(carries, Quantity.MASS, now.system)}"
    )


SCALES = Sheet(ID, "Scales", fields, result, PROCEDURE, continues=True)
