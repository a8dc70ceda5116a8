"""The day in pictures of plain characters: told apart by marks and words, never by colour."""

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from rich.text import Text

from rules.advice.change_evidence import day_fit, is_counted, setting_name
from rules.car.adjusters import Adjuster, adjusters, pair_of
from rules.log.state import Run, State
from tui.lines import spoken

if TYPE_CHECKING:
    from rules.evidence.belief import Belief

BASELINE_MARK, SPOILT_MARK = "b", "x"
MARKS = "123456789acdefghijklmnopqrstuvw"
PLAIN = str.maketrans("┌┐└┘┤├┬┴┼─│", "+++++++++-|")
LEAST_ROWS = 8
BAR = 25
# Half the width of a bar, in seconds of 60-foot.
BAR_ENDS_S = 0.05


def day_runs(state: State) -> list[Run]:
    """Return the passes of this meeting."""
    meeting = state.meeting.id if state.meeting else None
    return [run for run in state.runs if run.meeting == meeting]


def setting_marks(state: State) -> dict[str, str]:
    """Return a mark for every setting of everything that ran: b is the baseline in force."""
    goals = state.baseline.settings if state.baseline else {}
    marks: dict[str, str] = {}
    for run in day_runs(state):
        name = setting_name(run.settings)
        at_baseline = all(run.settings.get(key) == value for key, value in goals.items())
        if name not in marks:
            taken = len([one for one in marks.values() if one != BASELINE_MARK])
            marks[name] = BASELINE_MARK if at_baseline else MARKS[taken % len(MARKS)]
    return marks


def legend(state: State) -> list[str]:
    """Say what each mark of a setting stands for, and which pass was its first."""
    marks = setting_marks(state)
    told: dict[str, str] = {}
    for run in day_runs(state):
        mark = marks[setting_name(run.settings)]
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


def sixty_by_pass(state: State, width: int, height: int) -> list[str]:
    """Draw the 60-foot by pass, each pass as the mark of its setting."""
    runs = [run for run in day_runs(state) if run.sixty_s is not None]
    if not runs:
        return ["No 60-foot time of this meeting is in the log yet: s notes a slip."]
    told = legend(state)
    room = max(LEAST_ROWS, height - len(told))
    told = told[: height - room]
    marks = setting_marks(state)
    points: dict[str, list[tuple[int, float]]] = {}
    for run in runs:
        mark = marks[setting_name(run.settings)] if is_counted(run) else SPOILT_MARK
        points.setdefault(mark, []).append((run.number, run.sixty_s or 0.0))
    return [*_scatter("60-foot, s, by pass", points, width, room), *told]


def _scatter(
    title: str, points: dict[str, list[tuple[int, float]]], width: int, height: int
) -> list[str]:
    import plotext

    plotext.clear_figure()
    plotext.limit_size(False, False)
    plotext.plotsize(width, height - 1)
    plotext.theme("clear")
    numbers = [number for found in points.values() for number, _ in found]
    times = [time for found in points.values() for _, time in found]
    for mark, found in points.items():
        plotext.scatter([x for x, _ in found], [y for _, y in found], marker=mark)
    low, high = min(numbers), max(numbers)
    plotext.xlim(low - 0.5, high + 0.5)
    plotext.ylim(min(times) - 0.005, max(times) + 0.005)
    step = max(1, (high - low + 1) // 12)
    plotext.xticks(list(range(low, high + 1, step)))
    rows = Text.from_ansi(plotext.build()).plain.translate(PLAIN).splitlines()
    return [title.center(width)[:width].rstrip(), *(row.rstrip() for row in rows)][:height]


def responses(state: State, width: int, height: int) -> list[str]:
    """Draw what each knob that was turned did to the 60-foot so far, count by count.

    What is not known is left blank: a count that never ran clean, or had no counterpart that
    differed by this knob alone.
    """
    runs = [run for run in day_runs(state) if is_counted(run) and run.sixty_s is not None]
    meeting = state.meeting.id if state.meeting else None
    day = day_fit(state, meeting)
    fitted = adjusters(state.car) if state.car else {}
    rows: list[str] = []
    seen: set[str] = set()
    for one in fitted.values():
        if one.id in seen:
            continue
        pair = pair_of(fitted, one)
        seen |= {each.id for each in pair}
        counts = sorted({r.settings[one.id] for r in day_runs(state) if one.id in r.settings})
        if len(counts) < 2:
            continue
        label = f"{one.axle} {one.name}, both sides" if len(pair) > 1 else one.label
        rows.append(spoken(state, label))
        reference = _reference(state, one, runs)
        for count in counts:
            effect = None
            if day is not None and reference is not None and count != reference:
                names = _counterparts(runs, pair, reference, count)
                effect = day.effect(*names) if names else None
            rows.append(_response_row(one, count, reference, effect, width))
    if not rows:
        return ["No knob was turned between two passes of this meeting yet."]
    head = "Effect on the 60-foot against the count it is held to; blank: not known."
    scale = f"{'':<14}-{BAR_ENDS_S:.2f} quicker{'':<{BAR - 19}}slower +{BAR_ENDS_S:.2f} s"
    return [*wrap(head, width), scale, *rows]


def _reference(state: State, one: Adjuster, runs: Sequence[Run]) -> float | None:
    """Return the count that others are held against: the baseline's, or the first that ran."""
    goal = state.baseline.settings.get(one.id) if state.baseline else None
    ran = [run.settings[one.id] for run in runs if one.id in run.settings]
    return goal if goal in ran else (ran[0] if ran else None)


def _counterparts(
    runs: Sequence[Run], pair: Sequence[Adjuster], reference: float, count: float
) -> tuple[str, str] | None:
    """Return the names of two settings that ran and differ by this knob alone, latest first."""
    first = pair[0]
    ran = {setting_name(run.settings) for run in runs}
    for run in reversed(runs):
        if run.settings.get(first.id) != count:
            continue
        apart = reference - count
        other = {**run.settings}
        other |= {each.id: round(other[each.id] + apart, 6) for each in pair if each.id in other}
        if setting_name(other) in ran:
            return setting_name(other), setting_name(run.settings)
    return None


def _response_row(
    one: Adjuster, count: float, reference: float | None, effect: "Belief | None", width: int
) -> str:
    shown = f"  {one.show(count):>10}  "
    if count == reference:
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
