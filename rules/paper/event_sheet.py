"""The sheet after an event: where the car stands, what was changed, and what came of it."""

from collections.abc import Iterable, Mapping

from rules.advice.decision import follow_up
from rules.advice.safety import gates
from rules.book import Book
from rules.log.changes import Change, Step
from rules.log.other_parts import is_evidence
from rules.log.said import GOOD, named_symptoms
from rules.log.standing import known
from rules.log.state import State
from rules.moments import cell_stamp
from rules.paper.page import PrintedPage, Section
from rules.paper.tables import (
    Cell,
    Table,
    by_column,
    changes_table,
    counts_table,
    passes_table,
    system_of,
)
from rules.paper.verdict_table import judged, word_and_clock
from rules.wording import listed, plural, say

ALWAYS = "pass", "date"
LATEST_PASSES = 60
SHEET_COLUMNS = frozenset(
    {"pass", "date", "lane", "marks", "setting", "with change", "symptoms", "in doubt"}
)


def event_sheet(state: State, book: Book) -> PrintedPage:
    """Return one page to print after an event, or to take to the next."""
    baseline = state.baseline.name if state.baseline else "none"
    lines = (
        f"Event: {state.meeting.name if state.meeting else 'none'}",
        f"Baseline in force: {baseline}",
        f"In the log: {_passes(len(state.runs))}, {plural(len(state.changes), 'change')}; "
        f"imported as history: {_passes(len(state.imported))}",
    )
    # Only the words are kept: what is known of a change is large.
    changes = state.one_by_one(state.changes)
    words = {one.id: word_and_clock(state, one, judged(state, book, one)) for one in changes}
    return PrintedPage(
        f"{state.described_car.name}: event sheet",
        lines,
        (
            Section("Where the car stands", _standing_lines(state), (counts_table(state),)),
            Section("Every change and its verdict", _change_lines(state), _changes(state, words)),
            Section("What each knob did", _knob_lines(state, words)),
            _passes_section(state, book),
            Section("What to try next time", _next_lines(state, book)),
            Section(
                "Cautions",
                tuple(
                    say(text, system_of(state))
                    for text in (
                        gates.ALWAYS_WITH_ADVICE,
                        *gates.ALWAYS_IN_WORK,
                        *gates.ALWAYS_BEFORE_PASS,
                        gates.ALWAYS_AFTER_INSPECTION,
                    )
                ),
            ),
        ),
    )


def _passes(count: int) -> str:
    return f"{count} pass" if count == 1 else f"{count} passes"


def _standing_lines(state: State) -> tuple[str, ...]:
    off = [
        key
        for key, goal in (state.baseline.settings if state.baseline else {}).items()
        if state.settings.get(key, goal) != goal
    ]
    lines = [f"{len(off)} off the baseline." if off else "All at the baseline."]
    if state.to_recount:
        lines.append(f"To be counted by hand first: {_labels(state, state.to_recount)}.")
    if state.open_change is not None:
        title = say(state.open_change.title, system_of(state))
        lines.append(f"Still open: {title} ({state.open_change.status}).")
    return tuple(lines)


def _labels(state: State, keys: Iterable[str]) -> str:
    labels = []
    for key in keys:
        one = known(state, key)
        labels.append(say(one.label if one else key, system_of(state)))
    return listed(labels)


def _changes(state: State, words: Mapping[str, str]) -> tuple[Table, ...]:
    told: dict[Cell, str] = {
        number: words[change.id] for number, change in enumerate(state.changes, 1) if change.runs
    }
    rows = tuple(
        (
            row["change"],
            row["title"],
            row["adjuster"],
            row["from"],
            row["now"],
            told.get(row["change"]) or row["status"],
        )
        for row in by_column(changes_table(state))
    )
    header = ("change", "title", "adjuster", "from", "to", "verdict")
    return (Table(header, rows),) if rows else ()


def _change_lines(state: State) -> tuple[str, ...]:
    return () if state.changes else ("None was made.",)


