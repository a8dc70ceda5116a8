"""A sheet: a chain of questions that can be left and taken up at any point, and what comes of it.

Every answer is an event, so a sheet is the fold of its answers; the open question is the first
field without one. A round that was closed stays, and the next one is compared with it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from rules import events as ev
from rules.book.schema import UNKNOWN
from rules.car import Car
from rules.prompts import Choice, Prompt
from rules.session import AnswerError, Given, check
from rules.shop.findings import Finding
from rules.shop.typical import unusual
from rules.shop.values import UnreadableError, Wanted, read, written
from rules.state import Round, State
from rules.units import UNITS, Quantity, System

NewId = Callable[[], str]
Path = tuple[str | int, ...]
Plain = str | float | bool | list[str] | dict[str, object]
ENTER_ALONE = "Enter alone: don't know."
ENTER_OR_0 = "Enter alone or 0: don't know."
KEPT, KEEP, AGAIN = " kept", "keep", "again"


@dataclass(frozen=True)
class Field:
    """One question of a sheet.

    label: its name on the sheet.  wanted: of a quantity.  unknown: "don't know" is an answer.
    fault: what is wrong with a value given, against what was said before; empty where nothing is.
    typical: key of its usual range.  doubt: what is odd about a value, asked once and then kept.
    """

    key: str
    label: str
    question: str
    kind: Literal["quantity", "one", "many", "text"] = "quantity"
    wanted: Wanted | None = None
    choices: tuple[Choice, ...] = ()
    hint: str = ""
    default: str | None = None
    unknown: bool = True
    longest: int = 60
    fault: Callable[[Given], str] = lambda value: ""
    typical: str = ""
    doubt: Callable[[Given], str] = lambda value: ""


@dataclass(frozen=True)
class Edit:
    """A value for the car file: where it stands, in SI where it has a quantity.

    value: None takes the key out.  label: what it is, in words.  guess: it goes among the guesses.
    """

    path: Path
    value: Plain | None
    label: str
    quantity: Quantity | None = None
    guess: bool = False


@dataclass(frozen=True)
class Result:
    """What a filled-in sheet comes to.

    says: lines to read.  edits: what it could put into the car file.
    """

    says: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    edits: tuple[Edit, ...] = ()


@dataclass(frozen=True)
class Filling:
    """A sheet as it is filled in. `before` is the round it is compared with: the one closed last,
    and where this one corrects a closed round, the one before that."""

    state: State
    answers: Mapping[str, ev.AnswerValue]
    before: Round | None = None

    @property
    def car(self) -> Car:
        """The car it is about."""
        assert self.state.car is not None
        return self.state.car

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
        """Return a quantity that was answered, in SI, or None."""
        return read(self.said(key), Wanted(key, quantity), self.system) if self.said(key) else None

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
    """

    id: str
    name: str
    fields: Callable[[Filling], Iterator[Field]]
    result: Callable[[Filling], Result]
    procedure: tuple[str, ...] = ()
    enough: Callable[[Filling], bool] = lambda now: False
    closing: Callable[[Filling, NewId], list[ev.Body]] = lambda now, new_id: []
    refuses: Callable[[State], str] = lambda state: ""
    stops: Callable[[Filling], Mapping[str, str]] = lambda now: {}
    whole: bool = False
    continues: bool = False

    def asked(self, now: Filling) -> Iterator[Field]:
        """Yield every question, and after an odd answer whether it is kept."""
        for one in self.fields(now):
            yield one
            if words := _doubt(one, now):
                yield Field(
                    f"{one.key}{KEPT}", f"  {one.label}: unusual", f"Keep {now.said(one.key)}?",
                    "one", choices=(Choice(KEEP, "Keep it"), Choice(AGAIN, "No, type it again")),
                    hint=words, unknown=False,
                )  # fmt: skip


def _doubt(one: Field, now: Filling) -> str:
    """Say what is odd about an answer; empty where nothing is."""
    said = now.said(one.key)
    if not said or one.kind not in ("quantity", "text"):
        return ""
    if words := one.doubt(said):
        return words
    if one.wanted is None:
        return ""
    unbounded = Wanted(one.key, one.wanted.quantity, unit=one.wanted.unit)
    value = read(said, unbounded, now.system)
    odd = unusual(one.typical, value) if value is not None else None
    return f"{one.label}: {odd.says}" if odd else ""


