"""Pages to read, as plain lines."""

from rules.adjusters import adjusters
from rules.book import Book
from rules.book.schema import UNKNOWN
from rules.changes import Change
from rules.expected_words import expected_details
from rules.measured import KINDS, told
from rules.state import Run, State
from rules.stored import prompt_of
from tui.desk import Desk
from tui.keys import ANSWER_KEYS, KEYS, shown
from tui.lines import advice_lines, labelled, net_of, off_baseline, spoken, system, work_lines
from tui.visible import visible

HALF = 38


def counts_page(state: State) -> list[str]:
    """Return every adjuster: where it stands, and net from the baseline."""
    assert state.car is not None
    name = visible(state.baseline.name) if state.baseline else "none"
    off = off_baseline(state)
    rows = [
        f"Baseline in force: {name}. {len(off)} off it."
        if off
        else f"Baseline: {name}. All at it.",
        "",
    ]
    for one in adjusters(state.car).values():
        counted = f" from {one.count_from}" if one.count_from else ""
        value = f"{one.show(state.settings[one.id])}{counted}"
        rows.append(f"{spoken(state, one.label):<38.38} {value:<22.22} {net_of(state, one.id)}")
    if len(state.baselines) > 1:
        rows += ["", "Superseded baselines, kept in the log:"]
        rows += [f"  {b.at:%Y-%m-%d %H:%M} {visible(b.name)}" for b in state.baselines[:-1]]
    return rows


def alternatives_page(desk: Desk) -> list[str]:
    """Return the reasons of the latest advice, and why each alternative lost."""
    state = desk.state
    run = next((run for run in reversed(state.runs) if run.advice is not None), None)
    if run is None or run.advice is None:
        return ["No advice was given yet."]
    advice = run.advice
    rows = [spoken(state, advice.title), "", *advice_lines(state, advice), ""]
    rule = desk.book.rules.get(advice.rule or "")
    if rule is not None:
        for text in rule.wrong_when:
            rows += labelled("Wrong if", spoken(state, text))
        if rule.overshoot:
            names = [desk.book.symptoms[key].name for key in rule.overshoot]
            rows += labelled("Too far", spoken(state, "; ".join(names)))
        own = " (crew's own rule)" if rule.id in desk.book.own else ""
        rows += labelled("Rule", f"{rule.id}{own}; {rule.basis}")
    if advice.expected is not None:
        for label, text in expected_details(advice.expected, system(state)):
            rows += labelled(label, spoken(state, text))
    rows += ["", "The others, and why each was not chosen:"]
    for other in advice.alternatives:
        rows += labelled("", spoken(state, f"{other.what}: {other.lost}"))
    if not advice.alternatives:
        rows.append("          None.")
    return rows


def log_page(state: State, book: Book) -> list[str]:
    """Return passes with their answers, changes with their verdicts, and notes; newest first."""
    rows: list[str] = []
    for run in reversed(state.runs):
        rows += _run_lines(state, book, run)
    loose = [change for change in state.changes if change.run is None]
    if loose:
        rows += ["", "Changes made outside an advice:"]
        for change in reversed(loose):
            rows += _change_lines(state, change)
    notes = [note for note in state.notes if note.run is None]
    if notes:
        rows += ["", "Notes:"]
        rows += [f"  {note.at:%m-%d %H:%M} {visible(note.text, 60)}" for note in reversed(notes)]
    return rows or ["Nothing is logged yet."]


def _run_lines(state: State, book: Book, run: Run) -> list[str]:
    recounted = spoken(state, ", ".join(run.in_doubt))
    doubt = f" - IN DOUBT after a recount of {recounted}" if recounted else ""
    rows = [f"Pass {run.number}  {run.at:%m-%d %H:%M}  {run.session or ''}{doubt}"]
    for key, value in run.answers.items():
        rows += labelled(
            "",
            spoken(
                state, f"{_question(state, book, run, key)} {_worded(state, book, run, key, value)}"
            ),
        )
    for body in run.measured.values():
        assert state.car is not None
        words = f"{KINDS[body.what].name}: {told(body, state.car)}"
        rows += labelled("  Measured", spoken(state, words))
    if run.advice is not None:
        rows += labelled("  Advice", spoken(state, run.advice.title))
    for change in state.changes:
        if change.run == run.id:
            rows += _change_lines(state, change)
    rows += [f"  Note    {visible(note.text, 60)}" for note in state.notes if note.run == run.id]
    return [*rows, ""]


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


def _change_lines(state: State, change: Change) -> list[str]:
    verdict = f", {change.verdict}" if change.verdict else ""
    aside = f", set aside: {change.set_aside}" if change.set_aside else ""
    doubt = ", in doubt" if change.in_doubt else ""
    head = labelled(
        "  Change", spoken(state, f"{change.title}: {change.status}{verdict}{aside}{doubt}")
    )
    return head + [f"          {visible(row, 68)}" for row in work_lines(state, change)]


def help_page(width: int = 80) -> list[str]:
    """Return every key, from the one table; where there is room, short ones two to a row."""
    answers = [f"{key:<10}{text:<28}" for key, text in ANSWER_KEYS]
    rows = ["".join(pair) for pair in zip(answers[::2], answers[1::2], strict=True)]
    texts = [f"{shown(key.key):<4}{key.help}" for key in KEYS]
    short = [text for text in texts if len(text) < HALF] if width > 2 * HALF else []
    left, right = short[::2], [*short[1::2], ""]
    rows += ["", *(text for text in texts if text not in short)]
    rows += [f"{a:<{HALF}}{b}".rstrip() for a, b in zip(left, right, strict=False)]
    return [*rows, "", "Rulebook, makers and qualified people come before what this tool says."]
