"""The timed passes of a log, each with the setting of everything it was run with.

Passes that were lifted, aborted or spun, on which something else changed, or that a recount put in
doubt are not clean; every other day, and what was imported, says how the car scatters and what the
air does to it.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from itertools import islice

from rules.evidence.memory import remembered
from rules.evidence.model import Fit
from rules.evidence.passes import PassTime
from rules.evidence.priors import Priors, for_sixty
from rules.log.conditions import air_at
from rules.log.engine import breathing_of
from rules.log.other_parts import comparable, part_marks, parts_now
from rules.log.said import confounders
from rules.log.state import Run, State
from rules.once import once_for_each
from rules.passes.breathing import Breathing
from rules.passes.slip import Slip, is_clean

# So many passes of other meetings, and so many imported ones, are looked through.
REMEMBERED = 150
# Comparisons kept of a state: of the changes of a meeting most are of settings compared already.
COMPARED = 8


def setting_name(settings: Mapping[str, float]) -> str:
    """Name a setting of everything, so that equal settings have equal names."""
    return _name(tuple(settings.items()))


@lru_cache(maxsize=1024)
def _name(settings: tuple[tuple[str, float], ...]) -> str:
    return "; ".join(f"{key}={value:g}" for key, value in sorted(settings))


def stood_on(state: State, run: Run) -> dict[str, float]:
    """Return everything that was set on a pass, and which changes of a part were on the car."""
    return {**run.settings, **part_marks(state, run.parts)}


def stands_now(state: State) -> dict[str, float]:
    """Return everything that is set now, and which changes of a part are on the car."""
    return {**state.settings, **part_marks(state, parts_now(state))}


def name_of(state: State, run: Run) -> str:
    """Name the setting of a pass."""
    return setting_name(stood_on(state, run))


def is_alike(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Tell whether two settings differ in nothing that both name: a car file gains knobs."""
    return all(other.get(key, value) == value for key, value in one.items())


def is_counted(run: Run) -> bool:
    """Tell whether a pass may enter the statistics."""
    spoilt = run.slip is not None and not is_clean(run.slip)
    return not (spoilt or confounders(run) or run.in_doubt)


# What is timed of a pass [s]; None where its slip does not have it.
Timed = Callable[[Slip], float | None]


def sixty_of(slip: Slip) -> float | None:
    """Return the 60-foot of a slip."""
    return slip.sixty_s


def pass_times(state: State, meeting: str | None, timed: Timed = sixty_of) -> list[PassTime]:
    """Return the times of a meeting, of the 60-foot or another stretch."""
    return list(_times_at(state, meeting, timed))


@once_for_each(COMPARED)
def _times_at(state: State, meeting: str | None, timed: Timed) -> tuple[PassTime, ...]:
    ran = setting_of_each(state, meeting)
    times = (_time_of(run, timed, name, clean) for run, name, clean in ran)
    return tuple(one for one in times if one is not None)


def _times_elsewhere(state: State, meeting: str | None, timed: Timed) -> list[PassTime]:
    """Return the times of the latest passes of other meetings, the first one first."""
    elsewhere = (run.id for run in reversed(state.runs) if run.meeting != meeting)
    times = (_time_by_id(state, one, timed) for one in islice(elsewhere, REMEMBERED))
    return [one for one in times if one is not None][::-1]


@once_for_each(4 * REMEMBERED)
def _time_by_id(state: State, run_id: str, timed: Timed) -> PassTime | None:
    run = state.run(run_id)
    return _time_of(run, timed, *_setting_of(state, run))


@once_for_each(COMPARED)
def setting_of_each(state: State, meeting: str | None) -> tuple[tuple[Run, str, bool], ...]:
    """Return the passes of a meeting, the name of what each was run on, whether it is clean."""
    return tuple((run, *_setting_of(state, run)) for run in state.runs_at(meeting))


def _setting_of(state: State, run: Run) -> tuple[str, bool]:
    """Name the setting of a pass, and tell whether the pass is a clean one.

    One made with other parts than are on now is not.
    """
    return name_of(state, run), is_counted(run) and comparable(state, run)


def _time_of(run: Run, timed: Timed, setting: str, clean: bool) -> PassTime | None:
    """Return the time of a pass."""
    if timed is sixty_of:
        seconds = run.sixty_s
    else:
        seconds = timed(run.slip) if run.slip is not None else None
    if seconds is None:
        return None
    air = air_at(run)
    return PassTime(
        order=run.number,
        setting=setting,
        value_s=seconds,
        clean=clean,
        air_density=air.dry_density_kg_m3 if air else None,
        lane=run.lane,
        meeting=run.meeting or "",
    )


def day_fit(
    state: State,
    meeting: str | None,
    settings: tuple[str, str] | None = None,
    timed: Timed = sixty_of,
    priors: Callable[[float, Breathing | None], Priors] = for_sixty,
) -> Fit | None:
    """Return the estimate of a meeting's day; None without a clean time.

    settings: the two that are compared, so that other meetings which ran both count as well.
    priors: what is believed of a time of about so many seconds, as the engine breathes.
    """
    pair = (min(settings), max(settings)) if settings else None
    return _day_fit(state, meeting, pair, timed, priors)


@once_for_each(COMPARED)
def _day_fit(
    state: State,
    meeting: str | None,
    settings: tuple[str, str] | None,
    timed: Timed,
    priors: Callable[[float, Breathing | None], Priors],
) -> Fit | None:
    times = pass_times(state, meeting, timed)
    clean = [one.value_s for one in times if one.clean]
    if not clean:
        return None
    others = _times_elsewhere(state, meeting, timed)
    known = remembered([*imported_times(state, timed), *others, *times], meeting or "", settings)
    return known.fit(priors(sum(clean) / len(clean), breathing_of(state)))


def imported_times(state: State, timed: Timed = sixty_of) -> list[PassTime]:
    """Return the times that were imported, a meeting for each day; no setting is known."""
    latest = state.imported[-REMEMBERED:]
    return [
        PassTime(
            order=number,
            setting="",
            value_s=seconds,
            clean=is_clean(one.slip),
            air_density=air.dry_density_kg_m3 if (air := air_at(one)) else None,
            lane=one.slip.lane,
            meeting=f"imported {one.when.date()}",
        )
        for number, one in enumerate(sorted(latest, key=lambda one: one.when))
        if (seconds := timed(one.slip)) is not None
    ]