def filling(sheet: Sheet, state: State) -> Filling:
    """Return the open round of a sheet, or an empty one."""
    return _filled(sheet, state, _open_round(sheet, state))


def finished(sheet: Sheet, state: State) -> Filling | None:
    """Return the last round as it was finished; None where one is open, or none was finished."""
    rounds = state.sheets.get(sheet.id, ())
    return _filled(sheet, state, rounds[-1]) if rounds and rounds[-1].closed else None


def _filled(sheet: Sheet, state: State, now: Round | None) -> Filling:
    rounds = {one.number: one for one in state.sheets.get(sheet.id, ())}
    itself: set[int] = set()
    one = now
    while one is not None:
        itself.add(one.number)
        one = rounds.get(one.of) if one.of is not None else None
    closed = [one for one in rounds.values() if one.closed and one.number not in itself]
    return Filling(state, now.answers if now else {}, closed[-1] if closed else None)


def is_answered(one: Field, now: Filling) -> bool:
    """Tell whether a field has an answer: a choice that an earlier answer took away is none."""
    if one.key not in now.answers:
        return False
    offered = {choice.id for choice in one.choices} | ({UNKNOWN} if one.unknown else set())
    return one.kind != "one" or now.answers[one.key] in offered


def open_field(sheet: Sheet, now: Filling) -> Field | None:
    """Return the first field without an answer; None where there is none left."""
    return next((one for one in sheet.asked(now) if not is_answered(one, now)), None)


def counted(sheet: Sheet, now: Filling) -> tuple[int, int]:
    """Return how many fields are answered, and how many there are as far as is known."""
    answered = [is_answered(one, now) for one in sheet.asked(now)]
    return sum(answered), len(answered)


def prompt_of(one: Field) -> Prompt:
    """Return a field as a question for the screen."""
    typed = one.kind in ("quantity", "text")
    hint = one.hint
    if typed and one.unknown and one.default is None:
        hint = f"{hint} {ENTER_OR_0 if _never_0(one) else ENTER_ALONE}".strip()
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


def answered(sheet: Sheet, state: State, key: str, value: Given) -> list[ev.Body]:
    """Return the event that an answer to the open field makes.

    Raises:
        AnswerError: if another field is open, or the answer does not fit.
    """
    now = filling(sheet, state)
    one = open_field(sheet, now)
    if one is None or one.key != key:
        raise AnswerError(f"{key}: is not open; the open one is {one.key if one else 'none'}")
    if key.endswith(KEPT) and value == AGAIN:
        return said_again(sheet, state, key.removesuffix(KEPT))
    if one.unknown and _never_0(one) and str(value).strip() == "0":
        value = UNKNOWN
    kept = _kept(one, check(prompt_of(one), value), now.system)
    if kept != UNKNOWN and (fault := one.fault(kept)):
        raise AnswerError(f"{one.label}: {fault}")
    stops = dict(sheet.stops(replace(now, answers={**now.answers, key: kept})))
    number = _round(sheet, state)
    return [ev.SheetAnswered(sheet=sheet.id, round=number, key=key, value=kept, stops=stops)]


def taken_back(sheet: Sheet, state: State) -> list[ev.Body]:
    """Return the event that opens the question answered last; none at the start."""
    now = filling(sheet, state)
    asked = {one.key for one in sheet.asked(now) if is_answered(one, now)}
    given = [key for key in now.answers if key in asked] or list(now.answers)
    if not given:
        return []
    left = {key: value for key, value in now.answers.items() if key != given[-1]}
    stops = dict(sheet.stops(replace(now, answers=left)))
    number = _round(sheet, state)
    return [ev.SheetTakenBack(sheet=sheet.id, round=number, key=given[-1], stops=stops)]


def said_again(sheet: Sheet, state: State, key: str) -> list[ev.Body]:
    """Return the events that open one answer again, the others kept.

    Of a finished sheet they begin a new round: what was finished stays as it was.

    Raises:
        AnswerError: if there is no such answer, or the finished sheet is not gone on with.
    """
    of, now = finished(sheet, state), filling(sheet, state)
    given = dict((of or now).answers)
    if key not in given or (of is not None and not sheet.continues):
        raise AnswerError(f"{key}: is not answered here; wanted one of {', '.join(given)}")
    number = _round(sheet, state)
    bodies: list[ev.Body] = []
    for taken in (key, f"{key}{KEPT}"):
        if given.pop(taken, None) is None:
            continue
        stops = dict(sheet.stops(replace(now, answers=given)))
        if of is not None and taken == key:
            source = state.sheets[sheet.id][-1].number
            bodies.append(
                ev.SheetContinued(sheet=sheet.id, round=number, of=source, key=key, stops=stops)
            )
        else:
            bodies.append(ev.SheetTakenBack(sheet=sheet.id, round=number, key=taken, stops=stops))
    return bodies


