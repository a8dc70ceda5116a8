"""A sheet of the shop to print: empty to take under the car, or as it was filled in."""

from collections.abc import Iterator

from rules.crew.sheets.rounds import filling, finished, lines_of
from rules.crew.sheets.sheet import Filling, Sheet, SheetField
from rules.log.state import State
from rules.moments import stamp
from rules.paper.page import PrintedPage, Section
from rules.paper.tables import Table
from rules.question import Choice
from rules.shop.findings import WORDS, gravest_first
from rules.units import UNITS, System, localise
from rules.wording import say

MORE = "What opens only after another answer stands here too: leave out what is not on this car."
SIDES = "Left and right as seen from the driver's seat; right only where it is measured too."
CARE = (
    "Engine off, stands and chocks, never a jack alone. Gas-charged parts are not opened.",
    "Rulebook, makers and qualified people come before this sheet.",
)
WHEN = "Date: ______________  By: ______________  Where: ______________"
GRID_COUNTS, GRID_ROWS = 7, 14
LONG_CHOICES = 120
"""Letters of all choices of a question beyond which a row has their digits alone."""
# What a hint says of the screen is of no use on paper.
_OF_THE_SCREEN = ("F5 ", "F6 ")


def shop_page(state: State, sheet: Sheet, *, blank: bool = False) -> PrintedPage:
    """Return a sheet as a page: the open round, or the one finished last.

    blank: every question with room for its answer, whatever was answered.

    Raises:
        ValueError: if there is no car, or nothing was filled in and the page is not to be blank.
    """
    car = state.car
    if car is None:
        raise ValueError("no car is described yet")
    system = car.units
    head: tuple[str, ...] = (f"{car.name}{' (INVENTED)' if car.invented else ''}",)
    care = Section("Care", tuple(say(line, system) for line in CARE))
    if blank:
        how = Section("How", tuple(say(line, system) for line in sheet.procedure))
        return PrintedPage(
            sheet.name, (*head, WHEN, MORE), (care, how, *_to_fill_in(sheet, state, system))
        )
    now = finished(sheet, state) or filling(sheet, state)
    if not now.answers:
        raise ValueError(f"{sheet.name}: nothing is filled in yet; it can be printed blank")
    closed = state.sheets[sheet.id][-1].closed
    head += (f"Finished {stamp(closed)}" if closed else "Not finished yet",)
    return PrintedPage(
        sheet.name, head, (*_outcome(sheet, now, system), _answers(sheet, now, system), care)
    )


def blank_fields(sheet: Sheet, state: State) -> list[SheetField]:
    """Return every question a blank sheet prints: those of each way through it, once.

    The right side of one that is asked of both has no row of its own.
    """
    ways = [dict(way) for way in sheet.on_paper] or [{}]
    every = [one for way in ways for one in sheet.fields(Filling(state, way))]
    found = {(one.stage, one.key): one for one in every}
    right = {one.other for one in found.values() if one.other}
    return [one for one in found.values() if one.key not in right]


def _to_fill_in(sheet: Sheet, state: State, system: System) -> Iterator[Section]:
    """Yield a part for each stage of the job, a grid for each table, and room for notes."""
    numbered = list(enumerate(blank_fields(sheet, state), 1))
    for stage in dict.fromkeys(one.stage for _, one in numbered):
        yield _part(stage, [(n, one) for n, one in numbered if one.stage == stage], system)
    for number, one in numbered:
        if one.grid:
            title = f"{number}. {one.label.strip().capitalize()} and the rows under it"
            empty = ("",) * (GRID_COUNTS + 1)
            header = ("speed at a count of", *("",) * GRID_COUNTS)
            grid = Table(header, (empty,) * GRID_ROWS)
            yield Section(say(title, system), (_hint(one, system),), (grid,), "grid")
    yield Section("Notes", tables=(Table(("",), (("",),)),), room="notes")


def _part(stage: str, fields: list[tuple[int, SheetField]], system: System) -> Section:
    """Return one part to write in: a column for each side where sides are asked."""
    sides = any(one.other for _, one in fields)
    header = ("", "question", *(("left", "right") if sides else ("answer",)))
    rows, told = [], ""
    for number, one in fields:
        question = say(one.question, system)
        if one.other:
            question = question.removeprefix("Left ").capitalize()
        hint = _hint(one, system)
        asked = " ".join(filter(None, (question, "" if hint == told else hint)))
        told, answer = hint, say(_to_write(one), system)
        rows.append(
            (str(number), asked, answer, *((answer if one.other else "",) if sides else ()))
        )
    lines = (*((SIDES,) if sides else ()), *_legends(fields, system))
    return Section(
        say(stage or "To fill in", system), lines, (Table(header, tuple(rows)),), "write"
    )


def _legends(fields: list[tuple[int, SheetField]], system: System) -> Iterator[str]:
    """Yield what the digits of long choices stand for, once for all questions that share them."""
    shared: dict[tuple[Choice, ...], list[str]] = {}
    for number, one in fields:
        if _by_digits(one):
            shared.setdefault(one.choices, []).append(str(number))
    for choices, numbers in shared.items():
        labels = "; ".join(f"{digit} {one.label}" for digit, one in enumerate(choices, 1))
        yield say(f"{', '.join(numbers)}: {labels}.", system)


def _by_digits(one: SheetField) -> bool:
    """Tell whether choices are too long to stand beside the question."""
    return sum(len(choice.label) for choice in one.choices) > LONG_CHOICES


def _hint(one: SheetField, system: System) -> str:
    hint = say(one.hint, system)
    return "" if hint.startswith(_OF_THE_SCREEN) else hint


def _to_write(one: SheetField) -> str:
    """Return what an answer is written as: its choices, its unit, or nothing."""
    if _by_digits(one):
        return "   ".join(str(digit) for digit, _ in enumerate(one.choices, 1))
    if one.choices:
        return " / ".join(choice.label for choice in one.choices)
    if one.wanted is None:
        return ""
    if one.wanted.quantity is None:
        return one.wanted.unit
    what = one.wanted.quantity
    return f"{{{UNITS[what, 'us'].name}|{UNITS[what, 'metric'].name}}}"


def _answers(sheet: Sheet, now: Filling, system: System) -> Section:
    rows = tuple(
        (say(label.strip(), system), localise(words, system))
        for label, words in lines_of(sheet, now)
    )
    return Section("Answered", tables=(Table(("what", "answer"), rows),))


def _outcome(sheet: Sheet, now: Filling, system: System) -> tuple[Section, ...]:
    result = sheet.result(now)
    rows = tuple(
        (WORDS[one.level], say(one.name, system), say(one.words, system))
        for one in gravest_first(result.findings)
    )
    says = tuple(say(line, system) for line in result.lines)
    tables = (Table(("", "what", "found"), rows),) if rows else ()
    return (Section("What comes of it", says, tables),) if says or rows else ()
