"""One value of the car file, said anew: pick it out of its table, and say what it is now."""

from collections.abc import Iterator
from dataclasses import replace

from rules.car.edits import Edit, Path
from rules.car.model import TABLES, Lever
from rules.car.usual import typically
from rules.car.values import Value, car_values, value_words
from rules.car.valvings import STROKES
from rules.crew.sheets.edit.lever_values import in_unit, wanted_in
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.question import Choice, Given
from rules.typed import Wanted, read
from rules.units import System
from rules.wording import capital

MEASURED, GUESSED = "measured", "guess"
_ALIKE = (
    "controls", "speed", "clicks", "turns", "count_from", "marks_per_turn", "pair", "curve",
    *(f"{stroke}_click_{end}" for stroke in STROKES for end in ("soft", "hard")),
)  # fmt: skip
_LEVER_NUMBERS = ("start", "low", "high", "step", "makers_minimum")


def tables(now: Filling) -> list[str]:
    """Return every table of the file that has a value to edit."""
    return list(dict.fromkeys(value.table for value in _values(now)))


def _values(now: Filling) -> list[Value]:
    return [value for value in car_values(now.car) if value.kind != "list"]


def value_fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions that lead from a table to one value and what it is."""
    inside = [value for value in _values(now) if value.table == now.said("table")]
    if not inside:
        return
    yield SheetField(
        "value", "Value", f"{now.said('table')}: which value?", "one", unknown=False,
        choices=tuple(
            Choice(value.key, f"{value.name}: {value.shown(now.system)}") for value in inside
        ),
    )  # fmt: skip
    value = chosen(now)
    if value is None:
        return
    yield _new_value(now, value)
    if value.path[0] in TABLES and value.kind == "number":
        yield SheetField(
            "known", "Known", "Measured, or a guess?", "one", default=MEASURED, unknown=False,
            choices=(Choice(MEASURED, "Measured"), Choice(GUESSED, "A guess")),
            hint="A guess is kept as one: the launch model spreads it wider.",
        )  # fmt: skip


def chosen(now: Filling) -> Value | None:
    """Return the value that was picked."""
    return next((one for one in car_values(now.car) if one.key == now.said("value")), None)


def _new_value(now: Filling, value: Value) -> SheetField:
    label = capital(value.name)
    stands = f"It stands at {value.shown(now.system)}."
    key = "new"
    lever = _lever_of(now, value)
    if lever is not None:
        return _lever_value(lever, label, stands, now.system)
    if value.kind in ("choice", "yes or no"):
        words = value.choices or ("yes", "no")
        return SheetField(
            key, label, f"{label}: what is it?", "one", hint=stands, unknown=False,
            choices=tuple(Choice(word, word.capitalize()) for word in words),
        )  # fmt: skip
    usual = typically(value.key)
    hint = f"{stands} {usual[:1].upper()}{usual[1:]}." if usual else stands
    if value.kind == "text":
        return SheetField(key, label, f"{label}: what is it?", "text", hint=hint, unknown=False)
    return SheetField(
        key, label, f"{label}: what is it?", wanted=Wanted(label, value.quantity), hint=hint,
        typical=value.key,
        fault=_whole_fault if value.kind == "whole" else lambda typed: "",
    )  # fmt: skip


def _lever_of(now: Filling, value: Value) -> Lever | None:
    """Return the lever whose setting, end or step a value is; None where it is something else."""
    if value.path[0] != "levers" or value.path[-1] not in _LEVER_NUMBERS:
        return None
    lever = now.car.levers[int(value.path[1])]
    return lever if value.path[-1] == "start" or not lever.positions else None


def _lever_value(lever: Lever, label: str, stands: str, system: System) -> SheetField:
    question = f"{label}: what is it?"
    if lever.positions:
        positions = tuple(Choice(name, name) for name in lever.positions)
        return SheetField(
            "new", label, question, "one", choices=positions, hint=stands, unknown=False
        )
    hint = f"Unit: {lever.unit}. {stands}" if lever.unit else stands
    return SheetField(
        "new", label, question, wanted=wanted_in(lever.unit, label, system), hint=hint,
        unknown=label != "Start",
    )  # fmt: skip


def _whole_fault(typed: Given) -> str:
    number = read(str(typed), Wanted("number"), "metric")
    whole = number is None or number.is_integer()
    return "" if whole else f"found {typed}; wanted a whole number"


def edit_of(now: Filling) -> Edit | None:
    """Return the edit that the answers make; nobody knows takes a number out of the file."""
    value = chosen(now)
    if value is None or "new" not in now.answers:
        return None
    typed = now.said("new")
    label = f"{value.table}, {value.name}"
    guess = now.said("known") == GUESSED
    if value.kind == "yes or no":
        return Edit(value.path, typed == "yes", label)
    lever = _lever_of(now, value)
    if lever is not None and not lever.positions:
        return Edit(value.path, in_unit(typed, lever.unit, now.system), label)
    if value.kind in ("choice", "text"):
        return Edit(value.path, typed, label)
    return Edit(value.path, now.si("new", value.quantity), label, value.quantity, guess)


def value_result(now: Filling) -> Result:
    """Say the edit; what both sides of a pair must have alike goes to both."""
    edit, value = edit_of(now), chosen(now)
    if edit is None or value is None:
        return Result()
    after = value_words(edit.value, edit.quantity, now.system)
    says = [f"{edit.label}: {value.shown(now.system)} -> {after}."]
    twin = _twin(now, value)
    if twin is None:
        return Result(tuple(says), edits=(edit,))
    says.append("Both sides of the pair.")
    return Result(tuple(says), edits=(edit, replace(edit, path=twin, label=f"{edit.label}, twin")))


def _twin(now: Filling, value: Value) -> Path | None:
    """Return where the other side of a paired knob has the same value."""
    if value.path[-1] not in _ALIKE or value.path[0] != "dampers":
        return None
    _, at, _, number, key = value.path
    damper = now.car.dampers[int(at)]
    knob = damper.knobs[int(number)]
    for other_at, other in enumerate(now.car.dampers):
        for other_number, one in enumerate(other.knobs):
            beside = other.axle == damper.axle and other.corner != damper.corner
            if beside and one.id == knob.id and one.pair == knob.pair == "axle":
                return ("dampers", other_at, "knobs", other_number, key)
    return None
