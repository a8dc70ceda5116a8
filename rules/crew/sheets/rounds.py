"""A sheet round by round: what is open, and the events of answers, corrections and its end."""

from collections.abc import Mapping
from dataclasses import replace

from rules.crew.sheets.sheet import (
    AGAIN,
    KEPT,
    Filling,
    Sheet,
    SheetField,
    never_0,
    prompt_of,
    worded,
)
from rules.log.events.base import AnswerValue
from rules.log.events.event import Body
from rules.log.events.sheets import SheetAnswered, SheetClosed, SheetContinued, SheetTakenBack
from rules.log.rounds import Round
from rules.log.state import State
from rules.question import UNKNOWN, AnswerError, Given, NewId, check
from rules.typed import OR_UNKNOWN, UnreadableError, Wanted, read, written
from rules.units import UNITS, System


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


def is_answered(one: SheetField, now: Filling) -> bool:
    """Tell whether a field has an answer that it can have, whatever other answers say since."""
    value = now.answers.get(one.key)
    if value is None:
        return False
    if one.kind == "one":
        offered = {choice.id for choice in one.choices} | ({UNKNOWN} if one.unknown else set())
        return value in offered
    if value == UNKNOWN:
        return one.unknown
    if one.kind != "quantity" or one.wanted is None:
        return True
    try:
        read(str(value), one.wanted.unbounded, now.system)
    except UnreadableError:
        return False
    return True


def open_field(sheet: Sheet, now: Filling) -> SheetField | None:
    """Return the first field without an answer; None where there is none left."""
    return next((one for one in sheet.asked(now) if not is_answered(one, now)), None)


def counted(sheet: Sheet, now: Filling) -> tuple[int, int]:
    """Return how many fields are answered, and how many there are as far as is known."""
    answered = [is_answered(one, now) for one in sheet.asked(now)]
    return sum(answered), len(answered)


def answered(sheet: Sheet, state: State, key: str, value: Given) -> list[Body]:
    """Return the event that an answer to the open field makes.

    Raises:
        AnswerError: if another field is open, or the answer does not fit.
    """
    now = filling(sheet, state)
    one = open_field(sheet, now)
    if one is None or one.key != key:
        asked = f"{one.key}: {one.question}" if one else "none: all are answered"
        raise AnswerError(f"{key!r} is not the open question; it is {asked}")
    if key.endswith(KEPT) and value == AGAIN:
        return said_again(sheet, state, key.removesuffix(KEPT))
    if one.unknown and never_0(one) and str(value).strip() == "0":
        value = UNKNOWN
    kept = _kept(one, check(prompt_of(one), value), now.system)
    if kept != UNKNOWN and (fault := one.fault(kept)):
        raise AnswerError(f"{one.label.strip()}: {fault}")
    stops = dict(sheet.stops(replace(now, answers={**now.answers, key: kept})))
    number = _round(sheet, state)
    return [SheetAnswered(sheet=sheet.id, round=number, key=key, value=kept, stops=stops)]


def taken_back(sheet: Sheet, state: State) -> list[Body]:
    """Return the event that opens the question answered last; none at the start."""
    now = filling(sheet, state)
    asked = {one.key for one in sheet.asked(now) if is_answered(one, now)}
    given = [key for key in now.answers if key in asked] or list(now.answers)
    if not given:
        return []
    left = {key: value for key, value in now.answers.items() if key != given[-1]}
    stops = dict(sheet.stops(replace(now, answers=left)))
    number = _round(sheet, state)
    return [SheetTakenBack(sheet=sheet.id, round=number, key=given[-1], stops=stops)]


def said_again(sheet: Sheet, state: State, key: str) -> list[Body]:
    """Return the events that open one answer again, the others kept.

    Of a finished sheet they begin a new round: what was finished stays as it was. Of a chained
    one they take back what follows as well.

    Raises:
        AnswerError: if there is no such answer, or the finished sheet is not gone on with.
    """
    of, now = finished(sheet, state), filling(sheet, state)
    given = dict((of or now).answers)
    if key not in given or (of is not None and not sheet.continues):
        raise AnswerError(f"{key}: is not answered here; wanted one of {', '.join(given)}")
    gone = _gone(sheet, of or now, key)
    left = {one: value for one, value in given.items() if one not in gone}
    stops = dict(sheet.stops(replace(now, answers=left)))
    number = _round(sheet, state)
    bodies: list[Body] = [
        SheetTakenBack(sheet=sheet.id, round=number, key=one, stops=stops) for one in gone
    ]
    if of is not None:
        source = state.sheets[sheet.id][-1].number
        bodies[0] = SheetContinued(sheet=sheet.id, round=number, of=source, key=key, stops=stops)
    return bodies


def _gone(sheet: Sheet, now: Filling, key: str) -> list[str]:
    """Return which answers go where one is said again, that one first."""
    fields = {one.key: one for one in sheet.asked(now)}
    asked = list(fields)
    if not sheet.chained or key not in asked or fields[key].alone:
        return [one for one in (key, f"{key}{KEPT}") if one in now.answers]
    before = asked[: asked.index(key)]
    return [key, *(one for one in now.answers if one not in before and one != key)]


def closed(sheet: Sheet, state: State, new_id: NewId) -> list[Body]:
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
    end = SheetClosed(sheet=sheet.id, round=_round(sheet, state), stops=stops)
    return [*sheet.closing(now, new_id), end]


def faults(sheet: Sheet, now: Filling) -> list[str]:
    """Return what is wrong with an answer against others that were said again since."""
    return [
        f"{one.label}: {words}"
        for one in sheet.asked(now)
        if now.answers.get(one.key, UNKNOWN) != UNKNOWN
        and (words := one.fault(now.answers[one.key]))
    ]


def goes_along(sheet: Sheet, now: Filling, key: str) -> int:
    """Return how many other answers are taken back where one is said again."""
    asked = {one.key for one in sheet.asked(now)}
    gone = set(_gone(sheet, now, key)) & asked
    return sum(not one.endswith(KEPT) for one in gone - {key})


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


def _open_round(sheet: Sheet, state: State) -> Round | None:
    rounds = state.sheets.get(sheet.id, ())
    return rounds[-1] if rounds and rounds[-1].closed is None else None


def _round(sheet: Sheet, state: State) -> int:
    rounds = state.sheets.get(sheet.id, ())
    now = _open_round(sheet, state)
    return now.number if now else rounds[-1].number + 1 if rounds else 1


def _kept(one: SheetField, value: Given, system: System) -> AnswerValue:
    """Return what is kept of an answer: as typed, with its unit where it had none."""
    if isinstance(value, Mapping):
        raise AnswerError(f"{one.label}: found marks; wanted one answer")
    if one.kind != "quantity" or value == UNKNOWN or one.wanted is None:
        return value
    try:
        kept = with_unit(str(value), one.wanted, system)
    except AnswerError as error:
        raise AnswerError(str(error).removesuffix("" if one.unknown else OR_UNKNOWN)) from None
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
