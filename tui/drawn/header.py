"""The two rows on top: where and when, with the minutes to the call, and what is open."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from rich.cells import cell_len
from textual.content import Content

from rules.advice.safety.gates import hurried
from rules.asked import Topic
from rules.car.adjusters import adjusters, job_minutes
from rules.log.changes import Change
from rules.log.state import State
from rules.moments import clock
from rules.question import Prompt
from tui.lines import named_whole, off_baseline, spoken
from tui.visible import visible

DOT = " · "
LONGEST_EVENT = 28
HEAD = "bold $cap-words on $cap"


def header(state: State, prompt: Prompt | None, width: int, now: datetime | None) -> Content:
    """Return both rows for a window of so many cells.

    now: the time on this laptop, by which the minutes to the call tick down.
    """
    told = replace(state, now=now) if now is not None else state
    return Content("\n").join((where_row(told, width), _open(told, prompt, width)))


def where_row(state: State, width: int) -> Content:
    """Say which car, which event, what is on and which pass; the call stands at the right."""
    call, late = _call(state)
    room = width - cell_len(call) - 3
    car = visible(state.car.name if state.car else "no car", max(10, width * 3 // 8))
    meeting = visible(state.meeting.name, LONGEST_EVENT) if state.meeting else "no event yet"
    last = len(state.runs)
    passes = f"pass {last}" if state.open_run else f"after pass {last}" if last else "pass 1 next"
    parts = [car, meeting, *([state.session] if state.session else []), passes]
    left = _fitted(parts, room)
    gap = " " * max(1, width - cell_len(left) - cell_len(call) - 2)
    ending = "bold $plate-words on $plate-danger" if late else HEAD
    return Content.assemble((f" {left}{gap}", HEAD), (f"{call} " if call else " ", ending))


def _fitted(parts: Sequence[str], room: int) -> str:
    """Join the parts, what is on and then the event left out where there is no room."""
    car, meeting, *rest = parts
    for shown in ([car, meeting, *rest], [car, meeting, rest[-1]], [car, rest[-1]]):
        text = DOT.join(shown)
        if cell_len(text) <= room:
            return text
    return visible(DOT.join((car, rest[-1])), max(4, room))


def _call(state: State) -> tuple[str, bool]:
    """Say when the call is and how many minutes are left; whether the open work takes longer."""
    left = state.minutes_left
    if state.call_at is None or left is None:
        return "", False
    if state.clock_went_back:
        return "! the clock went back: say the call again", True
    said = f"call {clock(state.call_at)}, in {left} min"
    if left == 0:
        return f"! call {clock(state.call_at)}: now", True
    return (f"! {said}: the work takes longer", True) if late_work(state) else (said, False)


def late_work(state: State) -> str:
    """Say why the work that is open takes longer than there is, or nothing."""
    change = state.work_order
    if change is None or state.car is None:
        return ""
    fitted = adjusters(state.car)
    levers = [fitted[one.turn.adjuster] for one in change.steps if one.state == "open"]
    return hurried(levers, job_minutes(levers), state.minutes_left, state.clock_went_back)


def _open(state: State, prompt: Prompt | None, width: int) -> Content:
    """Say what is open, or that nothing is and how the car stands."""
    if prompt is not None and prompt.topic == Topic.INSPECT:
        return _told(f"! INSPECT FIRST: {spoken(state, prompt.question)}", "bold $danger", width)
    change = state.open_change
    if change is not None:
        said = f"► OPEN: {_waits(state, change)}"
        return _told(said + _named(state, change, width - len(said) - 2), "bold $open", width)
    off = off_baseline(state, words=False)
    if not state.settings:
        return _told("■ nothing open · no knob or lever in the car file", "", width)
    if not off:
        return _told("■ nothing open · all at baseline", "", width)
    said = f"■ nothing open · {len(off)} off baseline: "
    return _told(said + named_whole(off, width - len(said) - 2), "", width)


def _waits(state: State, change: Change) -> str:
    """Say what an open change waits for, and how far it is."""
    done = sum(step.state == "done" for step in change.steps)
    if change.status == "applied":
        return "waits for its pass"
    if change.status not in ("proposed", "part-applied"):
        return "waits for its verdict"
    if change.part is not None:
        return f"{change.part.after} goes in again"
    levers = [
        state.fitted[step.turn.adjuster]
        for step in change.steps
        if step.state == "open" and step.turn.adjuster in state.fitted
    ]
    minutes = f", {job_minutes(levers)} min to go" if levers else ""
    return f"{done} of {len(change.steps)} done{minutes}"


def _named(state: State, change: Change, room: int) -> str:
    """Name a change as far as there is room: whole, or its knob alone; never a part of a number."""
    title = spoken(state, change.title)
    for name in (title, title.split(":")[0], title.split(",")[0].split(":")[0]):
        if len(DOT + name) <= room:
            return DOT + name[:1].lower() + name[1:]
    return ""


def _told(text: str, style: str, width: int) -> Content:
    return Content.styled(f" {visible(text, width - 1)}", style)
