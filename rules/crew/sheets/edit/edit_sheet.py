"""The car file edited: values, knobs and levers, one after the other, checked as one set."""

from collections.abc import Callable, Iterator
from functools import partial

from rules.car.adjusters import adjusters
from rules.car.edits import edited_car, set_faults
from rules.car.file_before import NO_FILE, FileBefore
from rules.car.values import TAKE_BACK, differences
from rules.crew.sheets.edit.add_knob import knob_questions, knob_result
from rules.crew.sheets.edit.add_lever import lever_questions, lever_result
from rules.crew.sheets.edit.edit_value import tables, value_fields, value_result
from rules.crew.sheets.edit.take_out import open_on_any, removal_questions, removal_result
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.question import Choice
from rules.replaced import replace

ID = "edit"
MORE = "more"
KNOB, LEVER, REMOVE, BACK = "add a knob", "add a lever", "take out", "take back"
_WORDS = {
    KNOB: "Add a knob",
    LEVER: "Add a lever",
    REMOVE: "Take out a knob or a lever",
    BACK: "Take back the last edit of the file",
}
_STEPS: dict[str, tuple[Callable[[Filling], Iterator[SheetField]], Callable[[Filling], Result]]] = {
    KNOB: (knob_questions, knob_result),
    LEVER: (lever_questions, lever_result),
    REMOVE: (removal_questions, removal_result),
}
_FIRST_PAGE = 6


def edit_sheet(before: FileBefore) -> Sheet:
    """Return the sheet that edits a car file; before: the one that can be brought back."""
    return Sheet(
        ID, "Edit the car file", partial(_fields, before), partial(_result, before), chained=True
    )


def _fields(before: FileBefore, now: Filling) -> Iterator[SheetField]:
    """Return the questions of one edit after the other."""
    for number, step in enumerate(_steps(now), 1):
        asked = [_first(before, step, number), *_questions(step)]
        for one in asked:
            yield replace(one, key=_mark(number) + one.key)
        if step.said("table") == BACK or any(one.key not in step.answers for one in asked):
            return
        yield SheetField(
            _mark(number) + MORE, "Along with it", "Another value along with it?", "one",
            choices=(Choice("no", "No, that is all"), Choice("yes", "Yes: checked as one set")),
            hint="Such as a total with its corners, or a knob's range with its start.",
            default="no", unknown=False,
        )  # fmt: skip


def _mark(number: int) -> str:
    return "" if number == 1 else f"{number} "


def _steps(now: Filling) -> list[Filling]:
    """Return the answers of each edit, with the car as the edits before it leave it."""
    steps: list[Filling] = []
    car = now.car
    while not steps or steps[-1].said(MORE) == "yes":
        mark = _mark(len(steps) + 1)
        answers = {
            key.removeprefix(mark): value
            for key, value in now.answers.items()
            if key.startswith(mark)
        }
        steps.append(Filling(replace(now.state, car=car), answers))
        car = edited_car(car, _outcome(steps[-1]).edits)
    return steps


def _first(before: FileBefore, step: Filling, number: int) -> SheetField:
    named = tables(step)
    why_not = {BACK: _kept_back(before, step)}
    if not adjusters(step.car):
        why_not[REMOVE] = "the file has none"
    words = [
        Choice(key, label, why_not.get(key, ""))
        for key, label in _WORDS.items()
        if key != BACK or number == 1
    ]
    choices = (
        *(Choice(table, table) for table in named[:_FIRST_PAGE]),
        *words,
        *(Choice(table, table) for table in named[_FIRST_PAGE:]),
    )
    return SheetField(
        "table", "Table", "What shall be edited?", "one", choices=choices, unknown=False,
    )  # fmt: skip


def _questions(step: Filling) -> Iterator[SheetField]:
    asks, _ = _STEPS.get(step.said("table"), (value_fields, value_result))
    return asks(step)


def _outcome(step: Filling) -> Result:
    _, comes_to = _STEPS.get(step.said("table"), (value_fields, value_result))
    return comes_to(step)


def _result(before: FileBefore, now: Filling) -> Result:
    """Say the whole set of edits, and every fault that lies between its values."""
    steps = _steps(now)
    if steps[0].said("table") == BACK:
        return _taken_back(before, now)
    outcomes = [_outcome(step) for step in steps]
    edits = tuple(edit for one in outcomes for edit in one.edits)
    says = tuple(line for one in outcomes for line in one.says)
    faults = tuple(map(str, set_faults(now.car, edits)))
    return Result(says, edits=edits, faults=faults)


def _taken_back(before: FileBefore, now: Filling) -> Result:
    """Say what the file before says otherwise."""
    why_not = _kept_back(before, now)
    if before.car is None or why_not:
        return Result((f"The file stays as it is: {why_not}.",))
    rows = differences(now.car, before.car) or ["Comments or layout alone."]
    head = "The file before the last edit says otherwise, now -> then:"
    after = "Counts stay as the log has them. Taken back again, the file of now is there again."
    return Result((head, *rows, after), edits=(TAKE_BACK,))


def _kept_back(before: FileBefore, now: Filling) -> str:
    """Say why the file before cannot come back; empty where it can."""
    if before.car is None:
        return before.why_not
    gone = adjusters(now.car).keys() - adjusters(before.car).keys()
    held = open_on_any(now.state, set(gone))
    return f"a knob or lever would go, and {held}" if held else ""


EDIT = edit_sheet(NO_FILE)
