"""The walk round the car: every count read aloud and entered, then a named baseline of it."""

from collections.abc import Iterator
from functools import partial

from rules import events as ev
from rules.adjusters import Adjuster, adjusters
from rules.book import shipped
from rules.car import Corner
from rules.declared import open_blocks_noted
from rules.imagine import after
from rules.prompts import Choice
from rules.session import AnswerError, Given
from rules.settle import recount_bodies
from rules.shop.asking import length, quantity
from rules.shop.findings import both
from rules.shop.sheet import Field, Filling, NewId, Result, Sheet
from rules.shop.values import Wanted, read
from rules.state import State
from rules.units import Quantity

ID = "baseline walk"
PROCEDURE = (
    "One reads aloud, one writes. Start at the left front and go round the car once.",
    "Count each knob to its own end and back, by hand and without force.",
    "Say what the knob says, not what the book says. A difference becomes a recount.",
    "Tyre pressures cold with the same gauge; ride heights on level ground, as raced.",
)
PSI = 6894.757293168
ROUND: tuple[Corner, ...] = ("left front", "right front", "right rear", "left rear")
_REAR_TYRES = {"bias slick": "survey.slick_pressure", "radial": "survey.radial_pressure"}


def fields(now: Filling) -> Iterator[Field]:
    """Return every adjuster in the order of a walk, then what stands beside the counts."""
    yield from map(_read_aloud, round_the_car(now.state))
    for corner in ROUND:
        yield quantity(
            f"{corner} pressure", f"{corner} tyre", Quantity.PRESSURE, 3 * PSI, 80 * PSI,
            question=f"{corner.capitalize()} tyre pressure?", hint="Cold, the same gauge.",
            typical=_usual_pressure(now, corner),
        )  # fmt: skip
    for corner in ROUND:
        yield length(
            f"{corner} height", f"{corner} ride height",
            question=f"{corner.capitalize()} ride height?",
            hint="From the same point of the body each time, as raced.", low=0.02, high=1.5,
            doubt=partial(_height_doubt, now, corner),
        )  # fmt: skip
    yield Field(
        "launch", "Launch settings", "Launch settings: rpm, converter or clutch, two-step?", "text",
        longest=120,
    )  # fmt: skip
    yield Field("air", "Air", "The air of today?", "text", hint="As read.", longest=80)
    yield Field(
        "name", "Name", "Name of this baseline?", "text", unknown=False, longest=60,
        hint="Older baselines stay in the log; p puts the car back to this one.",
    )  # fmt: skip


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


def _read_aloud(one: Adjuster) -> Field:
    question = f"{one.label[0].upper()}{one.label[1:]}: read it aloud."
    if one.positions:
        named = tuple(Choice(name, name) for name in one.positions)
        return Field(one.id, one.label, question, "one", choices=named, unknown=False)
    return Field(
        one.id, one.label, question, "text", hint=f"{one.wanted()[0].upper()}{one.wanted()[1:]}.",
        unknown=False, longest=40, fault=partial(_fault, one),
    )  # fmt: skip


def round_the_car(state: State) -> list[Adjuster]:
    """Return every adjuster in the order in which a hand meets it, levers last."""
    fitted = list(adjusters(state.car).values()) if state.car else []
    places: dict[str, int] = {corner: number for number, corner in enumerate(ROUND)}
    return sorted(fitted, key=lambda one: places.get(one.place, len(ROUND)))


def found(now: Filling) -> dict[str, float]:
    """Return where each adjuster was found."""
    return {
        one.id: one.parse(now.said(one.id))
        for one in round_the_car(now.state)
        if one.id in now.answers
    }


def facts(now: Filling) -> dict[str, str]:
    """Return what was noted beside the counts, as typed."""
    settings = {one.id for one in round_the_car(now.state)} | {"name"}
    return {
        one.label: now.said(one.key)
        for one in fields(now)
        if one.key not in settings and now.said(one.key)
    }


def result(now: Filling) -> Result:
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
        for label, words in open_blocks_noted(now.state, shipped()).items()
    ]
    return Result(tuple(says))


def closing(now: Filling, new_id: NewId) -> list[ev.Body]:
    """Return the recounts and the baseline that the walk makes.

    Raises:
        AnswerError: if a work order is half done.
    """
    if fault := refuses(now.state):
        raise AnswerError(fault)
    bodies: list[ev.Body] = []
    for key, value in found(now).items():
        if value != now.state.settings[key] or key in now.state.to_recount:
            bodies += recount_bodies(after(now.state, bodies), key, value)
    settings = dict(after(now.state, bodies).settings)
    noted = facts(now) | open_blocks_noted(now.state, shipped())
    declared = ev.BaselineDeclared(
        baseline=new_id(), name=now.said("name"), settings=settings, facts=noted
    )
    return [*bodies, declared]


def refuses(state: State) -> str:
    """Return why no baseline can be declared now, or nothing."""
    order = state.work_order
    return f"the work order {order.title!r} is not finished" if order else ""


def _fault(one: Adjuster, value: Given) -> str:
    try:
        one.parse(str(value))
    except ValueError as error:
        return str(error).removeprefix(f"{one.label}: ")
    return ""


WALK = Sheet(ID, "Baseline walk", fields, result, PROCEDURE, closing=closing, refuses=refuses)
