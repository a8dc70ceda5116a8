"""What stands on the screen, as plain lines: shared by the screens and the headless twin."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rules.advice.safety import gates
from rules.car.adjusters import Turn, adjusters, pair_of
from rules.log.changes import Change
from rules.log.other_parts import parts_off
from rules.log.standing import known, net_text, setting_text
from rules.log.state import State
from rules.question import Choice, Prompt
from rules.units import System
from rules.wording import listed, say
from tui.visible import visible
from tui.wrapped import wrapped

if TYPE_CHECKING:
    from rules.log.advice import Advice

WIDTH = 78
LABEL = 10
PAGE = 8
KEY_CELLS = 4
"""Cells of the key before a choice, the space behind it with them."""
MARK_CELLS = {"tick": 8, "many": 2}
"""Cells of what is marked before a label, by the kind of the question."""


def system(state: State) -> System:
    """Return the unit system of the car."""
    return state.car.units if state.car else "metric"


def spoken(state: State, text: str) -> str:
    """Return a text in the crew's wording and units, harmless for a terminal."""
    return visible(say(text, system(state)))


def labelled(label: str, text: str, width: int = WIDTH) -> list[str]:
    """Lay a text out beside its label."""
    rows = wrapped(text, width - LABEL) or ("",)
    return [f"{(label if i == 0 else ''):<{LABEL}}{row}" for i, row in enumerate(rows)]


def label_of(state: State, key: str) -> str:
    """Name an adjuster in the crew's words; by its id where no car file names it."""
    one = known(state, key)
    return spoken(state, one.label if one else key)


def net_of(state: State, key: str, value: float | None = None) -> str:
    """Say in the crew's words how far an adjuster is from the baseline in force."""
    return spoken(state, net_text(state, key, value))


def off_baseline(state: State, words: bool = True) -> list[str]:
    """Return what stands off the baseline, a pair that moved alike named once."""
    if state.car is None or state.baseline is None:
        return []
    fitted = adjusters(state.car)
    moved = {
        key: state.settings[key] - goal
        for key, goal in state.baseline.settings.items()
        if key in fitted and state.settings[key] != goal
    }
    found: list[str] = []
    told: set[str] = set()
    for key, distance in moved.items():
        if key in told:
            continue
        one = fitted[key]
        pair = pair_of(fitted, one)
        together = len(pair) == 2 and moved.get(pair[1].id) == distance
        told.update(p.id for p in pair) if together else told.add(key)
        name = spoken(state, f"{one.axle} {one.name}" if together else one.label)
        distance_now = net_of(state, key)
        found.append(f"{name} {distance_now if words else distance_now.split(' (')[0]}")
    return [*found, *(spoken(state, one) for one in parts_off(state, state.baseline))]


def named_whole(names: list[str], room: int) -> str:
    """Return as many of the names as there is room for, none of them cut."""
    for count in range(len(names), 0, -1):
        told = ", ".join(names[:count]) + (", ..." if count < len(names) else "")
        if len(told) <= room:
            return told
    return "..."


def unresolved(state: State) -> str:
    """Say what waits."""
    change = state.open_change
    if change is None:
        return "no open change"
    if change.origin == "put back":
        return "put-back under way"
    return {
        "proposed": "1 change waiting to be made",
        "part-applied": "1 change half made",
        "applied": "1 change waiting for its pass",
        "run": "1 change waiting for its verdict",
    }[change.status]


def turn_line(state: State, turn: Turn) -> str:
    """Say one turn: corner, knob, from and to, and what it makes of the net."""
    key = turn.adjuster
    before, after = (setting_text(state, key, value) for value in (turn.before, turn.after))
    return f"{label_of(state, key)}: {before} -> {after}, net {net_of(state, key, turn.after)}"


def counts_text(state: State, turns: tuple[Turn, ...]) -> str:
    """Say from which count to which count, once for a pair that stands alike."""
    first = known(state, turns[0].adjuster)
    counted = f", counted from {first.count_from}" if first and first.count_from else ""
    if first and len(turns) == 2 and first.partner == turns[1].adjuster:
        nets = [net_of(state, turn.adjuster, turn.after) for turn in turns]
        ways = [f"{first.show(turn.before)} -> {first.show(turn.after)}" for turn in turns]
        corners = [turn.adjuster.split()[0] for turn in turns]
        both = ", ".join(f"{side} {way}" for side, way in zip(corners, ways, strict=True))
        sides = f"both {ways[0]}" if ways[0] == ways[1] else both
        net = nets[0] if nets[0] == nets[1] else " and ".join(nets)
        return f"{sides}{counted}; net {net}"
    return "; ".join(turn_line(state, turn) for turn in turns) + counted


