"""The sheets of the shop as actions: answered, corrected and finished without a screen."""

from typing import Literal

from rules.book import Book
from rules.crew.crew_action import CrewAction
from rules.crew.sheets.all import MENU
from rules.crew.sheets.rounds import answered, closed, said_again
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.walk import WALK, walk_sheet
from rules.log.events.base import AnswerValue
from rules.log.events.event import Body
from rules.log.state import State
from rules.question import AnswerError, NewId


class _SheetAction(CrewAction):
    sheet: str


class AnswerSheet(_SheetAction):
    """Answer the open question of a sheet, `key`; a number is in the crew's own unit."""

    action: Literal["answer sheet"] = "answer sheet"
    key: str
    value: AnswerValue


class SayAgain(_SheetAction):
    """Open one answer of a sheet again; of a finished one in a new round."""

    action: Literal["say again"] = "say again"
    key: str


class FinishSheet(_SheetAction):
    """Finish a sheet. The car file stays as it is."""

    action: Literal["finish sheet"] = "finish sheet"


def sheet_bodies(
    state: State, book: Book, action: AnswerSheet | SayAgain | FinishSheet, new_id: NewId
) -> list[Body]:
    """Return the events of an action on a sheet; the crew's book says what a walk finds open.

    Raises:
        AnswerError: if there is no such sheet, or it cannot take this now.
    """
    sheet = _sheet(action.sheet, book)
    match action:
        case AnswerSheet(key=key, value=value):
            typed = f"{value:.15g}" if isinstance(value, float) else value
            return answered(sheet, state, key, typed)
        case SayAgain(key=key):
            return said_again(sheet, state, key)
        case FinishSheet():
            return closed(sheet, state, new_id)


def _sheet(name: str, book: Book) -> Sheet:
    found = next((sheet for sheet in MENU if sheet.id == name), None)
    if found is None:
        wanted = ", ".join(sheet.id for sheet in MENU)
        raise AnswerError(f"sheet: found {name!r}; wanted one of {wanted}")
    return walk_sheet(book) if found is WALK else found
