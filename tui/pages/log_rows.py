"""The log as rows: one for each pass, change, note and record, found by words and sorted.

A row is made from the fold and from what the event says of itself, so a row costs no replay.
"""

import re
from collections.abc import Callable, Iterable, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import Any

from rules.advice.timed_passes import is_counted
from rules.book import Book
from rules.crew.sheets.all import SHEETS
from rules.crew.sheets.fitting import PHOTOS
from rules.log.changes import Change
from rules.log.events.advice import LearntAfresh, Overridden, WorthDeclared
from rules.log.events.car import BaselineDeclared, CarDescribed, PairSettled, Recounted
from rules.log.events.changes import ChangeProposed, PartChange
from rules.log.events.event import Body, Event
from rules.log.events.lists import DamageReported, ItemTicked
from rules.log.events.meeting import CallTimeGiven, MeetingOpened, NoteAdded, SessionChanged
from rules.log.events.passes import PassImported, PassRun, SlipNoted
from rules.log.events.sheets import SheetClosed, SheetContinued
from rules.log.events.whole_log import LogsMerged, RecordTakenBack, Unread
from rules.log.said import GOOD, confounders, named_symptoms, verdict_on
from rules.log.standing import known, setting_text
from rules.log.state import Run, State
from rules.moments import clock, day_and_clock
from rules.once import once_for_each
from rules.passes.slip_entry import told as told_slip
from rules.question import UNKNOWN
from tui.lines import label_of, spoken, system
from tui.pages import dampers
from tui.photographs import shown
from tui.visible import visible

LEFT_OUT = ("×", "left out", "")
VERDICTS = {
    "gone": ("■", "cured", "done"),
    "better": ("■", "better", "done"),
    "same": ("·", "no change", ""),
    "worse": ("▲", "worse", "danger"),
    "other": ("▲", "other fault", "danger"),
}
OPEN = {
    "proposed": "to make",
    "part-applied": "half made",
    "applied": "wants a pass",
    "run": "to judge",
}


@dataclass(frozen=True)
class LogRow:
    """One line of the log.

    run: the pass it is, or that it followed; empty before the first.
    kind: "pass", "change", "note" or "record".  mark, word, role: the outcome as a shape, a word
    and the theme's colour for it.  place: how late it stands in the log.
    """

    key: str
    kind: str
    run: str
    at: datetime
    when: str
    what: str
    number: str = ""
    sixty: str = ""
    mark: str = ""
    word: str = ""
    role: str = ""
    place: int = field(default=0, compare=False)

    @property
    def outcome(self) -> str:
        """The outcome as it is read."""
        return f"{self.mark} {self.word}".strip()

    @cached_property
    def told(self) -> str:
        """All that can be searched: its words and numbers, a blank before each."""
        name = f"pass {self.number}" if self.number else self.kind
        words = words_of(" ".join((name, self.when, self.sixty, self.what, self.word)))
        return "".join(f" {word}" for word in words)

    def has(self, words: Sequence[str]) -> bool:
        """Tell whether each of some words begins a word or a number of the row."""
        return all(f" {word}" in self.told for word in words)


def words_of(text: str) -> list[str]:
    """Return the words and numbers of a text as they are searched."""
    return [word for word in re.split(r"[^\w.:]+", text.lower()) if word]


@dataclass(frozen=True)
class Found:
    """The rows of a window, how many match, and how many there are."""

    rows: tuple[LogRow, ...]
    hits: int
    total: int


SORTS: dict[str, Callable[[LogRow], Any]] = {
    "when": lambda row: row.place,
    "pass": lambda row: int(row.number or 0),
    "60-ft": lambda row: float(row.sixty or "inf"),
    "what": lambda row: row.what.lower(),
    "outcome": lambda row: row.word or "~",
}
"""The ways to sort, by column; "when", the newest first, is the log's own order."""


def found(every: Sequence[LogRow], window: slice, query: str = "", sort: str = "when") -> Found:
    """Return the rows of a window: those with every word of a query, in the order asked for."""
    words = words_of(query)
    hits = [row for row in every if row.has(words)] if words else list(every)
    if sort == "pass":
        hits = [row for row in hits if row.number]
    if sort == "when":
        hits.reverse()
    else:
        hits.sort(key=SORTS[sort], reverse=sort == "pass")
    return Found(tuple(hits[window]), len(hits), len(every))


