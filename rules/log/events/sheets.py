"""What is said on the sheets of the shop, round by round."""

from typing import Literal

from pydantic import Field

from rules.log.events.base import AnswerValue, EventBody, Text


class SheetAnswered(EventBody):
    """An answer on a sheet of the shop, as typed with its unit; a later one corrects it.

    `stops` says by inspection what of the round, with this answer, blocks advice.
    """

    kind: Literal["sheet-answered"] = "sheet-answered"
    sheet: str
    round: int = Field(ge=1)
    key: str
    value: AnswerValue
    stops: dict[str, Text] = {}


class SheetTakenBack(EventBody):
    """The crew went back on a sheet: this is open again; `stops` says what then blocks advice."""

    kind: Literal["sheet-taken-back"] = "sheet-taken-back"
    sheet: str
    round: int = Field(ge=1)
    key: str
    stops: dict[str, Text] = {}


class SheetContinued(EventBody):
    """A round begins with the answers of a finished one, `of`, but for `key`, to be said again."""

    kind: Literal["sheet-continued"] = "sheet-continued"
    sheet: str
    round: int = Field(ge=1)
    of: int = Field(ge=1)
    key: str
    stops: dict[str, Text] = {}


class SheetClosed(EventBody):
    """A round of a sheet is finished; `stops` says by inspection what blocks advice."""

    kind: Literal["sheet-closed"] = "sheet-closed"
    sheet: str
    round: int = Field(ge=1)
    stops: dict[str, Text] = {}
