"""The height of the centre of gravity as a sheet: level, then three heights or more."""

from collections.abc import Iterator

from rules.car.edits import Edit
from rules.crew.sheets.asking import length, weight
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.question import Choice
from rules.shop.cg import (
    PROCEDURE,
    Weighing,
    cg_height,
    height_findings,
    is_plausible,
    sprung_centre,
    sprung_findings,
)
from rules.shop.findings import Finding
from rules.units import Quantity

ID = "cg height"
FEWEST, MOST = 3, 6
HUBS = "Over the plane that the pads stand on; the centre of the hub."


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions of a weighing at several heights."""
    yield SheetField(
        "locked", "Suspension locked", "Is the suspension locked at ride height?", "one",
        choices=(Choice("yes", "Locked, links in place of the dampers"), Choice("no", "Not yet")),
        hint="Stands or ramps made for the load; nobody in or under the car.", unknown=False,
        fault=lambda value: "found not yet; wanted locked first" if value == "no" else "",
    )  # fmt: skip
    if now.state.car is not None and now.car.geometry.wheelbase_m is None:
        yield length("wheelbase", "Wheelbase", low=1.2, high=5.0, typical="geometry.wheelbase")
    yield weight("level front", "Level: front", question="Level: what do both front wheels weigh?")
    yield weight("level rear", "Level: rear", question="Level: what do both rear wheels weigh?")
    for end in ("front", "rear"):
        yield length(
            f"level {end} hub", f"Level: {end} hub", question=f"Level: how high is the {end} hub?",
            hint="Centre of the hub over the pads, tyres at race pressure.", low=0.1, high=0.7,
        )  # fmt: skip
    for number in _numbers(now):
        yield from _raised(number)
        if FEWEST <= number < MOST:
            yield SheetField(
                f"another {number}", "Another height", "One more height?", "one",
                choices=(Choice("no", "That is all"), Choice("yes", "One more")),
                hint="Every height more narrows the range.", default="no", unknown=False,
            )  # fmt: skip
    for end in ("front", "rear"):
        if getattr(now.car.masses, f"{end}_unsprung_kg") is None:
            yield weight(
                f"{end} unsprung", f"{end.capitalize()} unsprung",
                question=f"What of the {end} is unsprung?", typical=f"masses.{end}_unsprung",
            )  # fmt: skip


def _numbers(now: Filling) -> Iterator[int]:
    for number in range(1, MOST + 1):
        yield number
        if number >= FEWEST and now.said(f"another {number}") != "yes":
            return


def _raised(number: int) -> Iterator[SheetField]:
    name = f"Height {number}"
    yield weight(
        f"front {number}", f"{name}: front", question=f"{name}: what do the front wheels weigh?",
        hint="One axle raised, the same at every reading; the scales under the front.",
    )  # fmt: skip
    for end in ("front", "rear"):
        yield length(
            f"{end} hub {number}", f"{name}: {end} hub",
            question=f"{name}: how high is the {end} hub?", hint=HUBS, low=0.1, high=2.5,
        )  # fmt: skip


def result(now: Filling) -> Result:
    """Return the height as a range, the sprung mass's own, and the edits they make."""
    level, rear = (
        _weighing(now, "level front", "level front hub", "level rear hub"),
        now.si("level rear", Quantity.MASS),
    )
    base = now.car.geometry.wheelbase_m or now.si("wheelbase", Quantity.LENGTH)
    raised = [
        one
        for number in _numbers(now)
        if (one := _weighing(now, f"front {number}", f"front hub {number}", f"rear hub {number}"))
    ]
    if level is None or rear is None or base is None or not raised:
        return Result(("Wanted: the level weighing whole, the wheelbase, and one raised height.",))
    try:
        found = cg_height(level, rear, base, raised)
    except ValueError as error:
        return Result((f"The readings do not go together: {error}.",))
    findings = height_findings(found, base)
    if not is_plausible(found, base):
        return Result(("Nothing of it goes into the car file.",), findings)
    guess = not found.agrees
    edits = [Edit(("geometry", "cg_height"), found.height, "CG height", Quantity.LENGTH, guess)]
    says = []
    found_sprung: tuple[Finding, ...] = ()
    unsprung = [
        getattr(now.car.masses, f"{end}_unsprung_kg") or now.si(f"{end} unsprung", Quantity.MASS)
        for end in ("front", "rear")
    ]
    if unsprung[0] is None or unsprung[1] is None:
        says.append("For the sprung mass's height, both unsprung weights are wanted.")
    else:
        try:
            sprung = sprung_centre(
                level.front, rear, base, found.height, unsprung[0], unsprung[1],
                level.front_hub, level.rear_hub, found.give,
            )  # fmt: skip
        except ValueError as error:
            return Result((f"The sprung mass's height cannot be had: {error}.",))
        found_sprung = sprung_findings(sprung)
        says.append("The launch model wants the sprung mass's height.")
        key = ("geometry", "sprung_cg_height")
        edits.append(Edit(key, sprung.height, "sprung CG height", Quantity.LENGTH, guess))
    return Result(tuple(says), (*findings, *found_sprung), tuple(edits))


def _weighing(now: Filling, front: str, front_hub: str, rear_hub: str) -> Weighing | None:
    load = now.si(front, Quantity.MASS)
    hubs = [now.si(key, Quantity.LENGTH) for key in (front_hub, rear_hub)]
    if load is None or hubs[0] is None or hubs[1] is None:
        return None
    return Weighing(load, hubs[0], hubs[1])


CG_HEIGHT = Sheet(ID, "CG height", fields, result, PROCEDURE, continues=True)
