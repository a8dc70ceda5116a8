"""What is set otherwise than on the last pass that was judged: what the driver is told."""

from collections.abc import Mapping, Sequence

from rules.advice.safety.awake_dangers import awake_at, does_again, leads_to, woken
from rules.car.adjusters import Adjuster, Turn
from rules.log.said import VERDICT, is_unjudged, named_symptoms
from rules.log.state import Run, State
from rules.passes.marks import SPOILING
from rules.question import UNKNOWN
from rules.wording import capital, listed


def last_judged(state: State) -> Run | None:
    """Return the last pass of which somebody said what the car did, and nothing spoilt it."""
    return next((run for run in reversed(state.runs) if _is_judged(state, run)), None)


def _is_judged(state: State, run: Run) -> bool:
    if is_unjudged(state, run) or (run.slip is not None and run.slip.marks & SPOILING):
        return False
    said = VERDICT in run.answers or bool(named_symptoms(state, run))
    return said and UNKNOWN not in (run.answers.get(VERDICT), *named_symptoms(state, run))


def turned_since(state: State, run: Run) -> tuple[Turn, ...]:
    """Return every difference from the settings of a pass, in the order of the car file."""
    fitted = state.fitted
    return tuple(
        Turn(adjuster=key, before=run.settings[key], after=state.settings[key])
        for key in fitted
        if key in run.settings and state.settings.get(key, run.settings[key]) != run.settings[key]
    )


def since_notice(state: State) -> str:
    """Name every difference from the last judged pass, and the danger the car may show again."""
    run = last_judged(state)
    turns = turned_since(state, run) if run is not None else ()
    fitted = state.fitted
    said = []
    if run is not None and turns:
        said.append(f"Since pass {run.number}: {'; '.join(ways(turns, fitted))}.")
    danger = woken(state, turns)
    if danger is not None:
        back = [fitted[turn.adjuster] for turn in turns if leads_to(fitted, turn, danger)]
        levers = {_name(one): one for one in back}
        names = listed(levers)
        does = does_again(levers.values())
        said.append(f"{capital(names)} {does} again: {danger.where}.")
    elif (danger := awake_at(state, state.settings)) is not None:
        said.append(f"As lively as it was: {danger.where}.")
    return " ".join(said)


def _name(one: Adjuster) -> str:
    if one.partner is None:
        return one.label
    return one.name if one.name.startswith(one.axle) else f"{one.axle} {one.name}"


def ways(turns: Sequence[Turn], fitted: Mapping[str, Adjuster]) -> list[str]:
    """Return from where to where each lever went; two sides that do the same are said once."""
    said: dict[str, str] = {}
    by_lever = {turn.adjuster: turn for turn in turns}
    for turn in turns:
        one = fitted[turn.adjuster]
        other = by_lever.get(one.partner or "")
        alike = other and (other.before, other.after) == (turn.before, turn.after)
        name = _name(one) if alike else one.label
        said[f"{name} {one.show(turn.before)} to {one.show(turn.after)}"] = ""
    return list(said)
