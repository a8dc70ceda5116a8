"""An advice in few words: a plate, at most nine lines, and the safety words beside them.

All of it is on `w`; here each line is the first sentence of what the book says, and the longest
are cut at a semicolon or a colon before the whole moves to a wider place. Cautions, and when to
put it back, are never cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from textual.content import Content

from rules.advice.safety import gates
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.log.state import State
from tui.drawn.plate import Kind, Plate
from tui.lines import spoken, turn_line
from tui.wrapped import wrapped

if TYPE_CHECKING:
    from rules.log.advice import Advice, AdviceKind

MOST_LINES = 9
LABEL = 6
NEVER = "Never"
PLATES: dict[AdviceKind, Kind] = {
    "leave": "done",
    "inspect": "danger",
    "stop": "danger",
    "put back": "open",
}
MOST_TURNS = 4
ORDER = 5


class Labelled(NamedTuple):
    """One labelled sentence; `cut` is a shorter one, `late` goes first where there is no room."""

    label: str
    text: str
    cut: str = ""
    late: int = 0


class ShortAdvice(NamedTuple):
    """What stands on the screen of an advice."""

    plate: Plate
    lines: tuple[Labelled, ...]
    safety: str


def short_advice(state: State, advice: Advice) -> ShortAdvice:
    """Return an advice in few words, in the crew's wording and units."""
    from tui.drawn.forecast import enough_words

    cautions = [spoken(state, one) for one in advice.cautions]
    care = " ".join(one for one in cautions if not one.startswith(NEVER))
    nevers = [one for one in cautions if one.startswith(NEVER)]
    safety = " ".join([*nevers, gates.ALWAYS_WITH_ADVICE])
    lines = [Labelled("Why", first_sentence(state, advice.cause or advice.why), late=3)]
    lines += [
        Labelled(str(number), spoken(state, text), late=4 if number > 1 else 0)
        for number, text in enumerate(advice.lines, 1)
    ]
    lines.append(Labelled("Then", first_sentence(state, advice.expect), late=2))
    if advice.kind != "measure":
        lines.append(Labelled("Look", first_sentence(state, advice.look_for), late=1))
    if advice.turns:
        lines.append(Labelled("Undo", first_sentence(state, advice.put_back_if)))
    lines.append(Labelled("Care", care))
    order = spoken(state, advice.order_reason.removeprefix("Treated first: "))
    lines.append(Labelled("First", order, late=ORDER))
    told = (
        Labelled(one.label, one.text, _clause(one.text) if one.late in (1, 2, 3) else "", one.late)
        for one in lines
        if one.text
    )
    plate = advice_plate(state, advice)
    work = " · ".join(filter(None, (_time(state, advice), enough_words(advice), _costs(advice))))
    plate = plate._replace(below=(*plate.below, work)) if work else plate
    return ShortAdvice(plate, tuple(told), spoken(state, safety))


def first_sentence(state: State, text: str) -> str:
    """Return the first sentence of a text."""
    said = spoken(state, text)
    end = said.find(". ")
    return said if end < 0 else said[: end + 1]


def _clause(sentence: str) -> str:
    """Return what stands before a semicolon or a colon, where that says enough by itself."""
    places = [at for at in (sentence.find(sign) for sign in ("; ", ": ")) if at >= 20]
    return f"{sentence[: min(places)]}." if places else sentence


def _time(state: State, advice: Advice) -> str:
    """Say what the work takes, of how many minutes, and with what."""
    if not advice.minutes:
        return ""
    left = state.minutes_left
    of = f" of your {left}" if left is not None else ""
    tools = "" if advice.tools in ("", "none") else f", {spoken(state, advice.tools)}"
    fitted = state.fitted
    lifted = any(fitted[t.adjuster].lift_car for t in advice.turns if t.adjuster in fitted)
    return f"{advice.minutes} min{of}{tools}, {'on stands' if lifted else 'no jack'}"


def _costs(advice: Advice) -> str:
    """Say what the turn gives away at 60 feet, where the advice says so."""
    from rules.launch.forecast_words import given_away

    told = given_away(advice.expect)
    return f"costs {told}" if told else ""


def advice_plate(state: State, advice: Advice) -> Plate:
    """Return the plate of an advice: what is turned, from where to where, how far and which way."""
    kind = PLATES.get(advice.kind, "open")
    title = spoken(state, advice.title).upper()
    fitted = state.fitted
    turns = [turn for turn in advice.turns if turn.adjuster in fitted]
    if not turns:
        return Plate(kind, title)
    head = "" if advice.kind in ("turn", "half back") else title
    return turns_plate(state, turns, kind, head)


