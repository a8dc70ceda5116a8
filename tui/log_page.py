"""The log as a page to read: every pass with what was said of it, and what was recorded beside."""

from collections.abc import Iterator
from textwrap import wrap

from rules import events as ev
from rules import readings
from rules.actions import OVERRIDE_REASONS
from rules.book import Book
from rules.book.schema import UNKNOWN
from rules.changes import Change
from rules.fold import apply
from rules.measured import KINDS, told
from rules.shop.car_values import differences
from rules.shop.sheets import SHEETS
from rules.state import Run, State
from rules.stored import prompt_of
from tui.desk import Desk
from tui.lines import WIDTH, doubted_text, label_of, labelled, setting_text, spoken, work_lines
from tui.visible import visible

MARKS = {"ok": "ok", "fault": "BAD", "not fitted": "not fitted"}
PAIR = {
    "put right": "put right to its other side",
    "keep": "the split is meant",
    "later": "the split is asked about after the next pass",
}
Section = list[tuple[ev.Event, State, State]]


def log_page(desk: Desk) -> list[str]:
    """Return the log pass by pass, the newest first, and what came before the first one."""
    rows: list[str] = []
    for run_id, section in reversed(_sections(desk).items()):
        if run_id:
            rows += _run_lines(desk.state, desk.book, desk.state.run(run_id))
        elif rows:
            rows.append("Before the first pass:")
        for label, text in _beside(desk, section):
            rows += labelled(label, text)
        rows.append("")
    return rows


def _sections(desk: Desk) -> dict[str, Section]:
    """Return each event with the state before and after it, by the pass it follows."""
    run_ids = {run.id for run in desk.state.runs}
    sections: dict[str, Section] = {"": []}
    now, state = "", State()
    for event in desk.log.events():
        before, state = state, apply(state, event)
        if isinstance(event.body, ev.PassRun) and event.body.run in run_ids:
            now = event.body.run
            sections[now] = []
        sections[now].append((event, before, state))
    return sections


def _run_lines(state: State, book: Book, run: Run) -> list[str]:
    recounted = ", ".join(label_of(state, key) for key in run.in_doubt)
    doubt = f" - IN DOUBT after a recount of {recounted}" if recounted else ""
    head = f"Pass {run.number}  {run.at:%m-%d %H:%M}  {run.session or ''}{doubt}"
    rows = wrap(head, WIDTH)
    if run.conditions is not None:
        rows += labelled("", "; ".join(readings.shown(run.conditions)))
    for key, value in run.answers.items():
        answer = f"{_question(state, book, run, key)} {_worded(state, book, run, key, value)}"
        rows += labelled("", spoken(state, answer))
    for body in run.measured.values():
        assert state.car is not None
        words = f"{KINDS[body.what].name}: {told(body, state.car)}"
        rows += labelled(" Measured", spoken(state, words))
    if run.advice is not None:
        rows += labelled(" Advice", spoken(state, run.advice.title))
    return rows


def _question(state: State, book: Book, run: Run, key: str) -> str:
    try:
        return prompt_of(state, book, run, key).question
    except KeyError:
        return key


def _worded(state: State, book: Book, run: Run, key: str, value: object) -> str:
    try:
        labels = {choice.id: choice.label for choice in prompt_of(state, book, run, key).choices}
    except KeyError:
        labels = {}
    labels[UNKNOWN] = "Don't know"
    values = value if isinstance(value, tuple) else (value,)
    return "; ".join(labels.get(str(one), str(one)) for one in values)


def _beside(desk: Desk, section: Section) -> Iterator[tuple[str, str]]:
    """Yield label and text of all that was recorded after a pass began."""
    for label, text in _inspections(desk.book, [event.body for event, _, _ in section]):
        yield label, spoken(desk.state, text)
    for event, before, after in section:
        if isinstance(event.body, ev.ChangeProposed):
            for label, text in _change_parts(desk.state, desk.state.change(event.body.change)):
                yield label, spoken(desk.state, text)
            continue
        label, ours, typed = _told(desk, event.body, before, after)
        if label:
            words = spoken(desk.state, ours) + visible(typed)
            yield label, f"{event.at:%m-%d %H:%M} {words}"


