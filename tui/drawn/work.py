"""A work order in few words: the one turn that is asked for, and how far the others are."""

from rules.advice.safety import gates
from rules.car.adjusters import adjusters
from rules.log.changes import Change, Step
from rules.log.standing import known, setting_text
from rules.log.state import State
from tui.drawn.plate import Plate
from tui.lines import label_of, net_of, spoken

MARKS = {"open": "□", "done": "■", "stopped": "▲"}
MOST_ROWS = 3


def work_plate(state: State, change: Change, adjuster: str) -> Plate:
    """Return the plate of the turn of an adjuster; of the whole order where none is asked for."""
    step = next((one for one in change.steps if one.turn.adjuster == adjuster), None)
    if step is None:
        part = change.part
        ways = (f"OUT: {part.before or 'what is in now'}", f"IN: {part.after}") if part else ()
        says = tuple(spoken(state, way) for way in ways)
        return Plate("open", spoken(state, change.title).upper(), says=says)
    one, turn = adjusters(state.described_car)[adjuster], step.to_go
    upward = (turn.after - turn.before) * one.up(True) > 0
    way = spoken(state, one.way(upward)).upper()
    word = spoken(state, one.direction_word(upward))
    amount = f"{one.show_steps((turn.after - turn.before) / one.step)} {word}".upper()
    before, after = one.show(turn.before), one.show(turn.after)
    if not one.positions and one.part != "knob":
        before, after = f"{turn.before:g}", f"{turn.after:g}"
    says = (f"{one.hand.act} {way or 'it'}".upper(), amount)
    if one.positions:  # A part goes by its name, and by no number of positions.
        says = (f"OUT: {before}", f"IN: {after}, {word.upper()}")
    counted = (f"counted from {one.count_from}",) if one.count_from else ()
    net = f"then net {net_of(state, one.id, turn.after)}"
    return Plate(
        "open", spoken(state, one.label).upper(), before, after, (*says, *counted), (net,), True
    )


def work_safety(state: State, change: Change) -> str:
    """Return what is always said under the car; of torque only where something is bolted."""
    turned = [known(state, one.turn.adjuster) for one in change.steps]
    parts = [one.part if one else "" for one in turned]
    parts += [change.part.what] if change.part else []
    return " ".join(gates.always_in_work(parts))


def turn_rows(state: State, change: Change, adjuster: str) -> list[str]:
    """Return the turns around the one that is asked for, and how many are not shown."""
    steps = change.steps
    asked = next((n for n, one in enumerate(steps) if one.turn.adjuster == adjuster), 0)
    shown = len(steps) if len(steps) <= MOST_ROWS else MOST_ROWS - 1
    first = max(0, min(asked - shown + 1, len(steps) - shown))
    rows = [_row(state, one) for one in steps[first : first + shown]]
    more = len(steps) - shown
    return [*rows, f"... and {more} more: k counts"] if more else rows


def _row(state: State, step: Step) -> str:
    key = step.turn.adjuster
    turn = step.to_go if step.state == "open" else step.turn
    before, after = (setting_text(state, key, value) for value in (turn.before, turn.after))
    row = f"{MARKS[step.state]} {label_of(state, key)} {before} → {after}"
    if step.state != "stopped":
        return row
    at = "" if step.reached is None else f" at {setting_text(state, key, step.reached)}"
    return f"{row}: {step.reason}{at}"
