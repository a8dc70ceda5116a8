"""The car file read again: what its counts mean may have changed under the log."""

from collections.abc import Mapping
from dataclasses import replace

from rules.adjusters import Adjuster, adjusters
from rules.changes import advance
from rules.state import State


def described(state: State, fitted_before: Mapping[str, Adjuster]) -> State:
    """Return the state with settings, baseline and changes that fit its car.

    Counts live in the log alone: only adjusters new to the log start from the file. Where the
    file now counts an adjuster otherwise, its count has to be found again before anything else.
    """
    assert state.car is not None
    fitted = adjusters(state.car)
    settings = {key: state.settings.get(key, one.start) for key, one in fitted.items()}
    otherwise = {
        key: one
        for key, one in fitted.items()
        if key in state.settings and _counts_otherwise(fitted_before.get(key), one, settings[key])
    }
    goals = dict(state.baseline.settings) if state.baseline else {}
    nets = {key: _net(fitted_before.get(key), settings[key], goals) for key in otherwise}
    for key, one in fitted.items():
        if key not in state.settings:
            goals[key] = settings[key]
        elif key in otherwise:
            settings[key] = _inside(one, settings[key])
            goals[key] = _inside(one, goals.get(key, settings[key]))
    kept = {key: net for key, net in state.to_recount.items() if key in fitted}
    known = {key: state.known_since.get(key, len(state.runs)) for key in fitted}
    state = replace(state, settings=settings, known_since=known, to_recount={**nets, **kept})
    state = _with_goals(state, goals)
    return _void_changes(state, {*otherwise, *(fitted_before.keys() - fitted.keys())})


def found_again(state: State, key: str, found: float) -> State:
    """Return the state after the recount a new car file asked for: the net distance stays."""
    assert state.car is not None
    one = adjusters(state.car)[key]
    net = state.to_recount[key]
    goals = dict(state.baseline.settings) if state.baseline else {}
    goals[key] = _inside(one, round(found - one.up(True) * net * one.step, 6))
    waiting = {other: value for other, value in state.to_recount.items() if other != key}
    return _with_goals(replace(state, to_recount=waiting), goals)


def _counts_otherwise(before: Adjuster | None, one: Adjuster, setting: float) -> bool:
    if before is None:
        return True
    if not one.holds(setting):
        return True
    renamed = any(a != b for a, b in zip(before.positions, one.positions, strict=False))
    same = ("part", "count_from", "per_unit", "unit")
    return renamed or any(getattr(before, key) != getattr(one, key) for key in same)


def _net(before: Adjuster | None, setting: float, goals: Mapping[str, float]) -> float:
    """Return how many steps firmer than the baseline the adjuster stood."""
    if before is None or setting == goals.get(before.id, setting):
        return 0
    return before.up(True) * (setting - goals[before.id]) / before.step


def _inside(one: Adjuster, value: float) -> float:
    return min(max(value, one.low), one.high)


def _with_goals(state: State, goals: dict[str, float]) -> State:
    if state.baseline is None:
        return state
    baseline = replace(state.baseline, settings=goals)
    return replace(state, baselines=(*state.baselines[:-1], baseline))


def _void_changes(state: State, gone: set[str]) -> State:
    """Withdraw what was turned in counts that mean nothing any more."""
    changes = tuple(
        replace(change, status=advance(change.status, "withdrawn"), in_doubt=True)
        if change.status != "withdrawn" and any(s.turn.adjuster in gone for s in change.steps)
        else change
        for change in state.changes
    )
    return replace(state, changes=changes)
