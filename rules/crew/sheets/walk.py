"""The walk round the car: every count read aloud and entered, then a named baseline of it."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from rules.book import Book, shipped
from rules.car.adjusters import Adjuster, adjusters
from rules.car.model import Corner, LeverKind
from rules.crew.baselines import open_blocks_noted, under_minimum
from rules.crew.sheets.asking import length, quantity
from rules.crew.sheets.edit.lever_values import measured_in, read_setting, step_fault
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.log.events.car import BaselineDeclared
from rules.log.events.event import Body
from rules.log.state import State
from rules.log.state_after import after
from rules.log.work_orders import recount_bodies
from rules.question import AnswerError, Choice, Given, NewId
from rules.typed import Wanted, read
from rules.units import PSI_PA, Quantity
from rules.wording import both, capital

ID = "baseline walk"
PROCEDURE = (
    "One reads aloud, one writes. Start at the left front and go round the car once.",
    "Count each knob to its own end and back, by hand and without force.",
    "Say what the knob says, not what the book says. A difference becomes a recount.",
    "Tyre pressures cold with the same gauge; ride heights on level ground, as raced.",
)
ROUND: tuple[Corner, ...] = ("left front", "right front", "right rear", "left rear")
_REAR_TYRES = {
    "bias slick": "survey.slick_pressure",
    "radial": "survey.radial_pressure",
    "drag radial": "survey.radial_pressure",
}


def fields(now: Filling) -> Iterator[SheetField]:
    """Return every adjuster in the order of a walk, then what stands beside the counts."""
    yield from (_read_aloud(now, one) for one in round_the_car(now.state))
    for corner in _without_lever(now, "tyre pressure", Quantity.PRESSURE):
        yield quantity(
            f"{corner} pressure", f"{corner} tyre", Quantity.PRESSURE, 3 * PSI_PA, 80 * PSI_PA,
            question=f"{corner.capitalize()} tyre pressure?", hint="Cold, the same gauge.",
            typical=_usual_pressure(now, corner),
        )  # fmt: skip
    for corner in _without_lever(now, "ride height", Quantity.LENGTH):
        yield length(
            f"{corner} height", f"{corner} ride height",
            question=f"{corner.capitalize()} ride height?",
            hint="From the same point of the body each time, as raced.", low=0.02, high=1.5,
            doubt=partial(_height_doubt, now, corner),
        )  # fmt: skip
    rpm = "" if any(one.kind == "launch rpm" for one in now.car.levers) else "rpm, "
    yield SheetField(
        "launch", "Launch settings", f"Launch settings: {rpm}converter or clutch, two-step?",
        "text", longest=120,
    )  # fmt: skip
    yield SheetField("air", "Air", "The air of today?", "text", hint="As read.", longest=80)
    yield SheetField(
        "name", "Name", "Name of this baseline?", "text", unknown=False, longest=60,
        hint="Older baselines stay in the log; p puts the car back to this one.",
    )  # fmt: skip


def _without_lever(now: Filling, kind: LeverKind, quantity: Quantity) -> list[Corner]:
    """Return the corners where no lever that was read already says this quantity."""
    said = {
        one.axle
        for one in now.car.levers
        if one.kind == kind and not one.positions and _measures(one.unit, quantity)
    }
    return [corner for corner in ROUND if not said & {corner.split()[1], "car"}]


def _measures(unit: str, quantity: Quantity) -> bool:
    owner = measured_in(unit)
    return not unit or (owner is not None and owner[0] == quantity)


def _usual_pressure(now: Filling, corner: Corner) -> str:
    if corner.endswith("front"):
        return "survey.front_pressure"
    return _REAR_TYRES.get(now.car.rear.tyre or "", "survey.rear_pressure")


def _height_doubt(now: Filling, corner: Corner, value: Given) -> str:
    """Doubt a ride height that the bump travel would use up."""
    end = corner.split()[1]
    bump = getattr(now.car, end).bump_travel_m
    height = read(str(value), Wanted("ride height", Quantity.LENGTH), now.system)
    if bump is None or height is None or height > bump:
        return ""
    return f"No more than the {end} bump travel, {both(bump, Quantity.LENGTH)}."


def _read_aloud(now: Filling, one: Adjuster) -> SheetField:
    question = f"{capital(one.label)}: read it aloud."
    if one.positions:
        named = tuple(Choice(name, name) for name in one.positions)
        return SheetField(one.id, one.label, question, "one", choices=named, unknown=False)
    wanted = f"{capital(one.wanted())}."
    asked = SheetField(
        one.id, one.label, question, "text", hint=wanted, unknown=False, longest=40,
        fault=partial(_fault, now, one),
    )  # fmt: skip
    owner = measured_in(one.unit)
    if one.part == "knob" or owner is None or owner[1] != now.system:
        return asked
    corner: Corner = "left rear" if one.axle == "rear" else "left front"
    return replace(
        asked, kind="quantity", wanted=Wanted(one.label, owner[0]), hint=_hint(one, wanted),
        typical=_usual_pressure(now, corner) if one.part == "tyre pressure" else "",
        doubt=_height_of(now, one, corner),
    )  # fmt: skip


def _hint(one: Adjuster, wanted: str) -> str:
    alike = {
        "tyre pressure": "Cold, the same gauge; both sides alike. ",
        "ride height": "As raced. ",
    }
    return f"{alike.get(one.part, '')}{wanted}"


def _height_of(now: Filling, one: Adjuster, corner: Corner) -> Callable[[Given], str]:
    """Return what doubts a ride height by the travel of its axle, or nothing else."""
    if one.part != "ride height" or one.axle == "car":
        return lambda value: ""
    return partial(_height_doubt, now, corner)


def round_the_car(state: State) -> list[Adjuster]:
    """Return every adjuster in the order in which a hand meets it, levers last."""
    fitted = list(adjusters(state.car).values()) if state.car else []
    places: dict[str, int] = {corner: number for number, corner in enumerate(ROUND)}
    return sorted(fitted, key=lambda one: places.get(one.place, len(ROUND)))


def found(now: Filling) -> dict[str, float]:
    """Return where each adjuster was found."""
    return {
        one.id: read_setting(one, now.said(one.id))
        for one in round_the_car(now.state)
        if now.said(one.id)
    }


def facts(now: Filling) -> dict[str, str]:
    """Return what was noted beside the counts, as typed."""
    settings = {one.id for one in round_the_car(now.state)} | {"name"}
    return {
        one.label: now.said(one.key)
        for one in fields(now)
        if one.key not in settings and now.said(one.key)
    }


def result(now: Filling, book: Book | None = None) -> Result:
    """Say where the car and the book differ, and what is declared."""
    fitted = {one.id: one for one in round_the_car(now.state)}
    says = [
        f"{fitted[key].label}: found {fitted[key].show(value)}, the book has "
        f"{fitted[key].show(now.state.settings[key])}. It is recorded as a recount."
        for key, value in found(now).items()
        if value != now.state.settings[key]
    ]
    if not says:
        says.append("Every count agrees with the book.")
    says.append(f"Finishing declares the baseline {now.said('name')!r} with {len(fitted)} settings")
    says[-1] += f" and {len(facts(now))} facts beside them."
    says += [
        f"{label}: {words} The baseline says so."
        for label, words in open_blocks_noted(now.state, book or shipped()).items()
    ]
    return Result(tuple(says))


def closing(now: Filling, new_id: NewId, book: Book | None = None) -> list[Body]:
    """Return the recounts and the baseline that the walk makes.

    Raises:
        AnswerError: if a work order is half done.
    """
    if fault := refuses(now.state):
        raise AnswerError(fault)
    bodies: list[Body] = []
    for key, value in found(now).items():
        if value != now.state.settings[key] or key in now.state.to_recount:
            bodies += recount_bodies(after(now.state, bodies), key, value)
    settings = dict(after(now.state, bodies).settings)
    noted = facts(now) | open_blocks_noted(now.state, book or shipped())
    declared = BaselineDeclared(
        baseline=new_id(), name=now.said("name"), settings=settings, facts=noted
    )
    return [*bodies, declared]


def refuses(state: State) -> str:
    """Return why no baseline can be declared now, or nothing."""
    order = state.work_order
    return f"the work order {order.title!r} is not finished" if order else ""


def _fault(now: Filling, one: Adjuster, value: Given) -> str:
    try:
        setting = read_setting(one, str(value))
    except ValueError as error:
        return str(error).removeprefix(f"{one.label}: ")
    return under_minimum(one, setting) or step_fault(one, setting, now.state.settings[one.id])


def walk_sheet(book: Book | None = None) -> Sheet:
    """Return the walk; book: what says which blocks are open, the shipped one where left out."""
    return Sheet(
        ID, "Baseline walk", fields, partial(result, book=book), PROCEDURE,
        closing=partial(closing, book=book), refuses=refuses,
    )  # fmt: skip


WALK = walk_sheet()
