"""The last of the log under the question, where the window is wide: passes and changes."""

from collections.abc import Iterator
from itertools import islice

from textual.content import Content

from rules.book import Book
from rules.log.changes import Change
from rules.log.said import named_symptoms
from rules.log.state import Run, State
from rules.moments import clock
from tui.lines import spoken
from tui.visible import visible

HEAD = "LATELY"
OUTCOMES = {
    "proposed": ("► to be made", "$open"),
    "part-applied": ("► half made", "$open"),
    "applied": ("► waits for its pass", "$open"),
    "run": ("► waits for its verdict", "$open"),
    "withdrawn": ("× taken off", ""),
}
VERDICTS = {
    "gone": ("■ fault gone", "$done"),
    "better": ("■ better", "$done"),
    "same": ("□ same as before", ""),
    "worse": ("▲ worse", "$danger"),
    "other": ("▲ another fault", "$danger"),
}


def lately(state: State, book: Book, width: int, rows: int) -> list[Content]:
    """Return the last passes and changes, the latest first; none where nothing was done yet."""
    if rows < 2:
        return []
    found = list(islice(_entries(state, book, width), rows - 1))
    return [Content.styled(HEAD, "bold"), *found] if found else []


def _entries(state: State, book: Book, width: int) -> Iterator[Content]:
    changes = reversed(state.changes)
    change = next(changes, None)
    for run in reversed(state.runs):
        while change is not None and change.passes >= run.number:
            yield _change(state, change, width)
            change = next(changes, None)
        yield _pass(state, book, run, width)
    while change is not None:
        yield _change(state, change, width)
        change = next(changes, None)


def _pass(state: State, book: Book, run: Run, width: int) -> Content:
    """Say when a pass was, its 60-foot and what the car did."""
    sixty = f"{run.sixty_s:.3f}" if run.sixty_s is not None else "     "
    names = [book.symptoms[one].name for one in named_symptoms(state, run) if one in book.symptoms]
    did = spoken(state, "; ".join(names)) or "no fault named"
    head = f"{clock(run.at)}  pass {run.number:<3} "
    room = width - len(head) - len(sixty) - 2
    return Content.assemble(head, (sixty, "bold $measured"), f"  {visible(did, max(4, room))}")


def _change(state: State, change: Change, width: int) -> Content:
    """Say what was turned and what came of it."""
    word, style = outcome(change)
    title = spoken(state, change.title)
    title = visible(f"       {title[:1].lower()}{title[1:]}", max(4, width - len(word) - 2))
    told = Content.styled(word, f"bold {style}") if style else Content(word)
    return Content(f"{title}  ") + told


def outcome(change: Change) -> tuple[str, str]:
    """Say what became of a change, with the colour of its shape."""
    if change.origin == "put back" and change.status in ("applied", "run", "judged"):
        return "■ put back", "$done"
    if change.verdict is not None and change.status != "withdrawn":
        return VERDICTS[change.verdict]
    return OUTCOMES[change.status]
