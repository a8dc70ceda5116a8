"""The log as a page to read: every pass with what was said of it, and what was recorded beside."""

from collections.abc import Iterator, Sequence
from textwrap import wrap

from profiles.snapshot import cooled
from rules.book import Book
from rules.car.values import differences
from rules.crew.correctable import prompt_of
from rules.crew.doubted_time import LABELS
from rules.crew.measured import KINDS, told
from rules.crew.overriding import OVERRIDE_REASONS
from rules.crew.sheets.all import SHEETS
from rules.log import conditions
from rules.log.changes import Change
from rules.log.events.advice import (
    AdviceGiven,
    AdviceSettled,
    LearntAfresh,
    Overridden,
    WorthDeclared,
)
from rules.log.events.car import BaselineDeclared, CarDescribed, PairSettled, Recounted
from rules.log.events.changes import (
    ChangeProposed,
    ChangeTakenUp,
    ChangeWithdrawn,
    PartChange,
    TurnDone,
)
from rules.log.events.event import Body, Event
from rules.log.events.lists import DamageReported, ItemTicked
from rules.log.events.meeting import CallTimeGiven, MeetingOpened, NoteAdded, SessionChanged
from rules.log.events.passes import (
    Answered,
    AnswerTakenBack,
    ConditionsNoted,
    Measured,
    PassImported,
    PassRun,
    SlipNoted,
)
from rules.log.events.sheets import SheetClosed, SheetContinued
from rules.log.events.whole_log import LogsMerged, RecordTakenBack, Unread
from rules.log.merge import replayed
from rules.log.other_parts import other_parts
from rules.log.rounds import in_one_line
from rules.log.standing import setting_text
from rules.log.state import Run, State
from rules.moments import day_and_clock, offsets
from rules.passes.slip_entry import told as told_slip
from rules.question import UNKNOWN, Prompt
from rules.wording import plural
from tui.desk import Desk
from tui.lines import WIDTH, doubted_text, label_of, labelled, spoken, system, work_lines
from tui.pages import dampers
from tui.pages.log_rows import photographs
from tui.visible import visible

MARKS = {"ok": "ok", "fault": "BAD", "not fitted": "not fitted"}
PAIR = {
    "put right": "put right to its other side",
    "keep": "the split is meant",
    "later": "the split is asked about after the next pass",
}
TOLD_BY_THEMSELVES = (
    PassRun,
    Answered,
    AnswerTakenBack,
    ConditionsNoted,
    Measured,
    ItemTicked,
    AdviceGiven,
    AdviceSettled,
    ChangeProposed,
    PartChange,
    TurnDone,
    NoteAdded,
    MeetingOpened,
    SessionChanged,
    CallTimeGiven,
    BaselineDeclared,
    WorthDeclared,
    DamageReported,
)
"""What stands on the page of a pass without a look at the state of then."""
Section = list[tuple[Event, State, State]]


def log_page(desk: Desk) -> list[str]:
    """Return the log pass by pass, the newest first, and what came before the first one."""
    events = desk.log.whole()
    told: list[list[str]] = []
    for run_id, section in _sections(desk, events):
        rows = _run_lines(desk.state, desk.book, desk.state.run(run_id)) if run_id else []
        for label, text in _beside(desk, section):
            rows += labelled(label, text)
        told.append([*rows, ""])
    if len(told) > 1:
        told[0].insert(0, "Before the first pass:")
    newest_first = (row for rows in reversed(told) for row in rows)
    return [*_left_out(desk.state), *newest_first, offsets(event.at for event in events)]


def pass_page(desk: Desk, run_id: str) -> list[str]:
    """Return all that is known of one pass, and what was recorded until the next one.

    run_id: empty for what came before the first pass.
    """
    head = _run_lines(desk.state, desk.book, desk.state.run(run_id)) if run_id else []
    section = _told_by_itself(desk, run_id)
    if section is None:
        sections = _sections(desk, desk.log.whole())
        section = next(section for of, section in sections if of == run_id)
    rows = [row for part in _beside(desk, section) for row in labelled(*part)]
    return [*head, *rows]


def _left_out(state: State) -> list[str]:
    """Return what a merge brought in that fits nothing before it: kept, but without effect."""
    if not state.unfitting:
        return []
    whence = "From a merge" if not state.unread else "Of a merge or a newer Setdown"
    rows = [f"{whence}, kept in the log but left out of the state, because it does not fit:"]
    for one in state.unfitting:
        event = one.event
        rows += labelled("", visible(f"{day_and_clock(event.at)} {event.body.kind}: {one.why}"))
    return [*rows, ""]


