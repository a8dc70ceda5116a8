"""The day in words and plain characters: which setting ran when, and what each knob did."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from rules.advice.timed_passes import day_fit, is_counted, name_of, setting_name, stood_on
from rules.car.adjusters import Adjuster, pair_of
from rules.log.other_parts import part_marks
from rules.log.state import Run, State
from tui.lines import spoken

if TYPE_CHECKING:
    from rules.evidence.belief import Belief

BASELINE_MARK, SPOILT_MARK = "b", "x"
MARKS = "123456789acdefghijklmnopqrstuvw"
BAR = 25
# Half the width of a bar, in seconds of 60-foot.
BAR_ENDS_S = 0.05


def day_runs(state: State) -> list[Run]:
    """Return the passes of this meeting."""
    return list(state.runs_of_meeting)


def setting_marks(state: State) -> dict[str, str]:
    """Return a mark for every setting of everything that ran: b is the baseline in force."""
    goals = baseline_stood(state)
    marks: dict[str, str] = {}
    for run in day_runs(state):
        name = name_of(state, run)
        stood = stood_on(state, run)
        at_baseline = all(stood.get(key) == value for key, value in goals.items())
        if name not in marks:
            taken = len([one for one in marks.values() if one != BASELINE_MARK])
            marks[name] = BASELINE_MARK if at_baseline else MARKS[taken % len(MARKS)]
    return marks


def baseline_stood(state: State) -> dict[str, float]:
    """Return all that the baseline in force has: its settings and the parts it was named with."""
    base = state.baseline
    return {**base.settings, **part_marks(state, base.parts)} if base else {}


def legend(state: State) -> list[str]:
    """Say what each mark of a setting stands for, and which pass was its first."""
    marks = setting_marks(state)
    told: dict[str, str] = {}
    for run in day_runs(state):
        mark = marks[name_of(state, run)]
        if mark in told:
            continue
        title = state.change(run.change).title if run.change else "as the car stood"
        told[mark] = f"{mark} from pass {run.number}: {title}"
        if mark == BASELINE_MARK:
            told[mark] = f"{mark} baseline in force"
    rows = [spoken(state, text) for text in told.values()]
    if any(not is_counted(run) for run in day_runs(state)):
        rows.append(f"{SPOILT_MARK} not counted: lifted, aborted, spun, or something else changed")
    return rows


@dataclass(frozen=True)
class Response:
    """What a knob did to the 60-foot: by count its effect, None where it is not known.

    shown: each count as the crew says it.  reference: the count the others are held against.
    """

    label: str
    reference: float | None
    effects: tuple[tuple[float, "Belief | None"], ...]
    shown: tuple[str, ...]


def responses_of(state: State) -> Iterator[Response]:
    """Yield each knob that was turned between two passes of this meeting.

    What is not known stays so: a count that never ran clean, or had no counterpart that differed
    by this knob alone.
    """
    runs = [run for run in day_runs(state) if is_counted(run) and run.sixty_s is not None]
    day = day_fit(state, state.meeting.id if state.meeting else None)
    fitted = state.fitted
    seen: set[str] = set()
    for one in fitted.values():
        if one.id in seen:
            continue
        pair = pair_of(fitted, one)
        seen |= {each.id for each in pair}
        counts = sorted({r.settings[one.id] for r in day_runs(state) if one.id in r.settings})
        if len(counts) < 2:
            continue
        reference = _reference(state, one, runs)
        effects: list[tuple[float, Belief | None]] = []
        for count in counts:
            effect = None
            if day is not None and reference is not None and count != reference:
                names = _counterparts(state, runs, pair, reference, count)
                effect = day.effect(*names) if names else None
            effects.append((count, effect))
        label = f"{one.axle} {one.name}, both sides" if len(pair) > 1 else one.label
        yield Response(label, reference, tuple(effects), tuple(map(one.show, counts)))


def responses(state: State, width: int) -> list[str]:
    """Say what each knob that was turned did to the 60-foot so far, count by count."""
    rows: list[str] = []
    for one in responses_of(state):
        rows.append(spoken(state, one.label))
        for (count, effect), shown in zip(one.effects, one.shown, strict=True):
            rows.append(_response_row(shown, count == one.reference, effect, width))
    if not rows:
        return ["Nothing was changed between two passes of this event yet."]
    head = "Effect on the 60-foot against the count it is held to; blank: not known."
    scale = f"{'':<14}-{BAR_ENDS_S:.2f} quicker{'':<{BAR - 19}}slower +{BAR_ENDS_S:.2f} s"
    return [*wrap(head, width), scale, *rows]


def _reference(state: State, one: Adjuster, runs: Sequence[Run]) -> float | None:
    """Return the count that others are held against: the baseline's, or the first that ran."""
    goal = state.baseline.settings.get(one.id) if state.baseline else None
    ran = [run.settings[one.id] for run in runs if one.id in run.settings]
    return goal if goal in ran else (ran[0] if ran else None)


def _counterparts(
    state: State, runs: Sequence[Run], pair: Sequence[Adjuster], reference: float, count: float
) -> tuple[str, str] | None:
    """Return the names of two settings that ran and differ by this knob alone, latest first."""
    first = pair[0]
    ran = {name_of(state, run) for run in runs}
    for run in reversed(runs):
        if run.settings.get(first.id) != count:
            continue
        apart = reference - count
        other = stood_on(state, run)
        other |= {each.id: round(other[each.id] + apart, 6) for each in pair if each.id in other}
        if setting_name(other) in ran:
            return setting_name(other), name_of(state, run)
    return None


def _response_row(count: str, is_reference: bool, effect: "Belief | None", width: int) -> str:
    shown = f"  {count:>10}  "
    if is_reference:
        return f"{shown}{'|':^{BAR}} held against"
    if effect is None:
        return f"{shown}{'|':^{BAR}}"
    cells = [" "] * BAR
    middle = BAR // 2

    def place(seconds: float) -> int:
        return min(BAR - 1, max(0, middle + round(seconds / BAR_ENDS_S * middle)))

    low, high = effect.range
    for at in range(place(low), place(high) + 1):
        cells[at] = "-"
    cells[middle] = "|"
    cells[place(effect.mean)] = "o"
    way = "quicker" if effect.mean < 0 else "slower"
    told = f"{abs(effect.mean):.3f} s {way}"
    row = f"{shown}{''.join(cells)} {told}"
    return row if len(row) <= width else f"{shown}{told}"
