"""One corner of the car: its knobs whole, what was turned there, and what that did."""

from collections.abc import Iterator

from textual.content import Content

from rules.car.adjusters import adjusters
from rules.log.changes import Change, Step
from rules.log.standing import setting_text
from rules.log.state import State
from tui.drawn.car_view import CarView, Shown
from tui.drawn.gauge import gauge
from tui.drawn.lately import outcome
from tui.lines import spoken

MOST_CHANGES = 6
NO_KNOB = "This damper has no knob."
NOT_KNOWN = "No knob is in the car file."


def corner_rows(state: State, view: CarView, corner: str, width: int) -> list[Content]:
    """Return the rows of a corner: each knob with its count, ends, net and gauge, then its past."""
    rows = [Content.styled(f"{corner.upper():<{width}}", "bold $marked-words on $marked")]
    knobs = view.knobs.get(corner, ())
    if not knobs:
        rows.append(Content(NO_KNOB if corner in view.bare else NOT_KNOWN))
    for one in knobs:
        rows += [Content(""), *_knob(state, one, width)]
    rows += [Content(""), Content.styled("WHAT WAS TURNED HERE", "bold")]
    past = list(_past(state, {one.key for one in knobs}))[:MOST_CHANGES]
    return [*rows, *(past or [Content.styled("nothing yet", "$label")])]


def _knob(state: State, one: Shown, width: int) -> Iterator[Content]:
    """Yield a knob's name with its count, its gauge, and from where it is counted."""
    fitted = adjusters(state.described_car)[one.key]
    count = f"{one.count} → {one.goal}" if one.goal else f"{one.count} {one.net}".strip()
    name = one.name[: width - len(count) - 1]
    style = f"bold {one.style}".strip()
    yield Content.styled(f"{name}{count:>{width - len(name)}}", style)
    if one.now is not None:
        yield gauge(width, one.now, one.base, one.aim, one.style)
    if one.order:
        yield Content.styled(one.order, style)
    counted = f"from {fitted.count_from}, " if fitted.count_from else ""
    ends = f"{counted}{fitted.show(fitted.low)} to {fitted.show(fitted.high)}"
    yield Content.styled(ends[:width], "$label")


def _past(state: State, keys: set[str]) -> Iterator[Content]:
    """Yield what was turned of some knobs, the latest first, each with what came of it."""
    for change in reversed(state.changes):
        for step in change.steps:
            if step.turn.adjuster in keys and step.moved:
                yield _turned(state, change, step)


def _turned(state: State, change: Change, step: Step) -> Content:
    fitted = state.fitted[step.turn.adjuster]
    before, after = (
        setting_text(state, fitted.id, value) for value in (step.turn.before, step.now)
    )
    word, style = outcome(change)
    passes = state.runs_of(change)
    when = f", pass {passes[-1].number}" if passes else ""
    row = Content(f"{spoken(state, fitted.name)} {before}→{after}{when}")
    return (
        row + Content("\n  ") + (Content.styled(word, f"bold {style}") if style else Content(word))
    )