def _told_by_itself(desk: Desk, run_id: str) -> Section | None:
    """Return the section of a pass that needs no state of then, so that no log is folded for it.

    None where something in it does, or the events do not lie in the order in which they are read.
    """
    events = desk.log.from_pass(run_id)
    slips = [event.body for event in events if isinstance(event.body, SlipNoted)]
    if len(slips) > 1 or any(one.run != run_id for one in slips):
        return None
    # The first slip of a pass stands on its page already.
    rest = [event for event in events if not isinstance(event.body, SlipNoted)]
    if not rest or any(type(event.body) not in TOLD_BY_THEMSELVES for event in rest):
        return None
    return [(event, desk.state, desk.state) for event in rest]


def _sections(desk: Desk, events: Sequence[Event]) -> Iterator[tuple[str, Section]]:
    """Yield each event with the state before and after it, by the pass it follows, in order.

    One section at a time, because the states of all of them would be kept otherwise.
    """
    runs = desk.state.runs
    now, section = "", Section()
    unfitting = {one.event.id for one in desk.state.unfitting}
    for event, before, after in replayed(events, cooled):
        if isinstance(event.body, PassRun) and runs.find(event.body.run) is not None:
            yield now, section
            now, section = event.body.run, []
        if event.id not in unfitting:
            section.append((event, before, after))
    yield now, section


def _run_lines(state: State, book: Book, run: Run) -> list[str]:
    recounted = ", ".join(label_of(state, key) for key in run.in_doubt)
    doubt = f" - IN DOUBT after a recount of {recounted}" if recounted else ""
    head = f"Pass {run.number}  {day_and_clock(run.at)}  {run.session or ''}{doubt}"
    rows = wrap(head, WIDTH)
    if run.conditions is not None:
        rows += labelled("", "; ".join(conditions.shown(run.conditions)))
    for key, value in run.answers.items():
        answer = f"{_question(state, book, run, key)} {_worded(state, book, run, key, value)}"
        rows += labelled("", spoken(state, answer))
    if run.slip is not None:
        rows += labelled(" Slip", told_slip(run.slip, system(state)))
    for body in run.measured.values():
        words = f"{KINDS[body.what].name}: {told(body, state.described_car)}"
        rows += labelled(" Measured", spoken(state, words))
    if run.advice is not None:
        rows += labelled(" Advice", spoken(state, run.advice.title))
    return rows


def _question(state: State, book: Book, run: Run, key: str) -> str:
    try:
        return prompt_of(state, book, run, key).question
    except KeyError:
        return LABELS.get(key, key)


def _worded(state: State, book: Book, run: Run, key: str, value: object) -> str:
    try:
        prompt = prompt_of(state, book, run, key)
    except KeyError:
        prompt = Prompt(key, key)
    labels = {choice.id: choice.label for choice in prompt.choices} | {UNKNOWN: prompt.blank}
    values = value if isinstance(value, tuple) else (value,)
    return "; ".join(labels.get(str(one), str(one)) for one in values)


def _beside(desk: Desk, section: Section) -> Iterator[tuple[str, str]]:
    """Yield label and text of all that was recorded after a pass began."""
    for label, text in _inspections(desk.book, [event.body for event, _, _ in section]):
        yield label, spoken(desk.state, text)
    yield from _imports([event.body for event, _, _ in section])
    for event, before, after in section:
        if isinstance(event.body, ChangeProposed | PartChange):
            for label, text in _change_parts(desk.state, desk.state.change(event.body.change)):
                yield label, spoken(desk.state, text)
            continue
        label, ours, typed = _told(desk, event.body, before, after)
        if label:
            words = spoken(desk.state, ours) + visible(typed)
            yield label, f"{day_and_clock(event.at)} {words}"