def rows_of(
    state: State,
    book: Book,
    events: Iterable[tuple[int, Event]],
    notes: Set[tuple[str, datetime]],
) -> list[LogRow]:
    """Return the rows of some events with their places; `notes` are those that stand."""
    unfitting = {one.event.id: one.why for one in state.unfitting}
    today = state.now.date() if state.now else None
    rows: list[LogRow] = []
    now = ""
    told_lists: set[str] = set()
    for place, event in events:
        body = event.body
        when = clock(event.at) if event.at.date() == today else day_and_clock(event.at)
        plain = LogRow(str(event.id), "record", now, event.at, when, "", place=place)
        if event.id in unfitting:
            what = f"left out, does not fit: {body.kind}: {unfitting[event.id]}"
            rows.append(replace(plain, what=visible(what)))
        elif isinstance(body, PassRun) and (run := state.runs.find(body.run)) is not None:
            now = run.id
            rows.append(_pass_row(state, book, run, plain))
        elif isinstance(body, ChangeProposed | PartChange) and (
            (change := state.changes.find(body.change)) is not None
        ):
            rows.append(_change_row(state, change, plain))
        elif isinstance(body, NoteAdded):
            mark, word = ("", "") if (body.text, event.at) in notes else ("×", "taken back")
            what = f"“{visible(body.text)}”"
            rows.append(replace(plain, kind="note", what=what, mark=mark, word=word))
        elif what := _recorded(state, book, body):
            if isinstance(body, ItemTicked):
                plain = replace(plain, key=f"{body.inspection}, {body.reason}")
                if plain.key in told_lists:
                    continue
                told_lists.add(plain.key)
            rows.append(replace(plain, what=what))
    return rows


@once_for_each(1)
def _undone(state: State) -> frozenset[str]:
    """Return the changes that a put-back undid."""
    told = state.changes.told("undoes", lambda part: "\n".join(k for c in part for k in c.undoes))
    return frozenset(key for keys in told for key in keys.split("\n"))


def _pass_row(state: State, book: Book, run: Run, plain: LogRow) -> LogRow:
    names = [
        "good" if one == GOOD else book.symptoms[one].name
        for one in named_symptoms(state, run)
        if one == GOOD or one in book.symptoms
    ]
    marks = sorted(run.slip.marks) if run.slip else []
    what = spoken(state, ", ".join([*names, *marks]) or "nothing said yet")
    mark, word, role = VERDICTS.get(verdict_on(state, run), ("", "", ""))
    if run.in_doubt:
        mark, word, role = "×", "in doubt", ""
    elif not is_counted(run):
        mark, word, role = LEFT_OUT
    sixty = "" if run.sixty_s is None else f"{run.sixty_s:.3f}"
    told = replace(plain, kind="pass", key=run.id, run=run.id, what=what, number=str(run.number))
    return replace(told, sixty=sixty, mark=mark, word=word, role=role)


def _change_row(state: State, change: Change, plain: LogRow) -> LogRow:
    mark, word, role = change_outcome(state, change)
    told = replace(plain, kind="change", key=change.id, what=change_words(state, change))
    return replace(told, mark=mark, word=word, role=role)


def change_words(state: State, change: Change) -> str:
    """Say a change by what was turned from where to where, a pair that moved alike once."""
    if change.part is not None:
        return spoken(state, change.title)
    turns = [step.turn for step in change.steps]
    told = moved_words(state, [(turn.adjuster, turn.before, turn.after) for turn in turns])
    return f"put back: {told}" if change.origin == "put back" else told