def closed(sheet: Sheet, state: State, new_id: NewId) -> list[ev.Body]:
    """Return the events that finish a round.

    Raises:
        AnswerError: if something is still open that has to be said first.
    """
    now = filling(sheet, state)
    one = open_field(sheet, now)
    if one is not None and not sheet.enough(now):
        raise AnswerError(f"{one.label.strip()}: is still open")
    if misfits := faults(sheet, now):
        raise AnswerError(misfits[0])
    stops = dict(sheet.stops(now))
    end = ev.SheetClosed(sheet=sheet.id, round=_round(sheet, state), stops=stops)
    return [*sheet.closing(now, new_id), end]


def faults(sheet: Sheet, now: Filling) -> list[str]:
    """Return what is wrong with an answer against others that were said again since."""
    return [
        f"{one.label}: {words}"
        for one in sheet.asked(now)
        if now.answers.get(one.key, UNKNOWN) != UNKNOWN
        and (words := one.fault(now.answers[one.key]))
    ]


def correctable(sheet: Sheet, now: Filling) -> list[tuple[str, str, str]]:
    """Return every answer that can be said again: key, label and words, in the sheet's order."""
    return [
        (one.key, one.label.strip(), worded(one, now.answers[one.key]))
        for one in sheet.asked(now)
        if is_answered(one, now) and not one.key.endswith(KEPT)
    ]


def lines_of(sheet: Sheet, now: Filling) -> list[tuple[str, str]]:
    """Return what was answered, label and words, in the sheet's order; of a list all of it."""
    return [
        (one.label, worded(one, now.answers[one.key]) if is_answered(one, now) else "[    ]")
        for one in sheet.asked(now)
        if is_answered(one, now) or sheet.whole
    ]


def worded(one: Field, value: ev.AnswerValue) -> str:
    """Say an answer as the crew reads it."""
    labels = {choice.id: choice.label for choice in one.choices} | {UNKNOWN: "not known"}
    values = value if isinstance(value, tuple) else (value,)
    return ", ".join(labels.get(str(part), str(part)) for part in values)


def _never_0(one: Field) -> bool:
    """Tell whether 0 is no possible number: then it says "don't know", as it does in a list."""
    return one.kind == "quantity" and one.wanted is not None and one.wanted.low > 0.0


def _open_round(sheet: Sheet, state: State) -> Round | None:
    rounds = state.sheets.get(sheet.id, ())
    return rounds[-1] if rounds and rounds[-1].closed is None else None


def _round(sheet: Sheet, state: State) -> int:
    rounds = state.sheets.get(sheet.id, ())
    now = _open_round(sheet, state)
    return now.number if now else rounds[-1].number + 1 if rounds else 1


def _kept(one: Field, value: Given, system: System) -> ev.AnswerValue:
    """Return what is kept of an answer: as typed, with its unit where it had none."""
    if isinstance(value, Mapping):
        raise AnswerError(f"{one.label}: found marks; wanted one answer")
    if one.kind != "quantity" or value == UNKNOWN or one.wanted is None:
        return value
    kept = with_unit(str(value), one.wanted, system)
    if kept == UNKNOWN and not one.unknown:
        raise AnswerError(f"{one.label}: found {str(value)!r}; wanted a number, it is needed here")
    return kept


def with_unit(text: str, wanted: Wanted, system: System) -> str:
    """Return a typed quantity with its unit; "unknown" where nobody knows.

    Raises:
        AnswerError: naming the field, what was found and what is wanted.
    """
    try:
        value = read(text, wanted, system)
    except UnreadableError as error:
        raise AnswerError(str(error)) from None
    if value is None:
        return UNKNOWN
    unbounded = Wanted(wanted.name, wanted.quantity)
    unit = UNITS[wanted.quantity, system].name if wanted.quantity else ""
    for kept in (f"{text.strip()} {unit}".strip(), text.strip()):
        try:
            if read(kept, unbounded, system) == value:
                return kept
        except UnreadableError:
            continue
    return written(value, unbounded, system)
