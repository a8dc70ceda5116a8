"""The pictures of the day: 60-foot by pass with what was changed, and what each knob did."""

from collections.abc import Iterator
from itertools import pairwise

from rules.advice.timed_passes import is_counted, name_of, pass_times
from rules.evidence.model import fit
from rules.evidence.priors import for_sixty
from rules.log.state import Run, State
from tui.drawn.picture import KeyEntry, Mark, Picture, RangeBand, RangeBar, Upright
from tui.lines import spoken
from tui.pages.day_drawings import Response, day_runs, responses_of
from tui.pages.log_rows import change_words

BEFORE, AFTER, LEFT_OUT = "○", "●", "×"
MOST_NAMED = 5
MOST_KNOBS = 4
LEAST_GIVE_S = 0.005


def sixty_picture(state: State) -> Picture | None:
    """Return the 60-foot by pass of this meeting; None where none was timed.

    Rings are passes before the last change, discs those since. A pass that does not count is a
    cross with its reason, and leaves the axis close to the others. The field says what the passes
    before the change lead to expect without it, nine times in ten.
    """
    runs = [run for run in day_runs(state) if run.sixty_s is not None]
    if not runs:
        return None
    changed = list(_changes(state))
    since = changed[-1][1].number if changed else runs[0].number
    named = changed[-MOST_NAMED:]
    uprights = tuple(
        Upright(after.number - 0.5, _short(state, before, after), "open") for before, after in named
    )
    bands = _without(state, since) if changed else ()
    times = [run.sixty_s or 0.0 for run in runs if is_counted(run)]
    times += [end for band in bands for edge in (band.low, band.high) for end in edge if end]
    times = times or [run.sixty_s or 0.0 for run in runs]
    give = max(LEAST_GIVE_S, (max(times) - min(times)) * 0.15)
    up = (min(times) - give, max(times) + give)
    key = [KeyEntry(AFTER, "a pass", "measured")]
    if changed:
        key = [KeyEntry(BEFORE, "before", "measured"), KeyEntry(AFTER, "since", "measured")]
        key += [KeyEntry("⢕⢕", "without it, 9 in 10", "forecast")] if bands else []
    return Picture(
        "60-FOOT BY PASS, s",
        bands=bands,
        uprights=uprights,
        marks=tuple(_mark(run, since, up) for run in runs),
        across=(runs[0].number - 0.7, runs[-1].number + 0.7),
        up=up,
        named=tuple((float(run.number), str(run.number)) for run in runs),
        key=tuple(key),
    )


def knob_pictures(state: State) -> tuple[Picture, ...]:
    """Return what each knob that was turned did to the 60-foot, the last turned first."""
    every = list(responses_of(state))
    return tuple(_knob_picture(state, one) for one in reversed(every[-MOST_KNOBS:]))


def _knob_picture(state: State, one: Response) -> Picture:
    marks, spans = [], []
    for place, (count, effect) in enumerate(one.effects):
        if count == one.reference:
            marks.append(Mark(place, 0.0, BEFORE, "measured"))
        elif effect is not None:
            low, high = effect.range
            spans.append(RangeBar(place, low, high, "forecast"))
            marks.append(Mark(place, effect.mean, AFTER, "measured"))
    last = len(one.effects) - 1
    named = tuple((float(n), one.shown[n]) for n in range(last + 1))
    ends = [0.0, *(mark.y for mark in marks), *(y for s in spans for y in (s.low, s.high))]
    give = max(LEAST_GIVE_S, (max(ends) - min(ends)) * 0.1)
    return Picture(
        f"{spoken(state, one.label).upper()}: s of 60-foot, + slower",
        spans=tuple(spans),
        marks=tuple(marks),
        across=(-0.6, last + 0.6),
        up=(min(ends) - give, max(ends) + give),
        named=named,
        key=(KeyEntry(BEFORE, "held against"),),
    )


def _mark(run: Run, since: int, up: tuple[float, float]) -> Mark:
    """Return a pass as its mark; one that does not count and lies outside stands at the edge."""
    seconds = run.sixty_s or 0.0
    if is_counted(run):
        return Mark(run.number, seconds, BEFORE if run.number < since else AFTER, "measured")
    why = sorted(run.slip.marks) if run.slip else []
    words = f"{why[0] if why else 'left out'} {seconds:.3f}"
    return Mark(run.number, min(max(seconds, up[0]), up[1]), LEFT_OUT, "", words)


def _changes(state: State) -> Iterator[tuple[Run, Run]]:
    """Yield the passes of the meeting between which something was turned."""
    for before, after in pairwise(day_runs(state)):
        if name_of(state, before) != name_of(state, after):
            yield before, after


def _short(state: State, before: Run, after: Run) -> str:
    """Say what was turned between two passes, briefly."""
    made = state.changes.find(after.change)
    if made is not None:
        return change_words(state, made).removesuffix(", both")
    return "put back" if before.settings != after.settings else ""


def _without(state: State, since: int) -> tuple[RangeBand, ...]:
    """Return what the passes before the last change lead to expect of those since, without it."""
    meeting = state.meeting.id if state.meeting else None
    times = pass_times(state, meeting)
    before = [one for one in times if one.order < since and one.clean]
    after = [one for one in times if one.order >= since]
    if len(before) < 2 or not after:
        return ()
    known = fit(before, for_sixty(sum(one.value_s for one in before) / len(before)))
    setting = before[-1].setting
    ranges = [known.next_pass(one.order, setting, one.air_density, one.lane).range for one in after]
    xs = [after[0].order - 0.4, *(float(one.order) for one in after), after[-1].order + 0.4]
    ranges = [ranges[0], *ranges, ranges[-1]]
    low, high = zip(*ranges, strict=True)
    return (RangeBand("without it", xs, low, high, filled=True, role="forecast"),)
