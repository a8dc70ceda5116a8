"""The one forecast that matters of an advice, as ranges: today, with the turn, and the stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from rules.launch.forecast_words import range_words, unit_of
from rules.log.state import State
from rules.units import Quantity, System
from rules.wording import both, say
from tui.drawn.ranges import TODAY, Bar, bars, in_ten
from tui.lines import spoken, system

if TYPE_CHECKING:
    from rules.launch.proposed_change import Effect
    from rules.log.advice import Advice

NAMES = {
    "landing travel": "Front travel used",
    "lift": "Front tyres up",
    "air time": "In the air",
    "carry": "Down again at",
    "landing load": "Landing load, front",
    "bounce": "Bounce",
    "top-out force": "Blow at top-out",
    "front rise": "Front up at 0.2 s",
    "nose at 3 s": "Nose up at 3 s",
    "settle": "Front settles by",
    "rear droop used": "Rear extends by",
    "rear squat": "Rear squats by",
    "least rear load": "Least load, rear",
    "60-foot": "60-foot",
}
LABEL = 9


def forecast_rows(state: State, advice: Advice, width: int) -> list[Content]:
    """Return the rows of the forecast; none where the launch has no say of it.

    The ranges hold eight times in ten; the chance is that the turn is enough, with a margin.
    """
    expected = advice.expected
    if expected is None or not has_a_say(advice):
        return []
    effect = expected.effect(expected.goal)
    if effect is None or effect.name not in NAMES:
        return []
    units = system(state)
    stop = _stop(state, effect)
    head = spoken(state, f"{NAMES[effect.name]}, {unit_of(effect.measure, units)}")
    rows = [_row("today", effect, units, today=True), _row("forecast", effect, units, today=False)]
    words = max(len(row.words) for row in rows)
    title = Content.styled(head, "bold")
    if stop is not None:
        told = f"  ┃ stop {say(both(stop, Quantity.LENGTH), units)}"
        title += Content.styled(told, "bold $danger")
    enough = round(10 * expected.enough)
    chance = Content.assemble(
        f"{'cures':<{LABEL}}", (in_ten(expected.enough), "$forecast"), (f" {enough} in 10", "bold")
    )
    return [title, *bars(rows, width, LABEL, words, stop), chance]


def has_a_say(advice: Advice) -> bool:
    """Tell whether the launch said how likely a turn is to be enough."""
    return advice.expected is not None and advice.expected.standing in ("agrees", "disagrees")


def enough_words(advice: Advice) -> str:
    """Say on how many cars in ten the turn is enough; empty where the launch has no say."""
    if advice.expected is None or not has_a_say(advice):
        return ""
    return f"cures {round(10 * advice.expected.enough)} in 10"


def _row(label: str, effect: Effect, units: System, *, today: bool) -> Bar:
    one = effect.before if today else effect.after
    words = range_words(one, effect.measure, units).replace(" to ", "–")
    style = "" if today else "$forecast"
    shade = TODAY if today else Bar.shade
    return Bar(label, one.low, one.high, words, style, shade)


def _stop(state: State, effect: Effect) -> float | None:
    """Return where the front meets its stop [m], for travel that is used."""
    if effect.name != "landing travel" or state.car is None:
        return None
    return state.car.front.bump_travel_m
