"""A start setting for dampers nobody has run on this car, and the plan of the first passes."""

from collections.abc import Iterator
from functools import partial

from rules.advice.safety.work_gates import KNOWING, YES, asked_first
from rules.car import titles
from rules.car.adjusters import Adjuster, Turn
from rules.car.valvings import STROKES
from rules.crew.first_passes import FULL, LOOK, SHORT, SIXTY, steps_from
from rules.crew.sheets.dampers.places import count_fault
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.launch.side_by_side import AtSpeed, side_by_side
from rules.log.dampers import AXLES
from rules.log.events.changes import ChangeProposed
from rules.log.events.event import Body
from rules.log.events.meeting import NoteAdded
from rules.question import AnswerError, Choice, NewId
from rules.shop.start_setting import count_within, missing, window

MAKER, KEPT, MECHANICS = "maker", "kept force", "mechanics"
PROCEDURE = (
    "Dampers nobody has run here start gentle: a short hit, then the 60-foot, then a full pass.",
    "Each step only after the one before was clean; the abort point is agreed with the driver.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the axle, where its start comes from, the counts, the plan and the abort point."""
    yield SheetField(
        "axle", "Axle", "A start for the dampers of which axle?", "one", unknown=False,
        choices=tuple(Choice(axle, f"{axle.capitalize()}, both sides") for axle in AXLES),
    )  # fmt: skip
    if not now.said("axle"):
        return
    yield SheetField(
        "basis", "From", "Where does the start come from?", "one", unknown=False,
        choices=(
            Choice(MAKER, "The maker's recommendation, as typed"),
            Choice(KEPT, "Force kept: the counts that give today's forces", _no_curves(now)),
            Choice(MECHANICS, "This car's mass and springs, computed", _not_known(now)),
        ),
        hint=_hint(now),
    )  # fmt: skip
    basis = now.said("basis")
    if basis == MAKER:
        yield SheetField(
            "maker says", "Maker says", "What does the maker recommend, in its own words?", "text",
            longest=200, hint="With the sheet it is on.",
        )  # fmt: skip
    if basis == KEPT:
        yield SheetField(
            "curves", "Their curves", "Which table in stock is of the new dampers?", "one",
            choices=tuple(Choice(name, name) for name in _tables(now)), unknown=False,
        )  # fmt: skip
    if not basis or (basis == KEPT and not now.said("curves")):
        return
    for one in _knobs(now):
        proposed, why = _proposed(now, one)
        yield SheetField(
            f"start {one.id}", one.name, f"{one.axle.capitalize()} {one.name}: which count first?",
            "text", default=one.show(proposed), unknown=False, longest=20,
            hint=f"{why} Both sides alike. Wanted: {one.wanted()}.",
            fault=partial(count_fault, one),
        )  # fmt: skip
    asks = asked_first(now.state, turns(now))
    if asks is not None:
        yield SheetField(
            KNOWING, "Knowing that", asks.question, "one", choices=asks.choices, hint=asks.hint,
            unknown=False,
        )  # fmt: skip
    yield SheetField(
        "far", "First", "How far does it go first?", "one", default=SHORT, unknown=False,
        choices=(
            Choice(SHORT, "A short hit"), Choice(SIXTY, "To the 60-foot"),
            Choice(FULL, "A full pass", "after a short hit and a 60-foot that were clean"),
        ),
        hint=f"Look at: {LOOK[SHORT]}.",
    )  # fmt: skip
    yield SheetField(
        "abort", "Abort point", "Which abort point is agreed with the driver?", "text",
        unknown=False, longest=120,
        hint="Height, distance, any sideways. Beyond it: lift early and progressively, straight.",
    )  # fmt: skip


def _axle_knobs(now: Filling) -> list[Adjuster]:
    return [
        one
        for one in now.state.fitted.values()
        if one.part == "knob" and one.axle == now.said("axle")
    ]


def _knobs(now: Filling) -> list[Adjuster]:
    """Return the knobs of the axle, of a pair the first side alone."""
    first: dict[str, Adjuster] = {}
    for one in _axle_knobs(now):
        if one.partner not in first:
            first[one.id] = one
    return list(first.values())


def _tables(now: Filling) -> list[str]:
    axle = now.said("axle")
    owned = (one for one in now.car.stock if one.kind == "valving" and one.axle == axle)
    return [one.name for one in owned if one.compression_dyno or one.rebound_dyno]


def _no_curves(now: Filling) -> str:
    return "" if _tables(now) else "no table of theirs is in stock"


def _not_known(now: Filling) -> str:
    axle = next(one for one in AXLES if one == now.said("axle"))
    lacks = missing(now.car, axle)
    return f"the car file lacks {', '.join(lacks[:2])}" if lacks else ""


def _hint(now: Filling) -> str:
    axle = next(one for one in AXLES if one == now.said("axle"))
    found = (window(now.car, axle, stroke) for stroke in STROKES)
    return " ".join(f"{one.says}." for one in found if one is not None)


_NOT_FOUND = "No dyno table of it gives a count:"


def _typed_alone(now: Filling) -> Iterator[str]:
    """Name the knobs whose count is the crew's own, though the start is a computed one."""
    if now.said("basis") == MAKER:
        return
    for one in _knobs(now):
        count, why = _proposed(now, one)
        if why.startswith(_NOT_FOUND) or now.said(f"start {one.id}") != one.show(count):
            yield one.name


def _proposed(now: Filling, one: Adjuster) -> tuple[float, str]:
    """Return the count [marks] that a basis comes to and its reason; today's without one."""
    today = now.state.settings[one.id]
    found = _beside(now, one) if now.said("basis") == KEPT else {}
    for rows in found.values():
        told = (f"{stroke}, {row.says}." for stroke, each in found.items() for row in each[:2])
        # The valving is set by the force it works at, all else by the settle.
        of = rows[1] if one.speed == "high" and len(rows) > 1 else rows[0]
        return of.nearest * one.per_unit, " ".join(told)
    if now.said("basis") == MECHANICS and (within := _within(now, one)) is not None:
        low, high = (count * one.per_unit for count in within)
        middle = float(round((low + high) / 2.0))
        return middle, f"Computed: {one.show(low)} to {one.show(high)} lie in the window."
    if now.said("basis") == MAKER:
        return today, "As the maker says."
    return today, f"{_NOT_FOUND} {one.show(today)} is today's count."


def _beside(now: Filling, one: Adjuster) -> dict[str, tuple[AtSpeed, ...]]:
    """Return today's force beside the new curves, by stroke; empty where either is not known."""
    found: dict[str, tuple[AtSpeed, ...]] = {}
    for damper in now.car.dampers:
        for knob in damper.knobs:
            if f"{damper.corner} {knob.id}" != one.id:
                continue
            for stroke in STROKES:
                rows = side_by_side(
                    now.car, now.state.settings, damper, knob, stroke, now.said("curves")
                )
                if rows:
                    found[stroke] = rows
    return found


def _within(now: Filling, one: Adjuster) -> tuple[float, float] | None:
    axle = next(each for each in AXLES if each == now.said("axle"))
    for damper in now.car.dampers:
        for knob in damper.knobs:
            if f"{damper.corner} {knob.id}" != one.id:
                continue
            for stroke in STROKES:
                of = window(now.car, axle, stroke)
                found = (
                    count_within(now.car, now.state.settings, damper, knob, stroke, of)
                    if of is not None and knob.controls in (stroke, "both")
                    else None
                )
                if found is not None:
                    return found
    return None


def turns(now: Filling) -> tuple[Turn, ...]:
    """Return the turns from where the knobs stand to the start, both sides to the same count."""
    found = []
    for one in _knobs(now):
        said = now.said(f"start {one.id}")
        if not said or count_fault(one, said):
            continue
        for key in filter(None, (one.id, one.partner)):
            each, before = now.state.fitted[key], now.state.settings[key]
            goal = min(max(one.parse(said), each.low), each.high)
            if goal != before:
                found.append(Turn(adjuster=key, before=before, after=goal))
    return tuple(found)


def plan(now: Filling) -> tuple[str, ...]:
    """Return the plan of the first passes: how far, what to look at, where to abort."""
    steps = enumerate(steps_from(now.said("far")), 1)
    rows = [f"{number}. {LOOK[step]}." for number, step in steps]
    return (*rows, f"Abort point agreed with the driver: {now.said('abort')}.")


def result(now: Filling) -> Result:
    """Say the start, where it comes from, and the plan."""
    if not now.said("abort"):
        return Result()
    says = [f"Start of the {now.said('axle')} from: {_basis(now)}."]
    made = turns(now)
    if typed := tuple(_typed_alone(now)):
        says.append(f"Typed by the crew, not computed: {', '.join(typed)}.")
    words = titles.counts_words(made, now.state.fitted)
    says.append(f"To set: {words}." if words else "It stands there already.")
    return Result((*says, *plan(now)))


def _basis(now: Filling) -> str:
    said = now.said("maker says")
    return {
        MAKER: f"the maker{f', {said}' if said else ''}",
        KEPT: f"force kept on {now.said('curves')}",
        MECHANICS: "this car's mass and springs, computed",
    }.get(now.said("basis"), "")


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return the turns to the start as an order, and the plan as a note.

    It asks for no verdict, because no pass before was made on these dampers.

    Raises:
        AnswerError: if a work order is open, or it leads back to a danger and nobody agreed.
    """
    made = turns(now)
    order = now.state.work_order
    if made and order is not None:
        raise AnswerError(f"a start waits: the work order {order.title!r} is not finished")
    if asked_first(now.state, made) is not None and now.said(KNOWING) != YES:
        raise AnswerError("a start waits: it leads back to a danger, and that was not agreed to")
    bodies: list[Body] = []
    if made:
        title = f"Start of the {now.said('axle')} dampers, from {now.said('basis')}"
        bodies.append(ChangeProposed(change=new_id(), origin="put back", title=title, turns=made))
    return [*bodies, NoteAdded(text="First passes. " + " ".join(plan(now)))]
