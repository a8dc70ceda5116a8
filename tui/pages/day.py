"""The day in view: pictures, every pass in a table, and where the time of the last one is."""

from textwrap import wrap

from rules.advice.timed_passes import is_counted, name_of
from rules.book import Book
from rules.evidence.priors import AT_THE_STRIPE
from rules.log.conditions import air_at
from rules.log.said import named_symptoms, verdict_on
from rules.log.state import Run, State
from rules.moments import clock, offsets
from rules.passes.slip import BEAMS_M, FIELDS, Slip
from rules.passes.splits import (
    against_best,
    difference_words,
    effective_power,
    grip_from_sixty,
    run_to,
    stretches,
    stripe_cost,
)
from rules.units import UNITS, Quantity, from_si
from rules.wording import capital
from tui.lines import spoken, system
from tui.pages.day_drawings import day_runs, legend, setting_marks
from tui.pages.day_pictures import knob_pictures, sixty_picture
from tui.pages.page import Page

SMALL_WIDTH = 70
STRIPES = ("eighth_s", "quarter_s")
SMALL_S = 0.010


def day_pages(state: State, book: Book) -> list[Page]:
    """Return the pages of the day."""
    sixty = sixty_picture(state)
    knobs = knob_pictures(state)
    no_sixty = ["No 60-foot time of this event is in the log yet: s notes a slip."]
    no_knob = ["Nothing was changed between two passes of this event yet."]
    return [
        Page(
            "60-foot",
            lambda width, height: [] if sixty else no_sixty,
            lambda: (sixty,) if sixty else (),
        ),
        Page("knobs", lambda width, height: [] if knobs else no_knob, lambda: knobs),
        Page("every pass", lambda width, height: day_lines(state, book, width)),
        Page("where the time is", lambda width, height: split_lines(state, width)),
    ]


def day_lines(state: State, book: Book, width: int) -> list[str]:
    """Return every pass of the meeting in a row: set-up, air, times, what was seen."""
    runs = day_runs(state)
    if not runs:
        return ["No pass of this event is in the log yet."]
    marks = setting_marks(state)
    height = UNITS[Quantity.ELEVATION, system(state)].name
    small = width < SMALL_WIDTH
    head = (
        f"pass time  set lane  {'' if small else f'alt {height:<3}'} 60-foot  eighth quarter  seen"
    )
    rows = [head]
    for run in runs:
        slip = run.slip or Slip()
        mark = marks[name_of(state, run)]
        counted = " " if is_counted(run) else "x"
        air = "" if small else f"{_altitude(state, run):>8}{_track(run):>6}"
        seen = ", ".join(
            book.symptoms[s].name for s in named_symptoms(state, run) if s in book.symptoms
        )
        times = "".join(_cell(one) for one in (run.sixty_s, slip.eighth_s, slip.quarter_s))
        row = f"{run.number:>4} {clock(run.at)}  {mark}{counted}  {run.lane or '':<5}{air}{times}  "
        told = spoken(state, _verdict(state, run) + seen)
        rows += wrap(told, width, initial_indent=row, subsequent_indent=" " * len(row)) or [
            row.rstrip()
        ]
    below = [row for one in legend(state) for row in wrap(one, width, subsequent_indent="  ")]
    return [*rows, "", *below, offsets(run.at for run in runs)]


def _verdict(state: State, run: Run) -> str:
    verdict = verdict_on(state, run)
    return f"{verdict}: " if verdict else ""


def _altitude(state: State, run: Run) -> str:
    air = air_at(run)
    if air is None:
        return ""
    return f"{from_si(air.density_altitude_m, Quantity.ELEVATION, system(state)):.0f}"


def _track(run: Run) -> str:
    noted = run.conditions
    return (
        "" if noted is None or noted.track_temperature is None else f"{noted.track_temperature:g}"
    )


def _cell(value: float | None) -> str:
    return f"{'':>8}" if value is None else f"{value:>8.3f}"


def split_lines(state: State, width: int) -> list[str]:
    """Return where the time of the latest slip is, launch against power, and against the best."""
    run = next((one for one in reversed(state.runs) if one.slip and one.slip.times()), None)
    if run is None or run.slip is None:
        return ["No slip with a time is in the log yet: s notes one."]
    slip, units = run.slip, system(state)
    others = [
        one.slip
        for one in day_runs(state)
        if one.slip
        and one.id != run.id
        and is_counted(one)
        and name_of(state, one) == name_of(state, run)
    ]
    best = {d.stretch.end: d.seconds for d in against_best(slip, others)}
    speed = UNITS[Quantity.SPEED, units].name
    rows = [
        f"Pass {run.number}",
        f"{'stretch':<20}{'s':>8}{'mean ' + speed:>12}{'to the best':>14}",
    ]
    for one in stretches(slip):
        mean = from_si(one.mean_speed_m_s, Quantity.SPEED, units)
        apart = f"{best[one.end]:+14.3f}" if one.end in best else ""
        rows.append(f"{one.words:<20}{one.time_s:>8.3f}{mean:>12.1f}{apart}")
    texts = [difference_words(against_best(slip, others)), launch_against_power(slip)]
    if not is_counted(run):
        texts.append("This pass is not counted: it enters no statistics.")
    return [*rows, "", *(row for text in texts for row in wrap(spoken(state, text), width))]


def launch_against_power(slip: Slip) -> str:
    """Say in seconds what the launch makes of the time, by the constant-power relations.

    No power and no acceleration: air drag and gear changes are not in those relations.
    """
    power = effective_power(slip)
    if power is None:
        return "Launch against power needs a trap speed on the slip."
    if slip.sixty_s is None:
        return "Without a 60-foot the launch is not known."
    last = next(reversed(slip.times()))
    try:
        grip = grip_from_sixty(slip.sixty_s, power)
    except ValueError as error:
        return f"{capital(str(error))}."
    distance = BEAMS_M[last]
    cost = run_to(distance, power, grip).time_s - run_to(distance, power).time_s
    told = (
        f"The launch costs about {cost:.2f} s at the {FIELDS[last].label} "
        "against one with all the grip it can use"
    )
    if last in STRIPES:
        worth = stripe_cost(slip.sixty_s, slip.sixty_s + SMALL_S, power, distance)
        told += (
            f"; {SMALL_S:.3f} s of 60-foot is worth {worth:.3f} s there by constant power, "
            f"{AT_THE_STRIPE * SMALL_S:.3f} s by common practice"
        )
    return f"{told}. A yardstick, no measurement."
