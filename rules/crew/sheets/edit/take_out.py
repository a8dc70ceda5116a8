"""A knob or a lever that does not belong in the car file: taken out, unless a change is open."""

from collections.abc import Iterator

from rules.car.adjusters import Adjuster, adjusters, pair_of
from rules.car.edits import Edit, Path
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.log.changes import Change
from rules.log.state import State
from rules.question import Choice


def removal_questions(now: Filling) -> Iterator[SheetField]:
    """Ask which knob or lever comes out; both sides of a pair go together."""
    yield SheetField(
        "gone", "Comes out", "Which knob or lever does the car not have?", "one", unknown=False,
        choices=tuple(
            Choice(one.id, _name(now, one), open_on(now, one)) for one in _once_a_pair(now)
        ),
    )  # fmt: skip


def _once_a_pair(now: Filling) -> Iterator[Adjuster]:
    seen: set[str] = set()
    for one in adjusters(now.car).values():
        if one.id not in seen:
            yield one
        seen |= {one.id, one.partner or one.id}


def _name(now: Filling, one: Adjuster) -> str:
    if not one.partner:
        return one.label
    return f"{one.axle} {one.name}, both sides"


def open_on(now: Filling, one: Adjuster) -> str:
    """Say that a change of this adjuster is open; empty where none is."""
    return open_on_any(now.state, {each.id for each in pair_of(adjusters(now.car), one)})


def open_on_any(state: State, ids: set[str]) -> str:
    """Say that a change of one of these adjusters is open; empty where none is."""
    change = next((one for one in state.changes if one.is_open and _turns(one, ids)), None)
    return f"the change {change.title!r} is open on it" if change else ""


def removal_result(now: Filling) -> Result:
    """Say what comes out of the file, and what becomes of its past."""
    one = adjusters(now.car).get(now.said("gone"))
    if one is None:
        return Result()
    if refusal := open_on(now, one):
        return Result((f"{_name(now, one)} stays in the file: {refusal}.",))
    pair = pair_of(adjusters(now.car), one)
    says = [f"{_name(now, one)}: taken out of the file. Its past stays in the log."]
    ids = {each.id for each in pair}
    if any(change.status != "withdrawn" and _turns(change, ids) for change in now.state.changes):
        says.append("What was learnt from turning it counts no more.")
    return Result(
        tuple(says), edits=tuple(Edit(_path(now, each), None, each.label) for each in pair)
    )


def _turns(change: Change, ids: set[str]) -> bool:
    return any(step.turn.adjuster in ids for step in change.steps)


def _path(now: Filling, one: Adjuster) -> Path:
    for at, lever in enumerate(now.car.levers):
        if lever.id == one.id:
            return ("levers", at)
    return next(
        ("dampers", at, "knobs", number)
        for at, damper in enumerate(now.car.dampers)
        for number, knob in enumerate(damper.knobs)
        if f"{damper.corner} {knob.id}" == one.id
    )
