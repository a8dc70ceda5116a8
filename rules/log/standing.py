"""Where an adjuster stands, in the book's words: its setting, and how far off the baseline."""

from rules.car.adjusters import Adjuster, adjusters
from rules.log.state import State


def known(state: State, key: str) -> Adjuster | None:
    """Return an adjuster of the car, or one that has left the car file."""
    fitted = adjusters(state.car) if state.car else {}
    gone = state.unfitted.get(key)
    return fitted.get(key) or (gone.adjuster if gone else None)


def setting_text(state: State, key: str, value: float) -> str:
    """Write a setting as the crew says it; as a number where no car file names the adjuster."""
    one = known(state, key)
    return one.show(value) if one else f"{value:g}"


def net_text(state: State, key: str, value: float | None = None) -> str:
    """Say how far an adjuster, at `value` or where it stands, is from the baseline in force."""
    one = known(state, key)
    if one is None or key not in state.settings:
        return "unknown, no more in the car file"
    value = state.settings[key] if value is None else value
    baseline = state.baseline.settings.get(key) if state.baseline else None
    if baseline is None:
        return "not in the baseline"
    if value == baseline:
        return "as baseline"
    upward = (value - baseline) * one.up(True) > 0
    if one.positions:
        return f"{one.direction_word(upward)} than {one.show(baseline)}"
    sign = "+" if value > baseline else "-"
    amount = one.show_steps((value - baseline) / one.step)
    shown = amount.rsplit(" ", 1)[0] if one.part == "knob" else amount
    return f"{sign}{shown} ({one.direction_word(upward)})"
