"""A sheet: a chain of questions that can be left and taken up at any point, and what comes of it.

Every answer is an event, so a sheet is the fold of its answers; the open question is the first
field without one. A round that was closed stays, and the next one is compared with it.
"""

from collections import deque
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from rules.car.edits import Edit
from rules.car.model import Car
from rules.car.usual import TYPICAL
from rules.log.events.base import AnswerValue
from rules.log.events.event import Body
from rules.log.rounds import Round
from rules.log.state import State
from rules.once import AsFound
from rules.question import UNKNOWN, Choice, Given, NewId, Prompt
from rules.shop.findings import Finding
from rules.typed import UnreadableError, Wanted, read
from rules.units import Quantity, System

ENTER_ALONE = "Enter alone: don't know."
ENTER_OR_0 = "Enter alone or 0: don't know."
KEPT, KEEP, AGAIN = " kept", "keep", "again"


@dataclass(frozen=True)
class SheetField:
    """One question of a sheet.

    label: its name on the sheet.  wanted: of a quantity.  unknown: "don't know" is an answer.
    fault: what is wrong with a value given, against what was said before; empty where nothing is.
    typical: key of its usual range.  doubt: what is odd about a value, asked once and then kept.
    alone: said again on a chained sheet, it takes nothing back that follows.
    stage: of the job, in words, where a sheet has several.  other: key of the right side's field.
    plot: rows of a dyno table that is drawn with the question. A "table" is the text of one, which
    the screen takes out of a file.  grid: on paper a grid to write a table in comes with it.
    """

    key: str
    label: str
    question: str
    kind: Literal["quantity", "one", "many", "text", "table"] = "quantity"
    wanted: Wanted | None = None
    choices: tuple[Choice, ...] = ()
    hint: str = ""
    default: str | None = None
    unknown: bool = True
    longest: int = 60
    fault: Callable[[Given], str] = lambda value: ""
    typical: str = ""
    doubt: Callable[[Given], str] = lambda value: ""
    alone: bool = False
    stage: str = ""
    other: str = ""
    plot: tuple[str, ...] = ()
    grid: bool = False


