"""The grip and the air of a pass, as far as it was noted: what a setting was good or bad in.

A cooler track holds better, cooler or denser air makes more power, and no lane is like the other:
common practice, no source. What was not noted is never better.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, TypeVar, get_args

from rules.growing_sequence import Passing
from rules.log.conditions import air_of, celsius, in_si
from rules.log.noted import Surface
from rules.log.said import WHAT_ELSE
from rules.log.state import Run, State

if TYPE_CHECKING:
    from rules.log.noted import Conditions
    from rules.passes.slip import Lane

# How far two readings lie apart before a crew calls the track or the air another: a judgement.
ALIKE_C = 3.0
ALIKE_DENSITY = 0.01
LANE_OR_AIR = "lane-or-air"
T = TypeVar("T")


@dataclass(frozen=True)
class Grip:
    """Lane, track and air [degrees Celsius], density [kg/m3]; None is what was not noted."""

    lane: Lane | None = None
    track_c: float | None = None
    air_c: float | None = None
    density: float | None = None
    surface: Surface | None = None

    @property
    def is_known(self) -> bool:
        """Whether anything of it was noted."""
        return self != Grip()


def grip_of(run: Run) -> Grip:
    """Return what was noted of the grip and the air of a pass."""
    return _grip(run.conditions, run.lane)


def _grip(noted: Conditions | None, lane: Lane | None) -> Grip:
    if noted is None:
        return Grip(lane=lane)
    try:
        density = air_of(noted).dry_density_kg_m3
    except ValueError:
        density = None
    track_c = celsius(noted.track_temperature, noted.units)
    return Grip(lane, track_c, in_si(noted).temperature_c, density, noted.surface)


def grip_now(state: State) -> Grip:
    """Return what the coming pass is taken to run in: what was noted for it, else noted last."""
    said = grip_coming(state)
    known = {key: value for key, value in asdict(said).items() if value is not None}
    return replace(_noted_last(state), **known)


def grip_coming(state: State) -> Grip:
    """Return what was noted for the coming pass, and that alone."""
    return _grip(state.coming, state.coming.lane) if state.coming else Grip()


def _noted_last(state: State) -> Grip:
    if state.meeting is None:
        return Grip()
    noted = state.runs.last_where(*GRIP_NOTED)
    return next((grip_of(run) for run in noted if run.meeting == state.meeting_id), Grip())


def covers(good: Grip, wanted: Grip, *, not_noted_is_alike: bool) -> bool:
    """Tell whether a good pass in one grip says anything for another: it must be no poorer.

    not_noted_is_alike: whether what only `wanted` names is taken to have been the same in `good`.
    """
    return (
        _is_no_poorer(good.lane, wanted.lane, lambda a, b: a == b, not_noted_is_alike)
        and _is_no_poorer(good.surface, wanted.surface, _holds_no_less, not_noted_is_alike)
        and _is_no_poorer(good.track_c, wanted.track_c, _no_hotter, not_noted_is_alike)
        and _is_no_poorer(good.air_c, wanted.air_c, _no_hotter, not_noted_is_alike)
        and _is_no_poorer(good.density, wanted.density, _no_thinner, not_noted_is_alike)
    )


def _is_no_poorer(
    have: T | None, want: T | None, no_poorer: Callable[[T, T], bool], not_noted_is_alike: bool
) -> bool:
    if want is None:
        return True
    return not_noted_is_alike if have is None else no_poorer(have, want)


def _holds_no_less(have: str, want: str) -> bool:
    best_first = get_args(Surface)
    return best_first.index(have) <= best_first.index(want)


def _no_hotter(have_c: float, want_c: float) -> bool:
    return have_c <= want_c + ALIKE_C


def _no_thinner(have: float, want: float) -> bool:
    return have >= want * (1.0 - ALIKE_DENSITY)


def _changed_unmeasured(run: Run) -> bool:
    """Tell whether the crew said that lane or air had changed before a pass."""
    said = run.answers.get(WHAT_ELSE, ())
    return isinstance(said, tuple) and LANE_OR_AIR in said


CHANGED_UNMEASURED = Passing("lane or air changed unmeasured", _changed_unmeasured)
GRIP_NOTED = Passing[Run]("its grip was noted", lambda run: grip_of(run).is_known)
