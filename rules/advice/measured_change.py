"""What was measured without and with a change: O-ring, lift, time in the air, landing, scrape."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from rules.evidence.measured import BeforeAfter
from rules.log.changes import Change
from rules.log.events.passes import MeasuredWhat
from rules.log.reading_bounds import comparable
from rules.log.state import Run, State

# The smallest difference that matters, in SI; common practice, no source.
WORTH: dict[MeasuredWhat, float] = {
    "lift": 0.03,
    "airborne": 0.05,
    "touchdown": 0.1,
    "front ring": 0.005,
    "rear ring": 0.005,
    "scrape": 0.001,
}
# Metal on the road and a harder landing are dangers, whatever the change was for.
SAFETY: frozenset[MeasuredWhat] = frozenset({"scrape", "touchdown"})
NAMES: dict[MeasuredWhat, str] = {
    "lift": "front tyre lift",
    "airborne": "time in the air",
    "touchdown": "touchdown speed",
    "front ring": "front O-ring",
    "rear ring": "rear O-ring",
    "scrape": "scrape",
}


@dataclass(frozen=True)
class BetterWay:
    """Which way a measurement is better for a fault."""

    symptoms: frozenset[str]
    what: frozenset[MeasuredWhat]
    way: Literal["less", "more"]


_HIGH = frozenset({"front-drops-hard", "front-carries", "front-rises-violently"})
WANTED = (
    BetterWay(_HIGH | {"wheelie-bar-hits"}, frozenset({"lift", "airborne"}), "less"),
    BetterWay(frozenset({"front-drops-hard", "front-bounces"}), frozenset({"front ring"}), "less"),
    BetterWay(frozenset({"front-slow-to-rise"}), frozenset({"lift"}), "more"),
    BetterWay(frozenset({"squats-and-drags"}), frozenset({"rear ring"}), "less"),
)


def measured_change(state: State, change: Change, before: Sequence[Run]) -> tuple[BeforeAfter, ...]:
    """Return what was measured both on the last pass before a change and on its last pass.

    Only what says better or worse for the fault it was for; a measurement of danger always does.
    """
    runs = sorted((r for r in state.runs_of(change) if r.measured), key=lambda run: run.number)
    if not runs or (car := state.car) is None:
        return ()
    then = [run for run in before if run.number < runs[-1].number and run.measured]
    found = []
    for what, now in runs[-1].measured.items():
        way = wanted(change.symptom or "", now.what)
        old = next((r.measured[what] for r in reversed(then) if what in r.measured), None)
        if way is not None and old is not None and comparable(old, now, car):
            found.append(
                BeforeAfter(
                    NAMES[now.what],
                    old.value,
                    max(old.give, 1e-6),
                    now.value,
                    max(now.give, 1e-6),
                    way,
                    WORTH[now.what],
                    now.what in SAFETY,
                )
            )
    return tuple(found)


def wanted(symptom: str, what: MeasuredWhat) -> Literal["less", "more"] | None:
    """Return which way a measurement is better for a fault; None where it says nothing."""
    if what in SAFETY:
        return "less"
    return next((w.way for w in WANTED if symptom in w.symptoms and what in w.what), None)
