"""The height of the centre of gravity as a sheet: level, then three heights or more."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from rules.car.edits import Edit
from rules.car.model import AxleEnd
from rules.crew.sheets.asking import YES_NO, length, weight
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.question import Choice, Given
from rules.shop.cg import (
    PROCEDURE,
    Weighing,
    cg_height,
    friction_findings,
    height_findings,
    is_plausible,
    sprung_centre,
    sprung_findings,
)
from rules.shop.findings import Finding
from rules.typed import Wanted, read
from rules.units import INCH_M, Quantity, show

ID = "cg height"
FEWEST, MOST = 3, 6
ENDS: tuple[AxleEnd, ...] = ("front", "rear")
# Closer than this, two heights are one that was entered twice.
APART_M = INCH_M
HUBS = "Over the plane that the pads stand on; the centre of the hub."


@dataclass(frozen=True)
class Raised:
    """Which axle is raised, and where its weighings stand.

    axle, weighed: raised, and on the scales.  prefix: of its keys.  fewest: heights it takes.
    """

    axle: AxleEnd
    weighed: AxleEnd
    prefix: str
    fewest: int

    @property
    def sign(self) -> float:
        """Of the rear hub's height over the front one's."""
        return 1.0 if self.axle == "rear" else -1.0

    def label(self, number: int) -> str:
        """Name one of its heights."""
        return f"{self.axle.capitalize()} up, height {number}"

    def key(self, number: int) -> str:
        """Return the key of what the scales say."""
        return f"{self.prefix}{self.weighed} {number}"

    def down(self, number: int) -> str:
        """Return the key of what they say on the way down."""
        return f"{self.key(number)} down"

    def hub(self, end: str, number: int) -> str:
        """Return the key of a hub's height."""
        return f"{self.prefix}{end} hub {number}"

    def another(self, number: int) -> str:
        """Return the key of whether there is one more."""
        return f"{self.prefix}another {number}"


