"""A sheet of the shop to print: empty to take under the car, or as it was filled in."""

from rules.crew.sheets.rounds import filling, finished, lines_of
from rules.crew.sheets.sheet import Filling, Sheet, SheetField
from rules.log.state import State
from rules.moments import stamp
from rules.paper.page import PrintedPage, Section
from rules.paper.tables import Table
from rules.shop.findings import WORDS, gravest_first
from rules.units import UNITS, System
from rules.wording import say

MORE = "Some answers open further questions; the program asks them when the sheet is typed in."
CARE = (
    "Engine off, stands and chocks, never a jack alone. Gas-charged parts are not opened.",
    "Rulebook, makers and qualified people come before this sheet.",
)


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
    how = Section("How", tuple(say(line, system) for line in sheet.procedure))
    care = Section("Care", tuple(say(line, system) for line in CARE))
    if blank:
        return PrintedPage(
            sheet.name, head, (how, _questions(sheet, Filling(state, {}), system), care)
        )
    now = finished(sheet, state) or filling(sheet, state)
    if not now.answers:
        raise ValueError(f"{sheet.name}: nothing is filled in yet; it can be printed blank")
    closed = state.sheets[sheet.id][-1].closed
    head += (f"Finished {stamp(closed)}" if closed else "Not finished yet",)
    return PrintedPage(
        sheet.name, head, (*_outcome(sheet, now, system), _answers(sheet, now, system), care)
    )


def _questions(sheet: Sheet, empty: Filling, system: System) -> Section:
    rows = tuple(
        (str(number), say(one.question, system), say(_to_write(one, system), system))
        for number, one in enumerate(sheet.fields(empty), 1)
    )
    return Section("To fill in", (MORE,), (Table(("", "question", "answer"), rows),))


def _to_write(one: SheetField, system: System) -> str:
    """Return what an answer is written as: its choices, its unit, or nothing."""
    if one.choices:
        return " / ".join(choice.label for choice in one.choices)
    if one.wanted is None:
        return ""
    return UNITS[one.wanted.quantity, system].name if one.wanted.quantity else one.wanted.unit


def _answers(sheet: Sheet, now: Filling, system: System) -> Section:
    rows = tuple((say(label.strip(), system), words) for label, words in lines_of(sheet, now))
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