def turns_plate(state: State, turns: list[Turn], kind: Kind, title: str = "") -> Plate:
    """Return the plate of some turns; with figures where all of them are one knob or one pair."""
    fitted = adjusters(state.described_car)
    first = fitted[turns[0].adjuster]
    names = {(fitted[turn.adjuster].axle, fitted[turn.adjuster].name) for turn in turns}
    ways = {(turn.before, turn.after) for turn in turns}
    if len(names) > 1 or len(turns) > 2:
        more = len(turns) - MOST_TURNS
        rows = [turn_line(state, turn).replace(" -> ", " → ") for turn in turns[:MOST_TURNS]]
        rows += [f"and {more} more, all on w"] if more > 0 else []
        every_knob = all(fitted[turn.adjuster].part == "knob" for turn in turns)
        many = f"{len(turns)} {'TURNS' if every_knob else 'STEPS'}"
        return Plate(kind, title or many, below=tuple(rows))
    turn = turns[0]
    firmer = (turn.after - turn.before) * first.up(True) > 0
    amount = _amount(state, first, turn, firmer)
    if len(ways) > 1:
        sides = [f"{fitted[t.adjuster].place.split()[0]} {_way(first, t)}" for t in turns]
        says = (amount, ", ".join(sides), spoken(state, first.way(firmer)))
        return Plate(kind, _named(state, first, title), says=tuple(filter(None, says)))
    before, after = (first.show(value).split(" ")[0] for value in (turn.before, turn.after))
    if first.positions or first.part == "knob":
        before, after = first.show(turn.before), first.show(turn.after)
    says = (amount, _sides(first, turns), spoken(state, first.way(firmer)))
    return Plate(kind, _named(state, first, title), before, after, tuple(filter(None, says)))


def stays_plate(state: State, turns: list[Turn], title: str) -> Plate:
    """Return the plate of turns that stay: where each stands, and no word of an order."""
    plate = turns_plate(state, turns, "done", title)
    if not plate.after:
        return plate
    sides = ", both sides" if len(turns) > 1 else ""
    return Plate(
        "done", plate.head, below=(f"it stays at {plate.after}{sides}; was {plate.before}",)
    )


def _way(one: Adjuster, turn: Turn) -> str:
    return f"{one.show(turn.before)} → {one.show(turn.after)}"


def _named(state: State, one: Adjuster, title: str) -> str:
    """Name the knob with its axle, behind what else is said of it."""
    name = one.name if not one.place or one.name.startswith(one.axle) else f"{one.axle} {one.name}"
    named = spoken(state, name).upper()
    return f"{title}: {named}" if title else named


def _amount(state: State, one: Adjuster, turn: Turn, firmer: bool) -> str:
    steps = one.show_steps((turn.after - turn.before) / one.step)
    return f"{steps} {spoken(state, one.direction_word(firmer))}".upper()


def _sides(one: Adjuster, turns: list[Turn]) -> str:
    if one.part != "knob":
        return ""
    return "BOTH SIDES" if len(turns) > 1 else f"{one.place.split()[0]} side only".upper()


class LaidRows(NamedTuple):
    """The rows of an advice, label and text; `whole`: every line stands there, if cut."""

    rows: tuple[tuple[str, str], ...]
    whole: bool


def laid_out(lines: tuple[Labelled, ...], width: int, most: int = MOST_LINES) -> LaidRows:
    """Lay the lines out in at most so many rows, where cutting and leaving out allow.

    What goes is told on `w`: first the order of the faults, then clauses, then whole lines.
    """
    for kept in _shorter(lines):
        rows = [row for one in kept for row in _wrapped(one, width)]
        if len(rows) <= most:
            break
    return LaidRows(
        tuple(rows), all(one.late == ORDER or one.label in _labels(rows) for one in lines)
    )


def _labels(rows: list[tuple[str, str]]) -> set[str]:
    return {label for label, _ in rows}


def _shorter(lines: tuple[Labelled, ...]) -> Iterator[list[Labelled]]:
    yield list(lines)
    kept = [one for one in lines if one.late != ORDER]
    yield kept
    for late in (1, 2, 3):
        kept = [
            Labelled(one.label, one.cut, "", one.late) if one.late == late and one.cut else one
            for one in kept
        ]
        yield kept
    for late in (4, 1, 2, 3):
        kept = [one for one in kept if one.late != late]
        yield kept


def _wrapped(line: Labelled, width: int) -> list[tuple[str, str]]:
    rows = wrapped(line.text, width - LABEL) or ("",)
    return [(line.label if number == 0 else "", row) for number, row in enumerate(rows)]


def as_content(rows: Iterable[tuple[str, str]]) -> Content:
    """Return the rows, labels in their own colour."""
    return Content("\n").join(
        Content.assemble((f"{label:<{LABEL}}", "$label"), text) for label, text in rows
    )