def _told(desk: Desk, body: Body, before: State, after: State) -> tuple[str, str, str]:
    """Return the label of an event, its text, and what the crew typed, which stays as typed.

    There is no label where the pass or its change tells it.
    """
    match body:
        case CarDescribed():
            changed = differences(before.car, body.car) if before.car else []
            typed = "" if changed else body.car.name
            return " Car file", "; ".join(changed), typed
        case MeetingOpened():
            return " Event", "", body.name
        case SessionChanged():
            return " Session", body.session, ""
        case CallTimeGiven():
            minutes = "no call time" if body.minutes is None else f"{body.minutes} min from then"
            return " Call", minutes, ""
        case BaselineDeclared():
            return " Baseline", "", body.name
        case SheetContinued():
            return " Shop", f"{_sheet_name(body.sheet)}: the last one is corrected.", ""
        case SheetClosed():
            stopped = " ".join(map(in_one_line, body.stops.values()))
            return (
                " Shop",
                f"{_sheet_name(body.sheet)}: finished. {stopped}",
                photographs(after, body),
            )
        case DamageReported():
            return " Damage", _found(desk.book, body.found), ""
        case Recounted():
            return " Recount", _recount_text(body, before, after), ""
        case PairSettled():
            return " Pair", f"{label_of(after, body.adjuster)}: {PAIR[body.choice]}", ""
        case ChangeWithdrawn():
            return " Off", f"{before.change(body.change).title}: {body.why}", ""
        case ChangeTakenUp():
            return " Open", f"{before.change(body.change).title}: {_taken_up(body)}", ""
        case RecordTakenBack():
            return " Off", *_taken_back(body, before)
        case Overridden():
            past = before.change(body.change).title if body.change else "the control pass"
            typed = f" {body.text}" if body.text else ""
            return " Override", f"{past}: {_reason(body.reason)}.", typed
        case NoteAdded():
            return " Note", "", body.text
        case WorthDeclared():
            return " Worth", f"{body.gain_s:.3f} s of 60-foot for changes from here on", ""
        case LearntAfresh():
            again = "taken back: the passes before it teach it again"
            said = again if body.taken_back else "begun afresh: no pass before this teaches it"
            return " Learnt", said, ""
        case SlipNoted() if desk.state.runs.find(body.run) is None:
            return " Slip", f"of a pass struck out: {told_slip(body.slip, system(before))}", ""
        case SlipNoted() if before.run(body.run).slip is not None:
            number = before.run(body.run).number
            return " Slip", f"of pass {number} corrected; it had: {_slip_before(before, body)}", ""
        case Unread():
            return " Unread", "", f"{body.found} (version {body.found_version}), by a newer Setdown"
        case LogsMerged():
            return " Merge", _merge_text(after, body), ""
        case _:
            return *dampers.told(body, after), ""


def _taken_up(body: ChangeTakenUp) -> str:
    """Say why a change waits for its pass again."""
    if body.after:
        return f"not whole and alone on any pass up to {body.after}, so it waits for one"
    return "nothing lies on top of it any more, so it waits for its pass again"


def _taken_back(body: RecordTakenBack, before: State) -> tuple[str, str]:
    """Say what was taken back, and what of it the crew had typed."""
    match body.record:
        case "meeting":
            name = before.meeting.name if before.meeting else ""
            return "the event begun is taken back: ", name
        case "note":
            notes = [one.text for one in before.notes if one.at.isoformat() == body.of]
            return "the note is taken back: ", notes[-1] if notes else ""
        case "list":
            return f"the ticks of a list are taken back: {body.part}", ""
        case "pair":
            return f"asked again about the split: {label_of(before, body.of)}", ""
        case "recount":
            return f"the recount is taken back: {label_of(before, body.of)}", ""
        case what:
            words = {"slip": "the slip", "conditions": "lane, air and track"}.get(what, body.part)
            return f"{words} of pass {before.run(body.of).number}: taken back", ""


def _slip_before(before: State, body: SlipNoted) -> str:
    slip = before.run(body.run).slip
    return told_slip(slip, system(before)) if slip else ""


def _merge_text(state: State, body: LogsMerged) -> str:
    counts = [
        f"{label_of(state, key)} {setting_text(state, key, ours)} here, "
        f"{setting_text(state, key, theirs)} there: recount"
        for key, (ours, theirs) in body.counts.items()
    ]
    return "; ".join(["another log of this car was taken in", *counts])


def _recount_text(body: Recounted, before: State, after: State) -> str:
    booked = before.settings.get(body.adjuster)
    found = setting_text(after, body.adjuster, body.found)
    had = "" if booked is None else f", the book had {setting_text(before, body.adjuster, booked)}"
    return f"{label_of(after, body.adjuster)}: {found}{had}.{doubted_text(before, after)}"


def _found(book: Book, found: str) -> str:
    labels = {choice.id: choice.label for choice in book.prompts["found"].choices}
    return {**labels, UNKNOWN: "Don't know"}.get(found, found)


def _imports(bodies: list[Body]) -> Iterator[tuple[str, str]]:
    """Yield how many passes were imported from each file."""
    files = [body.file for body in bodies if isinstance(body, PassImported)]
    for file in dict.fromkeys(files):
        yield " Imported", visible(f"{plural(files.count(file), 'slip')} of {file}, as history")


def _inspections(book: Book, bodies: list[Body]) -> Iterator[tuple[str, str]]:
    """Yield each list that was ticked, with the items of each mark; a mark changed tells both."""
    lists: dict[str, dict[str, list[str]]] = {}
    for body in bodies:
        if isinstance(body, ItemTicked):
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
    other = other_parts(state, change) if change.verdict else ""
    aside += f", set aside: {other.rstrip('.')}" if other else ""
    doubt = ", in doubt" if change.in_doubt else ""
    yield " Change", f"{change.title}: {change.status}{verdict}{aside}{doubt}"
    yield from (("", row) for row in work_lines(state, change))


def _reason(key: str) -> str:
    return {**OVERRIDE_REASONS, "other": "other"}.get(key, key)


def _sheet_name(sheet: str) -> str:
    return SHEETS[sheet].name if sheet in SHEETS else sheet