def _knob_lines(state: State, words: Mapping[str, str]) -> tuple[str, ...]:
    """Say of each adjuster, or pair, that was turned what came of each turn, in order."""
    told: dict[str, list[str]] = {}
    for change in state.changes:
        if change.origin == "put back":
            continue
        if change.part is not None:
            told.setdefault(change.part.where, []).append(
                f"{change.part.after or 'changed'}: {words[change.id]}"
            )
        moved = [step for step in change.steps if step.moved]
        pair = len(moved) == 2 and _alike(state, *moved)
        for step in moved[:1] if pair else moved:
            one = known(state, step.turn.adjuster)
            if one is None:
                continue
            way = one.direction_word(step.moved * one.up(True) > 0)
            name = f"{one.axle} {one.name}, both sides" if pair else one.label
            text = f"{one.show_steps(step.moved / one.step)} {way}: {words[change.id]}"
            told.setdefault(name, []).append(text)
    lines = [f"{name}: {'; '.join(texts)}." for name, texts in told.items()]
    return tuple(say(line, system_of(state)) for line in lines) or ("Nothing was changed.",)


def _alike(state: State, first: Step, second: Step) -> bool:
    """Tell whether two steps moved the sides of a pair by the same number."""
    one = known(state, first.turn.adjuster)
    partner = one.partner if one else None
    return partner == second.turn.adjuster and first.moved == second.moved


def _passes_section(state: State, book: Book) -> Section:
    """Return the latest passes, without the columns in which nothing stands."""
    table = passes_table(state)
    rows = table.rows[-LATEST_PASSES:]
    kept = [
        at
        for at, name in enumerate(table.header)
        if name in ALWAYS
        or (
            (name in SHEET_COLUMNS or "[" in name)
            and any(row[at] not in ("", None) for row in rows)
        )
    ]
    names = tuple(table.header[at] for at in kept)
    shown = Table(
        names, tuple(tuple(_short(row[at], table.header[at], book) for at in kept) for row in rows)
    )
    left = len(table.rows) - len(rows)
    lines = (f"The latest {len(rows)}; {left} earlier ones are in the export.",) if left else ()
    return Section("Passes", lines if rows else ("None yet.",), (shown,) if rows else ())


def _short(cell: Cell, name: str, book: Book) -> Cell:
    """Return a cell as printed: dates to the minute, times to the thousandth, symptoms named."""
    if name == "date":
        return cell_stamp(str(cell))
    if name == "symptoms":
        named = (book.symptoms[key].name for key in str(cell).split("; ") if key in book.symptoms)
        return "; ".join(named)
    if name.endswith("[s]") and isinstance(cell, float):
        return f"{cell:.3f}"
    return cell


def _next_lines(state: State, book: Book) -> tuple[str, ...]:
    """Say what to inspect, what is open, what helped and may go on, and what is still seen."""
    system = system_of(state)
    lines = [f"Inspect first: {block.says}" for block in gates.open_blocks(state, book)]
    current = state.current_advice
    if current is not None:
        lines.append(f"The advice that is open: {current.title}.")
    last = _last_judged(state)
    if last is not None:
        lines.append(_after(state, book, last))
    run = state.runs[-1] if state.runs else None
    seen = [key for key in named_symptoms(state, run) if key != GOOD] if run else []
    names = [book.symptoms[key].name if key in book.symptoms else key for key in seen]
    if names:
        lines.append(f"Seen on the last pass, to be answered next: {listed(names)}.")
    if not lines:
        lines.append("Nothing is open: make a repeat pass before changing anything.")
    return tuple(say(line, system) for line in lines)


def _last_judged(state: State) -> Change | None:
    judged = [one for one in state.changes if is_evidence(state, one) and one.status == "judged"]
    return judged[-1] if judged else None


def _after(state: State, book: Book, change: Change) -> str:
    """Say what was decided; where an open advice goes first, that; where nothing, a repeat pass."""
    decided = None if change.origin == "put back" else follow_up(state, book, change)
    if decided is None:
        return f"{change.title} was {change.verdict}: a repeat pass before the next change."
    act = f": {decided.act}" if decided.act else ""
    return f"{change.title} was {change.verdict}{act}. {decided.text}"