def advice_lines(state: State, advice: Advice, width: int = WIDTH) -> list[str]:
    """Return an advice whole, its labels in a column."""
    return [
        row
        for label, text in _advice_parts(state, advice)
        if text
        for row in labelled(label, spoken(state, text), width)
    ]


def _advice_parts(state: State, advice: Advice) -> list[tuple[str, str]]:
    """Return the parts of an advice by label."""
    head = {"ladder": "Next", "measure": "Measure"}.get(advice.kind, "")
    tools = "" if advice.tools in ("", "none") else f", {advice.tools}"
    minutes = f"{advice.minutes} min{tools}; " if advice.minutes else ""
    return [
        ("", advice.order_reason),
        ("Counts", counts_text(state, advice.turns) if advice.turns else ""),
        ("Cause", advice.cause),
        ("Why", advice.why),
        ("Expect", advice.expect),
        ("Look for", "" if advice.kind == "measure" else advice.look_for),
        ("Undo if", advice.put_back_if if advice.turns else ""),
        ("Model", _expected(state, advice)),
        *(
            (head if number == 1 else "", f"{number}. {line}")
            for number, line in enumerate(advice.lines, 1)
        ),
        ("Care", " ".join(advice.cautions)),
        ("Basis", f"{minutes}{advice.label}. {gates.ALWAYS_WITH_ADVICE}"),
    ]


def _expected(state: State, advice: Advice) -> str:
    """Return what the launch model says of a turn, in the crew's units."""
    if advice.expected is None:
        return ""
    from rules.launch.forecast_words import ROOMY, expected_text

    return expected_text(advice.expected, system(state), ROOMY)


def prompt_rows(prompt: Prompt, width: int = WIDTH) -> int:
    """Return the rows a question takes with its hint and one page of its choices."""
    typed = prompt.kind in ("text", "number")
    beside = width - KEY_CELLS - MARK_CELLS.get(prompt.kind, 0)
    rows = sum(len(wrapped(text, width)) for text in (prompt.question, prompt.hint))
    rows += sum(
        len(wrapped(choice.label + refused(choice), max(8, beside))) or 1
        for choice in prompt.choices[:PAGE]
    )
    more = len(prompt.choices) > PAGE
    return 1 + rows + typed + more + (prompt.unknown and not typed)


def refused(choice: Choice) -> str:
    """Return why a choice cannot be taken, as it stands beside it."""
    return f" - not now: {choice.why_not}" if choice.why_not else ""


def doubted_text(before: State, after: State) -> str:
    """Name the passes that a recount put in doubt; empty where it agreed with the book."""
    changed = after.runs.changed_from(before.runs)
    numbers = [
        str(run.number)
        for was, run in changed
        if was and run and len(run.in_doubt) > len(was.in_doubt)
    ]
    if not numbers:
        return ""
    return f" In doubt now: {'pass' if len(numbers) == 1 else 'passes'} {listed(numbers)}."


def work_lines(state: State, change: Change) -> list[str]:
    """Return the list of a work order with its ticks."""
    marks = {"open": "[ ]", "done": "[x]", "stopped": "[!]"}
    part = change.part
    rows = []
    if part is not None:
        mark = marks["done" if change.is_made else "open"]
        rows.append(f"{mark} {part.where}: {part.before or 'what was in'} out, {part.after} in")
    for step in change.steps:
        turn = step.to_go if step.state == "open" else step.turn
        note = f" - {step.reason}" if step.reason and step.state == "stopped" else ""
        if note and step.reached is not None:
            note += f" at {setting_text(state, step.turn.adjuster, step.reached)}"
        rows.append(f"{marks[step.state]} {turn_line(state, turn)}{note}")
    return rows


def spoken_prompt(state: State, prompt: Prompt, units: System | None = None) -> Prompt:
    """Return a question in the crew's wording and units; `units` where there is no car yet."""

    def said(text: str) -> str:
        return visible(say(text, units or system(state)))

    return replace(
        prompt,
        question=said(prompt.question),
        hint=said(prompt.hint),
        notice=said(prompt.notice),
        choices=tuple(
            replace(
                choice,
                label=said(choice.label),
                why_not=said(choice.why_not),
            )
            for choice in prompt.choices
        ),
    )
