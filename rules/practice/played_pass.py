"""One pass of a practice day: the launch as it was, and the curves to draw of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from rules.launch.mechanics.run import Traces, launch_many
from rules.practice.hidden_car import HiddenCar
from rules.practice.outcome import Outcome, read

STEP_S, CURVE_S = 0.001, 0.01


@dataclass(frozen=True)
class PlayedPass:
    """What pass `number` was: its outcome, its curves (one row), and the day it belongs to."""

    seed: int
    number: int
    outcome: Outcome
    curves: Traces


def played(car: HiddenCar, settings: Mapping[str, float], number: int) -> PlayedPass:
    """Let the car launch at these settings: the same day, pass and settings, the same launch."""
    return _played(car, number, tuple(sorted(settings.items())))


@lru_cache(maxsize=32)
def _played(car: HiddenCar, number: int, settings: tuple[tuple[str, float], ...]) -> PlayedPass:
    found = car.on_pass(dict(settings), number)
    run = launch_many([found], step_s=STEP_S, trace_s=CURVE_S)
    (outcome,) = read(run, [found], car.may_have_bars)
    return PlayedPass(car.seed, number, outcome, run.traces)
