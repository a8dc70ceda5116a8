"""How the sheets of the shop stand: the fold of what was answered, taken back and closed.

What was ticked before something new was found does not clear it.
"""

from datetime import datetime

from rules.log.events.base import AnswerValue
from rules.log.events.sheets import SheetAnswered, SheetClosed, SheetContinued, SheetTakenBack
from rules.log.folds.fold_ticks import unticked
from rules.log.rounds import CHECK, FIT, Round, first_of, fresh, reason_of
from rules.log.state import State
from rules.replaced import replace

SheetEvent = SheetAnswered | SheetTakenBack | SheetContinued | SheetClosed


def on_sheet(state: State, body: SheetEvent, at: datetime) -> State:
    """Return the state after an event of a sheet; a round left without an answer never was."""
    rounds = {one.number: one for one in state.sheets.get(body.sheet, ())}
    now = rounds.get(body.round, Round(body.round, at))
    before = now.stops
    match body:
        case SheetAnswered(key=key, value=value, stops=stops):
            answers = {**_without(now, key), key: value}
            rounds[body.round] = replace(now, answers=answers, stops=stops)
        case SheetTakenBack(key=key, stops=stops):
            rounds[body.round] = replace(now, answers=_without(now, key), closed=None, stops=stops)
        case SheetContinued():
            source = rounds.get(body.of, Round(body.of, at))
            before = {**source.stops, **now.stops}
            rounds[body.round] = _continued(now, source, body)
        case SheetClosed(stops=stops):
            rounds[body.round] = replace(now, closed=at, stops=stops)
    done = rounds[body.round]
    if not done.answers:
        del rounds[body.round]
    ordered = tuple(rounds[number] for number in sorted(rounds))
    lists = {
        (one, reason_of(body.sheet, first_of(ordered, done))) for one in fresh(before, body.stops)
    }
    if body.sheet == FIT and isinstance(body, SheetAnswered) and body.value == "fail":
        lists.add((CHECK, reason_of(FIT, first_of(ordered, done), body.key)))
    return replace(unticked(state, lists), sheets={**state.sheets, body.sheet: ordered})


def _without(now: Round, key: str) -> dict[str, AnswerValue]:
    return {one: value for one, value in now.answers.items() if one != key}


def _continued(now: Round, source: Round, body: SheetContinued) -> Round:
    """Return a round with the answers of another, over which a merged log's own go."""
    answers = {**_without(source, body.key), **now.answers}
    return replace(now, answers=answers, stops={**body.stops, **now.stops}, of=body.of)
