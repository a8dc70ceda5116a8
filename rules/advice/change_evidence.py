"""What the log knows of a change, as the statistics take it, and what they say of it.

The times judged are the 60-foot times of its meeting and of others that ran the same two settings;
which passes those are, and what the other days say, is in `timed_passes`.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from rules.advice.looked_through import look_through
from rules.advice.measured_change import measured_change
from rules.advice.safety import gates
from rules.advice.safety.awake_dangers import awake_at
from rules.advice.timed_passes import (
    COMPARED,
    day_fit,
    is_alike,
    setting_name,
    setting_of_each,
    stands_now,
    stood_on,
)
from rules.book import Book
from rules.car.adjusters import Adjuster
from rules.evidence.designs import Offer, offers
from rules.evidence.interactions import Interaction, interacting
from rules.evidence.measured import BeforeAfter
from rules.evidence.model import Fit
from rules.evidence.passes import count_of
from rules.evidence.passes_needed import PassesNeeded, more_passes
from rules.evidence.recommendation import Recommendation, Stands, recommended
from rules.evidence.verdict import Verdict, both_ran, judge_fit
from rules.log.advice import Evidence
from rules.log.changes import Change
from rules.log.other_parts import part_mark
from rules.log.said import named_symptoms
from rules.log.state import MEETING_OF_CHANGE, Run, State
from rules.once import once_for_each

# From one pass of a car to its next where the day does not say yet; common practice, no source.
USUAL_MINUTES_A_PASS = 30.0

# What the table of interactions calls a lever of the car file.
PARTS = {
    "launch rpm": "launch",
    "travel limiter": "limiter",
    "link position": "instant centre",
    "preload": "chassis preload",
}
WHOLE_CAR = ("launch", "instant centre", "chassis preload", "anti-roll bar")


@dataclass(frozen=True)
class Danger:
    """What a pass showed that breaks parts, and on which pass; `later` is one after the verdict."""

    what: str
    number: int
    later: bool


@dataclass(frozen=True)
class ChangeVerdict:
    """Everything known of one change. `times` is None where no 60-foot was noted.

    `before` and `after` are the clean passes on the setting without and with it; `danger` is what
    the latest passes with it showed; `risky` says that one of the two settings is not for trying.
    `recommended` is what the times alone would have on the car, None where a danger has the word.
    """

    change: Change
    before: tuple[Run, ...]
    after: tuple[Run, ...]
    day: Fit | None
    times: Verdict | None
    more: PassesNeeded | None
    measured: tuple[BeforeAfter, ...]
    interactions: tuple[Interaction, ...]
    offers: tuple[Offer, ...]
    worth_s: float
    names: Mapping[str, str]
    danger: Danger | None = None
    risky: bool = False
    recommended: Recommendation | None = None

    @property
    def compared(self) -> bool:
        """Whether both settings have a clean pass, so that the times say anything."""
        return self.times is not None and both_ran(self.times)

    @property
    def was_put_back(self) -> bool:
        """Whether the car has been put back since."""
        return self.change.status == "withdrawn"

    @property
    def is_dangerous(self) -> bool:
        """Whether a measurement of danger got worse."""
        return measured_danger(self.measured)


def measured_danger(measured: Sequence[BeforeAfter]) -> bool:
    """Tell whether a measurement of danger got worse."""
    return any(one.safety and one.says == "worse" for one in measured)


def settings_of(state: State, change: Change) -> tuple[dict[str, float], dict[str, float]]:
    """Return everything that was set without a change, and with it."""
    runs = state.runs_of(change)
    moved = [step for step in change.steps if step.moved]
    new = stood_on(state, runs[-1]) if runs else stands_now(state)
    new |= {step.turn.adjuster: step.now for step in moved}
    old = {**new, **{step.turn.adjuster: step.turn.before for step in moved}}
    if change.part is not None:
        before = {key: count for key, count in change.part.stood.items() if key in old}
        old, new = {**old, **before, part_mark(change): 0.0}, {**new, part_mark(change): 1.0}
    return old, new


def verdict_of(state: State, book: Book, change: Change) -> ChangeVerdict:
    """Return what is known of a change so far. The estimate needs the array library."""
    look_through(state, book)
    settings = settings_of(state, change)
    old, new = (setting_name(one) for one in settings)
    day = day_fit(state, change.meeting, (old, new))
    times = _judged(state, change.meeting, old, new, change.worth_s)
    ran = setting_of_each(state, change.meeting)
    before = tuple(run for run, name, clean in ran if clean and name == old)
    after = tuple(run for run, name, clean in ran if clean and name == new)
    measured = measured_change(state, change, before)
    danger = _shown_with(state, book, change, settings[1])
    risky = measured_danger(measured) or _is_risky(state, book, change, settings)
    more = None
    if day and times and not risky and times.word == "cannot tell" and count_of(day.passes, old):
        more = _more_of(day, old, new, change.worth_s)
    stands = _stands(state, *settings)
    minutes = minutes_a_pass(state)
    left = state.minutes_left
    going_on = times is not None and not risky and change.status != "withdrawn"
    offered = offers(times.design.letters, left, minutes) if times and going_on else []
    return ChangeVerdict(
        change=change,
        before=before,
        after=after,
        day=day,
        times=times,
        more=more,
        measured=measured,
        interactions=tuple(interacting(_levers(state, before, after, change))),
        offers=tuple(offered),
        worth_s=change.worth,
        names={old: "without it", new: "with it"},
        danger=danger,
        risky=risky,
        recommended=None if risky or danger or times is None else _recommended_of(times, stands),
    )


@once_for_each(COMPARED)
def _judged(
    state: State, meeting: str | None, old: str, new: str, worth_s: float | None
) -> Verdict | None:
    """Return what the times of a meeting say of one setting against another."""
    day = day_fit(state, meeting, (old, new))
    return _judged_of(day, old, new, worth_s) if day else None


# Under every answer that is imagined to a pass its times are the same, and so is what they say.
_judged_of = once_for_each(COMPARED)(judge_fit)
_more_of = once_for_each(COMPARED)(more_passes)
_recommended_of = once_for_each(COMPARED)(recommended)


def _stands(state: State, old: Mapping[str, float], new: Mapping[str, float]) -> Stands | None:
    """Return which of two settings the car is on; None for a third one."""
    now = stands_now(state)
    if is_alike(now, new):
        return "new"
    return "old" if is_alike(now, old) else None


def evidence_of(state: State, run: Run) -> Evidence | None:
    """Return what the times say of the change a pass was made with, as an advice keeps it."""
    if run.change is None or run.sixty_s is None:
        return None
    change = state.change(run.change)
    old, new = (setting_name(one) for one in settings_of(state, change))
    day = day_fit(state, change.meeting, (old, new))
    if day is None:
        return None
    times = _judged_of(day, old, new, change.worth_s)
    if not both_ran(times):
        return None
    return Evidence(
        word=times.word,
        effect_s=round(times.effect.mean, 6),
        quicker=round(times.quicker, 6),
        worth_s=times.worth_s,
        passes=tuple(one.order for one in day.passes),
    )


def runs_on(state: State, change: Change) -> tuple[Run, ...]:
    """Return the passes made with a change, and the later ones of its meeting on that setting."""
    made_with = state.runs_of(change)
    if not made_with:
        return ()
    _, new = settings_of(state, change)
    last = made_with[-1].number
    later = (r for r in state.runs_at(change.meeting) if r.number > last)
    return (*made_with, *(run for run in later if is_alike(stood_on(state, run), new)))


def brought_danger(state: State, book: Book, change: Change, run: Run) -> str:
    """Name the danger of a pass that came with its change, or nothing.

    Not where the change was for a danger, or a pass before it showed one on the setting without it.
    """
    symptom = book.symptoms.get(change.symptom or "")
    what = "" if symptom is not None and symptom.safety else danger_of(state, book, run)
    if not what:
        return ""
    old, _ = settings_of(state, change)
    first = min(one.number for one in (*state.runs_of(change), run))
    before = [r for r in state.runs_at(change.meeting) if r.number < first]
    shown = any(danger_of(state, book, r) for r in before if is_alike(stood_on(state, r), old))
    return "" if shown else what


def danger_of(state: State, book: Book, run: Run) -> str:
    """Name the danger that a pass showed, or nothing."""
    named = frozenset(named_symptoms(state, run))
    known = [book.symptoms[key] for key in named if key in book.symptoms]
    dangers = [one.name for one in known if one.safety]
    raised = [block.says.rstrip(".") for block in gates.raised(named, run.answers)]
    return next(iter((*sorted(dangers), *raised)), "")


def _shown_with(
    state: State, book: Book, change: Change, new: Mapping[str, float]
) -> Danger | None:
    """Return the danger of the pass a change is judged by, or of a later one on that setting."""
    made_with = state.runs_of(change)
    if not made_with:
        return None
    last = made_with[-1]
    after = [run for run in state.runs_at(change.meeting) if run.number > last.number]
    for run in (*(one for one in reversed(after) if is_alike(stood_on(state, one), new)), last):
        what = danger_of(state, book, run)
        if what:
            return Danger(what, run.number, run is not last)
    return None


def _is_risky(
    state: State, book: Book, change: Change, settings: Sequence[Mapping[str, float]]
) -> bool:
    """Tell whether a pass on either setting is none to ask for: it was a danger that was treated.

    Whatever a pass of the meeting showed on one of them, the car does not go back "to see".
    """
    symptom = book.symptoms.get(change.symptom or "")
    if awake_at(state, *settings):
        return True
    return bool(symptom and symptom.safety) or any(
        danger_of(state, book, run)
        for run in state.runs_at(change.meeting)
        if any(is_alike(stood_on(state, run), one) for one in settings)
    )


def minutes_a_pass(state: State) -> float:
    """Return the usual time from one pass to the next of this meeting, in minutes."""
    at = [run.at for run in state.runs_of_meeting]
    apart = [(b - a).total_seconds() / 60 for a, b in pairwise(at)]
    long_enough = [one for one in apart if one >= 1.0]
    return median(long_enough) if long_enough else USUAL_MINUTES_A_PASS


def latest_tried(state: State) -> Iterator[Change]:
    """Yield the changes that had a pass, the latest first; put-backs are no changes to judge."""
    return filter(_was_tried, reversed(state.changes))


def latest_tried_at(state: State, meeting: str | None) -> list[Change]:
    """Return those of a meeting."""
    here = state.changes.under(*MEETING_OF_CHANGE, meeting or "")
    return list(filter(_was_tried, here))[::-1]


def _was_tried(change: Change) -> bool:
    return bool(change.runs) and change.origin != "put back"


def _levers(
    state: State, before: tuple[Run, ...], after: tuple[Run, ...], change: Change
) -> list[str]:
    """Return the levers that differ among all passes from the first to the last compared."""
    numbers = [run.number for run in (*before, *after)]
    moved = {step.turn.adjuster for step in change.steps if step.moved}
    if numbers:
        # Where the old setting had no pass, the pass before is what the crew compares with.
        first = min(numbers) - (not before)
        start = bisect_left(state.runs, first, key=_number_of)
        runs = state.runs[start : bisect_right(state.runs, max(numbers), key=_number_of)]
        other = runs[0].settings
        for run in runs:
            if run.settings != other:
                moved |= {k for k, v in run.settings.items() if other.get(k, v) != v}
    fitted = state.fitted
    return [name for key in moved if key in fitted for name in lever_names(fitted[key])]


def _number_of(run: Run) -> int:
    return run.number


def lever_names(one: Adjuster) -> list[str]:
    """Return what the table of interactions calls an adjuster."""
    if one.part != "knob":
        part = PARTS.get(one.part, one.part)
        return [part if part in WHOLE_CAR or one.axle == "car" else f"{one.axle} {part}"]
    ways = ["compression", "rebound"] if one.controls == "both" else [one.controls]
    return [f"{one.axle} {way}" for way in ways]