REAR_UP = Raised("rear", "front", "", FEWEST)
FRONT_UP = Raised("front", "rear", "other ", 1)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions: level, one axle up height by height and down again, then the other."""
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
    for end in ENDS:
        yield length(
            f"level {end} hub", f"Level: {end} hub", question=f"Level: how high is the {end} hub?",
            hint="Centre of the hub over the pads, tyres at race pressure.", low=0.1, high=0.7,
        )  # fmt: skip
    yield from _one_axle(now, REAR_UP)
    yield SheetField(
        "other axle", "Front axle too", "Raise the front axle too?", "one", choices=YES_NO,
        default="no", unknown=False,
        hint="The same with the front up and the scales under the rear: what scatters shows.",
    )  # fmt: skip
    if now.said("other axle") == "yes":
        yield from _one_axle(now, FRONT_UP)
    for end in ENDS:
        if getattr(now.car.masses, f"{end}_unsprung_kg") is None:
            yield weight(
                f"{end} unsprung", f"{end.capitalize()} unsprung",
                question=f"What of the {end} is unsprung?", typical=f"masses.{end}_unsprung",
            )  # fmt: skip


def _one_axle(now: Filling, raised: Raised) -> Iterator[SheetField]:
    """Ask for the heights of one axle on the way up, then the same ones on the way down."""
    numbers = list(_numbers(now, raised))
    for number in numbers:
        yield weight(
            raised.key(number), f"{raised.label(number)}: {raised.weighed}",
            question=f"{raised.label(number)}: what do the {raised.weighed} wheels weigh?",
            hint=f"The {raised.axle} axle raised, the scales under the {raised.weighed}.",
        )  # fmt: skip
        for end in ENDS:
            key = raised.hub(end, number)
            last = raised.hub(ENDS[-1], number) == key
            yield length(
                key, f"{raised.label(number)}: {end} hub",
                question=f"{raised.label(number)}: how high is the {end} hub?", hint=HUBS,
                low=0.1, high=2.5,
                fault=partial(_height_fault, now, raised, number) if last else lambda value: "",
            )  # fmt: skip
        if raised.fewest <= number < MOST:
            yield SheetField(
                raised.another(number), f"{raised.label(number)}: one more", "One more height?",
                "one", choices=(Choice("no", "That is all"), Choice("yes", "One more")),
                hint="Every height more narrows the range.", default="no", unknown=False,
            )  # fmt: skip
    for number in reversed(numbers):
        label = f"{raised.label(number)}, down"
        yield weight(
            raised.down(number), f"{label}: {raised.weighed}",
            question=f"On the way down, {raised.label(number).lower()}: the {raised.weighed}?",
            hint="The same hub heights, come to from above: what differs is friction.",
        )  # fmt: skip


def _numbers(now: Filling, raised: Raised) -> Iterator[int]:
    for number in range(1, MOST + 1):
        yield number
        if number >= raised.fewest and now.said(raised.another(number)) != "yes":
            return


def _height_fault(now: Filling, raised: Raised, number: int, value: Given) -> str:
    """Say that a height is the level one, or one that was weighed before."""
    rear = read(str(value), Wanted("hub", Quantity.LENGTH), now.system)
    front = now.si(raised.hub("front", number), Quantity.LENGTH)
    if rear is None or front is None:
        return ""
    others = {
        "level": (
            now.si("level front hub", Quantity.LENGTH),
            now.si("level rear hub", Quantity.LENGTH),
        )
    }
    for other in range(1, number):
        hubs = [now.si(raised.hub(end, other), Quantity.LENGTH) for end in ENDS]
        others[raised.label(other).lower()] = (hubs[0], hubs[1])
    for name, (front_hub, rear_hub) in others.items():
        if front_hub is None or rear_hub is None:
            continue
        if abs(abs(rear - front) - abs(rear_hub - front_hub)) < APART_M:
            lifted = front if raised.axle == "front" else rear
            found, wanted = (show(one, Quantity.LENGTH, now.system) for one in (lifted, APART_M))
            if raised.axle == "front":
                return (
                    f"found the front hub at {found}, the height of {name}; wanted it {wanted} "
                    "higher or lower: go back to it"
                )
            return f"found {found}, the height of {name}; wanted {wanted} higher or lower than it"
    if (rear - front) * raised.sign < 0.0:
        found = show(rear, Quantity.LENGTH, now.system)
        told = show(front, Quantity.LENGTH, now.system)
        return f"found {found} with the {raised.axle} raised; wanted the other side of {told}"
    return ""


def result(now: Filling) -> Result:
    """Return the height as a range, the sprung mass's own, and the edits they make."""
    level, rear = (
        _weighing(now, "level front", "level front hub", "level rear hub"),
        now.si("level rear", Quantity.MASS),
    )
    base = now.car.geometry.wheelbase_m or now.si("wheelbase", Quantity.LENGTH)
    raised = _raised(now, level.front + rear) if level and rear is not None else []
    if level is None or rear is None or base is None or not raised:
        return Result(("Wanted: the level weighing whole, the wheelbase, and one raised height.",))
    try:
        found = cg_height(level, rear, base, raised)
    except ValueError as error:
        return Result((f"The readings do not go together: {error}.",))
    findings = (*height_findings(found, base), *friction_findings(_up_and_down(now)))
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


def _raised(now: Filling, total: float) -> list[Weighing]:
    """Return every raised weighing, up and down as their mean. total: the level weight [kg]."""
    found = []
    for raised in _axles(now):
        for number in _numbers(now, raised):
            up, down = (now.si(one(number), Quantity.MASS) for one in (raised.key, raised.down))
            hubs = [now.si(raised.hub(end, number), Quantity.LENGTH) for end in ENDS]
            if up is None or hubs[0] is None or hubs[1] is None:
                continue
            load = up if down is None else (up + down) / 2.0
            front = load if raised.weighed == "front" else total - load
            found.append(Weighing(front, hubs[0], hubs[1]))
    return found


def _up_and_down(now: Filling) -> dict[str, tuple[float, float]]:
    """Return each height that was weighed on the way up and down, both readings [kg]."""
    return {
        raised.label(number): (up, down)
        for raised in _axles(now)
        for number in _numbers(now, raised)
        if (up := now.si(raised.key(number), Quantity.MASS)) is not None
        and (down := now.si(raised.down(number), Quantity.MASS)) is not None
    }


def _axles(now: Filling) -> tuple[Raised, ...]:
    return (REAR_UP, FRONT_UP) if now.said("other axle") == "yes" else (REAR_UP,)


def _weighing(now: Filling, front: str, front_hub: str, rear_hub: str) -> Weighing | None:
    load = now.si(front, Quantity.MASS)
    hubs = [now.si(key, Quantity.LENGTH) for key in (front_hub, rear_hub)]
    if load is None or hubs[0] is None or hubs[1] is None:
        return None
    return Weighing(load, hubs[0], hubs[1])


CG_HEIGHT = Sheet(
    ID, "CG height", fields, result, PROCEDURE, continues=True, on_paper=({"other axle": "yes"},)
)