def moved_words(state: State, moved: Sequence[tuple[str, float, float]]) -> str:
    """Say which adjusters went from where to where, a pair that moved alike once."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for key, start, end in moved:
        one = known(state, key)
        name = f"{one.axle} {one.name}".strip() if one else key
        before, after = (setting_text(state, key, number) for number in (start, end))
        groups.setdefault((name, before, after), []).append(label_of(state, key))
    told = []
    for (name, before, after), labels in groups.items():
        both = len(labels) > 1
        told.append(f"{name if both else labels[0]} {before} → {after}{', both' if both else ''}")
    return spoken(state, "; ".join(told))


def change_outcome(state: State, change: Change) -> tuple[str, str, str]:
    """Return what became of a change: a shape, a word and its role."""
    if change.status == "withdrawn":
        undone = change.id in _undone(state)
        return ("▲", "put back", "danger") if undone else ("×", "called off", "")
    if change.in_doubt:
        return ("×", "in doubt", "")
    if change.set_aside:
        return ("×", "set aside", "")
    if change.verdict is not None:
        return VERDICTS.get(change.verdict, ("·", "judged", ""))
    if change.origin == "put back" and not change.is_open:
        return ("■", "made", "done")
    return ("►", OPEN.get(change.status, change.status), "open")


def photographs(state: State, body: SheetContinued | SheetClosed) -> str:
    """Say which photographs were named in a finished round, or nothing."""
    rounds = state.sheets.get(body.sheet, ()) if isinstance(body, SheetClosed) else ()
    said = next((one.answers.get(PHOTOS) for one in rounds if one.number == body.round), None)
    return f"photographs: {shown(said)}" if isinstance(said, str) and said != UNKNOWN else ""


def _recorded(state: State, book: Book, body: Body) -> str:
    """Return the words of a record that is neither a pass nor a change nor a note."""
    told, typed = _words(state, book, body)
    return f"{spoken(state, told)} {visible(typed)}".strip()


def _words(state: State, book: Book, body: Body) -> tuple[str, str]:
    """Return what the program says of a record, and what of it the crew typed."""
    match body:
        case CarDescribed():
            return "car file read", body.car.name
        case MeetingOpened():
            return "event:", body.name
        case SessionChanged():
            return f"session: {body.session}", ""
        case CallTimeGiven():
            left = "no call time" if body.minutes is None else f"call in {body.minutes} min"
            return left, ""
        case BaselineDeclared():
            return "baseline:", body.name
        case SheetContinued() | SheetClosed():
            end = "finished" if isinstance(body, SheetClosed) else "taken up again"
            name = SHEETS[body.sheet].name if body.sheet in SHEETS else body.sheet
            return f"shop, {name}: {end}", photographs(state, body)
        case DamageReported():
            labels = {one.id: one.label for one in book.prompts["found"].choices}
            return f"damage reported: {labels.get(body.found, body.found)}", ""
        case ItemTicked():
            text = book.inspections.get(body.inspection)
            return f"list ticked: {text.title if text else body.inspection}", ""
        case Recounted():
            found = setting_text(state, body.adjuster, body.found)
            return f"recount: {label_of(state, body.adjuster)} at {found}", ""
        case PairSettled():
            return f"left and right apart: {label_of(state, body.adjuster)}: {body.choice}", ""
        case RecordTakenBack():
            return f"taken back: {body.record}", body.part
        case Overridden():
            return f"went on without waiting: {body.reason.replace('-', ' ')}", body.text
        case WorthDeclared():
            return f"worth a change from {body.gain_s:.3f} s of 60-foot", ""
        case LearntAfresh():
            return "what was learnt: " + (
                "kept after all" if body.taken_back else "fresh start"
            ), ""
        case SlipNoted() if state.runs.find(body.run) is None:
            return f"slip of a pass struck out: {told_slip(body.slip, system(state))}", ""
        case PassImported():
            return f"imported slip: {told_slip(body.slip, system(state))}", body.setting
        case Unread():
            return "by a newer Setdown:", body.found
        case LogsMerged():
            return "another log of this car taken in", ""
        case _:
            label, words = dampers.told(body, state)
            return f"{label.strip().lower()}: {words}" if label else "", ""


def spoilt_words(run: Run) -> str:
    """Say why a pass counts for nothing; empty where it counts."""
    if is_counted(run):
        return ""
    marks = sorted(run.slip.marks) if run.slip else []
    why = [*marks, *(one.replace("-", " ") for one in confounders(run))]
    return f"not counted: {', '.join(why) or 'in doubt after a recount'}"
