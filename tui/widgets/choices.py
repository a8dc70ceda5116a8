"""The answers of a question as a list: a digit each, and a row to click or touch."""

import re
from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from rules.question import Choice, Prompt
from tui.lines import KEY_CELLS, MARK_CELLS, PAGE, refused

MORE, UNKNOWN_KEY = "9", "0"
TICK_SHOWN = {"": "□", "ok": "■ ok", "fault": "▲ BAD", "not fitted": "× none"}
HELD_SHOWN = {"ok": "■ ok ?", "not fitted": "× none?"}
TICK_STYLE = {"ok": "$done", "fault": "bold $danger"}
CAP = "bold $cap-words on $cap"
PASS = re.compile(r"Pass \d+:")


class Choices(OptionList, can_focus=False, inherit_bindings=False):
    """The framework's list, without its focus and keys.

    One hand in gloves answers with digits, which mark, tick and page as well as choose, and a key
    that comes too soon is dropped: all of that is the asker's. An option's id is the key it stands
    for; a click is that key.
    """

    def __init__(self) -> None:
        super().__init__(id="choices", markup=False, compact=True)

    def show(
        self,
        prompt: Prompt,
        page: int,
        marked: Sequence[str],
        ticks: Mapping[str, str],
        held: Mapping[str, str],
        width: int,
        *,
        elsewhere: str = "",
        spaced: bool = False,
    ) -> None:
        """Draw one page of choices in so many cells; `spaced`: two rows each, for a finger."""
        rows = _rows(prompt, page, marked, ticks, held, elsewhere)
        self.set_options(
            Option(_hung(key, mark, text, why, width, spaced), id=key)
            for key, mark, text, why in rows
        )


def key_of(choice: Choice, number: int) -> str:
    """Return the key of a choice: its own letter, or its place on the page."""
    return choice.key or str(number)


def _rows(
    prompt: Prompt,
    page: int,
    marked: Sequence[str],
    ticks: Mapping[str, str],
    held: Mapping[str, str],
    elsewhere: str,
) -> Iterator[tuple[str, Content, str, str]]:
    """Yield key, mark, label and the reason against it of each row."""
    shown = prompt.choices[page * PAGE : (page + 1) * PAGE]
    for number, choice in enumerate(shown, 1):
        mark = _mark(prompt, choice, marked, ticks, held)
        yield key_of(choice, number), mark, choice.label, refused(choice)
    blank = Content(" " * MARK_CELLS.get(prompt.kind, 0))
    if len(prompt.choices) > PAGE:
        pages = (len(prompt.choices) + PAGE - 1) // PAGE
        more = f"{'More' if page + 1 < pages else 'From the top'} (page {page + 1} of {pages})"
        yield MORE, blank, f"{more}. {elsewhere}" if elsewhere else more, ""
    if prompt.unknown and prompt.kind not in ("text", "number"):
        yield UNKNOWN_KEY, blank, "Don't know", ""


def _mark(
    prompt: Prompt,
    choice: Choice,
    marked: Sequence[str],
    ticks: Mapping[str, str],
    held: Mapping[str, str],
) -> Content:
    """Return what stands before a label: an empty or a filled square, and the word of a tick."""
    if prompt.kind == "many":
        return Content("■ " if choice.id in marked else "□ ")
    if prompt.kind != "tick":
        return Content("")
    cells = MARK_CELLS["tick"]
    if choice.id in held:
        return Content(f"{HELD_SHOWN[held[choice.id]]:<{cells}}")
    tick = ticks.get(choice.id, "")
    return Content.styled(f"{TICK_SHOWN[tick]:<{cells}}", TICK_STYLE.get(tick, ""))


def _hung(key: str, mark: Content, text: str, why: str, width: int, spaced: bool) -> Content:
    """Lay a choice out, further rows under the first word of its label."""
    indent = KEY_CELLS + mark.cell_length
    rows = wrap(text + why, max(8, width - indent)) or [""]
    said = f"\n{' ' * indent}".join(rows)
    row = Content.assemble((f" {key} ", CAP), " ", mark, said)
    return row + Content("\n") if spaced and len(rows) == 1 else row


def asked_text(text: str) -> Content:
    """Return a question in bold; which pass is meant stands on a ground of its own."""
    meant = PASS.match(text)
    if meant is None:
        return Content.styled(text, "bold")
    return Content.assemble(
        (meant.group(), "bold $cap-words on $cap"), (text[meant.end() :], "bold")
    )


def marked_elsewhere(prompt: Prompt, page: int, marked: Sequence[str], room: int) -> str:
    """Name what is marked on other pages; how many, where there is no room for names."""
    here = {choice.id for choice in prompt.choices[page * PAGE : (page + 1) * PAGE]}
    labels = {choice.id: choice.label for choice in prompt.choices}
    other = [labels[one] for one in marked if one not in here and one in labels]
    names = f"Marked: {'; '.join(other)}"
    if not other or len(names) <= room:
        return names if other else ""
    return f"Marked on other pages: {len(other)}"
