"""A time slip in the crew's units: seconds, and mph or km/h."""

from dataclasses import replace
from typing import get_args

from rules.columns import MPH_M_S
from rules.prompts import SIXTY_FOOT
from rules.slip import FIELDS, Mark, Slip
from rules.state import Run
from rules.units import System

SPEED_UNITS: dict[System, tuple[str, float]] = {"us": ("mph", MPH_M_S), "metric": ("km/h", 1 / 3.6)}


def slip_of(run: Run) -> Slip:
    """Return the slip of a pass, with the 60-foot that was answered where it has none itself."""
    slip = run.slip or Slip()
    answered = run.answers.get(SIXTY_FOOT)
    if slip.sixty_s is None and isinstance(answered, int | float):
        return replace(slip, sixty_s=float(answered))
    return slip


def number_words(key: str, value: float, system: System) -> str:
    """Write one number of a slip without its name: 1.312, or 104.25 for a speed."""
    if FIELDS[key].unit == "s":
        return f"{value:.3f}"
    return f"{value / SPEED_UNITS[system][1]:.2f}"


def slip_words(slip: Slip, system: System) -> str:
    """Write a slip on one line: 60-foot 1.312, eighth speed 104.25 mph, left lane, spun."""
    words = []
    for key, value in slip.numbers().items():
        unit = "" if FIELDS[key].unit == "s" else f" {SPEED_UNITS[system][0]}"
        words.append(f"{FIELDS[key].label} {number_words(key, value, system)}{unit}")
    if slip.lane:
        words.append(f"{slip.lane} lane")
    words += [mark for mark in get_args(Mark) if mark in slip.marks]
    return ", ".join(words)