def _told(desk: Desk, body: ev.Body, before: State, after: State) -> tuple[str, str, str]:
    """Return the label of an event, its text, and what the crew typed, which stays as typed.

    There is no label where the pass or its change tells it.
    """
    match body:
        case ev.CarDescribed():
            changed = differences(before.car, body.car) if before.car else []
            typed = "" if changed else body.car.name
            return " Car file", "; ".join(changed), typed
        case ev.MeetingOpened():
            return " Meeting", "", body.name
        case ev.SessionChanged():
            return " Session", body.session, ""
        case ev.CallTimeGiven():
            minutes = "no call time" if body.minutes is None else f"{body.minutes} min from then"
            return " Call", minutes, ""
        case ev.BaselineDeclared():
            return " Baseline", "", body.name
        case ev.SheetClosed():
            stopped = " ".join(body.stops.values())
            name = SHEETS[body.sheet].name if body.sheet in SHEETS else body.sheet
            return " Shop", f"{name}: finished. {stopped}".rstrip(), ""
        case ev.DamageReported():
            return " Damage", _found(desk.book, body.found), ""
        case ev.Recounted():
            return " Recount", _recount_text(body, before, after), ""
        case ev.PairSettled():
            return " Pair", f"{label_of(after, body.adjuster)}: {PAIR[body.choice]}", ""
        case ev.ChangeWithdrawn():
            return " Off", f"{before.change(body.change).title}: {body.why}", ""
        case ev.Overridden():
            past = before.change(body.change).title if body.change else "the control pass"
            typed = f" {body.text}" if body.text else ""
            return " Override", f"{past}: {_reason(body.reason)}.", typed
        case ev.NoteAdded():
            return " Note", "", body.text
        case _:
            return "", "", ""


def _recount_text(body: ev.Recounted, before: State, after: State) -> str:
    booked = before.settings.get(body.adjuster)
    found = setting_text(after, body.adjuster, body.found)
    had = "" if booked is None else f", the book had {setting_text(before, body.adjuster, booked)}"
    return f"{label_of(after, body.adjuster)}: {found}{had}.{doubted_text(before, after)}"


def _found(book: Book, found: str) -> str:
    labels = {choice.id: choice.label for choice in book.prompts["found"].choices}
    return {**labels, UNKNOWN: "Don't know"}.get(found, found)


def _inspections(book: Book, bodies: list[ev.Body]) -> Iterator[tuple[str, str]]:
    """Yield each list that was ticked, with the items of each mark; a mark changed tells both."""
    lists: dict[str, dict[str, list[str]]] = {}
    for body in bodies:
        if isinstance(body, ev.ItemTicked):
            marks = lists.setdefault(body.inspection, {}).setdefault(body.item, [])
            if MARKS[body.mark] not in marks[-1:]:  # One tick may serve several reasons.
                marks.append(MARKS[body.mark])
    for inspection, items in lists.items():
        text = book.inspections.get(inspection)
        labels = {item.id: item.label for item in text.items} if text else {}
        by_mark: dict[str, list[str]] = {}
        for item, marks in items.items():
            by_mark.setdefault(", then ".join(marks), []).append(labels.get(item, item))
        yield " Checked", text.title if text else inspection
        yield from (("", f"{mark}: {'; '.join(which)}") for mark, which in by_mark.items())


def _change_parts(state: State, change: Change) -> Iterator[tuple[str, str]]:
    verdict = f", {change.verdict}" if change.verdict else ""
    aside = f", set aside: {_reason(change.set_aside)}" if change.set_aside else ""
    doubt = ", in doubt" if change.in_doubt else ""
    yield " Change", f"{change.title}: {change.status}{verdict}{aside}{doubt}"
    yield from (("", row) for row in work_lines(state, change))


def _reason(key: str) -> str:
    return {**OVERRIDE_REASONS, "other": "other"}.get(key, key)
