"""A question and the lines above it, as the window has room for them."""

from collections.abc import Iterator
from dataclasses import replace
from textwrap import wrap

from rules.advice.safety import gates
from rules.asked import Topic
from rules.log.advice import Advice
from rules.log.changes import Change
from rules.log.state import State
from rules.question import Prompt
from tui.desk import Desk
from tui.lines import advice_lines, prompt_rows, spoken

REST = "... w shows the rest of it."


def fitted(desk: Desk, prompt: Prompt, width: int, room: int) -> tuple[Prompt, list[str]]:
    """Return the question and the lines above it within so many rows.

    The choices always stay: a hint goes first, then what `w` tells of a change, then the end of
    an advice or of a notice, which `w` tells as well.
    """
    notice = wrap(prompt.notice, width)
    if isinstance(prompt.about, Advice):
        room -= len(notice) + prompt_rows(prompt, width)
        room -= len(wrap(spoken(desk.state, prompt.about.title), width - 2))
        lines = advice_lines(desk.state, prompt.about, width, room)
        return prompt, lines if len(lines) <= room else [*lines[: room - 1], REST]
    lines = []
    for asked, lines in _layouts(desk, prompt, width):
        if len(notice) + len(lines) + prompt_rows(asked, width) <= room:
            return asked, lines
    bare = replace(prompt, hint="")
    left = room - len(lines) - prompt_rows(bare, width)
    if len(notice) > left:
        bare = replace(bare, notice="\n".join([*notice[: max(0, left - 1)], REST]))
    return bare, lines


def _layouts(desk: Desk, prompt: Prompt, width: int) -> Iterator[tuple[Prompt, list[str]]]:
    """Yield the question with its lines, the roomiest first."""
    bare = replace(prompt, hint="")
    if prompt.topic != Topic.RAN:
        yield prompt, []
        yield bare, []
        return
    change = prompt.about if isinstance(prompt.about, Change) else None
    on_car = [f"On the car: {change.title}. {worth_text(change)}"] if change else []
    rule = desk.book.rules.get(change.rule or "") if change else None
    expect = [f"Expect: {rule.expect}", f"Look for: {rule.look_for}"] if rule else []
    told = gates.ALWAYS_BEFORE_PASS
    for asked, texts in (
        (prompt, [*on_car, *expect, "", *told]),
        (bare, [*on_car, *expect, *told]),
        (bare, [*on_car, *told]),
    ):
        yield (
            asked,
            [row for text in texts for row in wrap(spoken(desk.state, text), width) or [""]],
        )


def notice_lines(state: State, prompt: Prompt, width: int) -> list[str]:
    """Return the whole notice of a question, a blank line below it; nothing without one."""
    return [*wrap(spoken(state, prompt.notice), width), ""] if prompt.notice else []


def worth_text(change: Change) -> str:
    """Say which gain of the 60-foot counts for a change, and whether the crew declared it."""
    from rules.advice.change_evidence import worth_of

    said = "usual" if change.worth_s is None else "declared"
    return f"It counts from {worth_of(change):.3f} s of 60-foot ({said})."