@dataclass(frozen=True)
class Result:
    """What a filled-in sheet comes to.

    says: lines to read.  edits: what it could put into the car file.  faults: why it cannot.
    """

    says: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    edits: tuple[Edit, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """What there is to read before the findings."""
        return (*self.says, *(f"Fault: {fault}" for fault in self.faults))


@dataclass(frozen=True)
class Filling:
    """A sheet as it is filled in. `before` is the round it is compared with: the one closed last,
    and where this one corrects a closed round, the one before that."""

    state: State
    answers: Mapping[str, AnswerValue]
    before: Round | None = None

    @property
    def car(self) -> Car:
        """The car it is about."""
        return self.state.described_car

    @property
    def system(self) -> System:
        """The crew's units."""
        if self.state.car is not None:
            return self.state.car.units
        return "metric" if self.answers.get("units") == "metric" else "us"

    def said(self, key: str) -> str:
        """Return an answer in words, empty where there is none or nobody knew."""
        value = self.answers.get(key, "")
        return "" if value == UNKNOWN else str(value)

    def many(self, key: str) -> tuple[str, ...]:
        """Return what was marked."""
        value = self.answers.get(key, ())
        marked = value if isinstance(value, tuple) else (str(value),)
        return tuple(one for one in marked if one != UNKNOWN)

    def si(self, key: str, quantity: Quantity | None = None) -> float | None:
        """Return a quantity that was answered, in SI; None where there is none, or none of this."""
        if not (said := self.said(key)):
            return None
        try:
            return read(said, Wanted(key, quantity), self.system)
        except UnreadableError:
            return None

    def is_same(self, other: "Filling") -> bool:
        """Tell whether it is the same state with the same answers, which costs nothing to see."""
        state, answers = self.state is other.state, self.answers is other.answers
        return state and answers and self.before is other.before

    def previously(self) -> "Filling | None":
        """Return the round before as it was filled in."""
        return Filling(self.state, self.before.answers) if self.before else None


@dataclass(frozen=True)
class Sheet:
    """One sheet of the shop.

    fields: every question in order, as far as the answers so far tell.
    enough: whether it may be finished before its last question.
    closing: further events that finishing it makes.  refuses: why it cannot be finished now.
    stops: what of the answers so far blocks advice, by inspection.
    whole: what is not answered yet is shown too, as on a list to tick.
    continues: a finished round can be corrected and completed, in a new one with its answers.
    chained: each question follows from those before it; one said again takes back what follows.
    on_paper: ways through it whose questions a blank sheet prints, by answers that open them.
    """

    id: str
    name: str
    fields: Callable[[Filling], Iterator[SheetField]]
    result: Callable[[Filling], Result]
    procedure: tuple[str, ...] = ()
    enough: Callable[[Filling], bool] = lambda now: False
    closing: Callable[[Filling, NewId], list[Body]] = lambda now, new_id: []
    refuses: Callable[[State], str] = lambda state: ""
    stops: Callable[[Filling], Mapping[str, str]] = lambda now: {}
    whole: bool = False
    continues: bool = False
    chained: bool = False
    on_paper: tuple[Mapping[str, AnswerValue], ...] = ()

    def asked(self, now: Filling) -> AsFound[SheetField]:
        """Return every question, and after an odd answer whether it is kept.

        An answer and what is drawn of it ask for the same ones many times over.
        """
        for sheet, of, found in _asked:
            if sheet is self and of.is_same(now):
                return found
        found = AsFound(self._asked(now))
        _asked.append((self, now, found))
        return found

    def _asked(self, now: Filling) -> Iterator[SheetField]:
        for one in self.fields(now):
            yield one
            if words := _doubt(one, now):
                yield SheetField(
                    f"{one.key}{KEPT}", f"  {one.label}: unusual", f"Keep {now.said(one.key)}?",
                    "one", choices=(
                        Choice(AGAIN, "No, type it again", key="t"),
                        Choice(KEEP, "Keep it", key="k"),
                    ),
                    hint=words, unknown=False,
                )  # fmt: skip


_asked: deque[tuple[Sheet, Filling, AsFound[SheetField]]] = deque(maxlen=4)


def _doubt(one: SheetField, now: Filling) -> str:
    """Say what is odd about an answer; empty where nothing is."""
    said = now.said(one.key)
    if not said or one.kind not in ("quantity", "text"):
        return ""
    if words := one.doubt(said):
        return words
    if one.wanted is None:
        return ""
    value = read(said, one.wanted.unbounded, now.system)
    odd = unusual(one.typical, value) if value is not None else None
    return f"{one.label}: {odd.says}" if odd else ""


def prompt_of(one: SheetField) -> Prompt:
    """Return a field as a question for the screen."""
    typed = one.kind in ("quantity", "text", "table")
    hint = one.hint
    if typed and one.unknown and one.default is None:
        hint = f"{hint} {ENTER_OR_0 if never_0(one) else ENTER_ALONE}".strip()
    return Prompt(
        one.key,
        one.question,
        "text" if typed else "many" if one.kind == "many" else "one",
        one.choices,
        hint=hint,
        default=one.default,
        unknown=one.unknown,
        optional=typed and one.unknown,
        longest=one.longest,
    )


def worded(one: SheetField, value: AnswerValue) -> str:
    """Say an answer as the crew reads it."""
    if one.kind == "table" and isinstance(value, str) and value != UNKNOWN:
        head, *rows = [row for row in value.splitlines() if row.strip()] or [""]
        return f"{len(rows)} rows under {head.strip()}"
    labels = {choice.id: choice.label for choice in one.choices} | {UNKNOWN: "not known"}
    values = value if isinstance(value, tuple) else (value,)
    return ", ".join(labels.get(str(part), str(part)) for part in values)


def never_0(one: SheetField) -> bool:
    """Tell whether 0 is no possible number: then it says "don't know", as it does in a list."""
    return one.kind == "quantity" and one.wanted is not None and one.wanted.low > 0.0


def unusual(key: str, value: float) -> Finding | None:
    """Return what to doubt about a value, None where it is within the usual or there is no usual.

    value: SI, or a plain number where the field has no quantity.
    """
    field = TYPICAL.get(key)
    if field is None or field.low - 1e-9 <= value <= field.high + 1e-9:
        return None
    side = "below" if value < field.low else "above"
    says = f"This is {side} what cars have: {field.says}. Right for this car, or a slip of the pen?"
    return Finding(field.name, value, field.quantity, "look", says)
