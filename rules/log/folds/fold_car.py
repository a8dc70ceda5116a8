"""The car file read again: what its counts mean may have changed under the log."""

from collections.abc import Mapping

from rules.car.adjusters import Adjuster, Settings, adjusters
from rules.log.changes import advance
from rules.log.state import Baseline, State, Stood
from rules.replaced import replace


def described(state: State, fitted_before: Mapping[str, Adjuster]) -> State:
    """Return the state with settings, baselines and changes that fit its car.

    Counts live in the log alone: only adjusters new to the log start from the file. One that left
    the file keeps its setting and its goals, and is counted by hand when it is back; so is one
    that the file now counts otherwise.
    """
    fitted = adjusters(state.described_car)
    here = {key: Stood(one, state.settings[key]) for key, one in fitted_before.items()}
    stood = {**state.unfitted, **here}
    known = [key for key in fitted if key in stood]
    otherwise = [key for key in known if _counts_otherwise(stood[key], fitted[key])]
    back = [key for key in known if key in state.unfitted]
    nets = {key: _nets(stood[key], state.baselines) for key in otherwise}
    settings = {
        key: _inside(one, stood[key].setting) if key in stood else one.start
        for key, one in fitted.items()
    }
    new = {key: value for key, value in settings.items() if key not in stood}
    state = replace(
        state,
        settings=settings,
        known_since={key: state.known_since.get(key, len(state.runs)) for key in fitted},
        to_recount={**{key: {} for key in back}, **nets, **state.to_recount},
        unfitted={key: was for key, was in stood.items() if key not in fitted},
        baselines=_with_new(state.baselines, new),
    )
    for key in otherwise:
        state = _with_goals(state, key, dict.fromkeys(nets[key], settings[key]))
    return _void_changes(state, {*otherwise, *(fitted_before.keys() - fitted.keys())})


def found_again(state: State, key: str, found: float) -> State:
    """Return the state after the recount a new car file asked for: the net distances stay."""
    one = adjusters(state.described_car)[key]
    goals = {
        baseline: _inside(one, round(found - one.up(True) * net * one.step, 6))
        for baseline, net in state.to_recount[key].items()
    }
    waiting = {other: nets for other, nets in state.to_recount.items() if other != key}
    return _with_goals(replace(state, to_recount=waiting), key, goals)


def _counts_otherwise(was: Stood, one: Adjuster) -> bool:
    if not one.holds(was.setting):
        return True
    names = zip(was.adjuster.positions, one.positions, strict=False)
    same = ("part", "count_from", "per_unit", "unit")
    return any(a != b for a, b in names) or any(
        getattr(was.adjuster, key) != getattr(one, key) for key in same
    )


def _nets(was: Stood, baselines: tuple[Baseline, ...]) -> dict[str, float]:
    """Return how many steps firmer than each baseline the adjuster stood."""
    one = was.adjuster
    return {
        baseline.id: one.up(True) * (was.setting - baseline.settings[one.id]) / one.step
        for baseline in baselines
        if one.id in baseline.settings
    }


def _inside(one: Adjuster, value: float) -> float:
    return min(max(value, one.low), one.high)


def _with_new(baselines: tuple[Baseline, ...], new: Settings) -> tuple[Baseline, ...]:
    """Return the baselines with adjusters new to the log in the one in force."""
    if not baselines:
        return ()
    *older, in_force = baselines
    return (*older, replace(in_force, settings={**in_force.settings, **new}))


def _with_goals(state: State, key: str, goals: Mapping[str, float]) -> State:
    """Return the state with the goal of one adjuster set in each baseline named."""
    return replace(
        state,
        baselines=tuple(
            replace(one, settings={**one.settings, key: goals[one.id]}) if one.id in goals else one
            for one in state.baselines
        ),
    )


def _void_changes(state: State, gone: set[str]) -> State:
    """Withdraw what was turned in counts that mean nothing any more."""
    for change in state.changes if gone else ():
        if change.status != "withdrawn" and any(s.turn.adjuster in gone for s in change.steps):
            status = advance(change.status, "withdrawn")
            state = state.with_change(replace(change, status=status, in_doubt=True))
    return state
