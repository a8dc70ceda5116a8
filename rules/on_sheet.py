"""How the sheets of the shop stand: the fold of what was answered, taken back and closed."""

from dataclasses import replace
from datetime import datetime

from rules import events as ev
from rules.state import Round, State

SheetEvent = ev.SheetAnswered | ev.SheetTakenBack | ev.SheetContinued | ev.SheetClosed


def on_sheet(state: State, body: SheetEvent, at: datetime) -> State:
    """Return the state after an event of a sheet; a round left without an answer never was."""
    rounds = {one.number: one for one in state.sheets.get(body.sheet, ())}
    now = rounds.get(body.round, Round(body.round, at))
    match body:
        case ev.SheetAnswered(key=key, value=value, stops=stops):
            rounds[body.round] = replace(now, answers={**now.answers, key: value}, stops=stops)
        case ev.SheetTakenBack(key=taken, stops=stops):
            answers = {key: value for key, value in now.answers.items() if key != taken}
            rounds[body.round] = replace(now, answers=answers, closed=None, stops=stops)
        case ev.SheetContinued(of=of, key=taken, stops=stops):
            answers = {key: value for key, value in rounds[of].answers.items() if key != taken}
            rounds[body.round] = replace(now, answers=answers, stops=stops, of=of)
        case ev.SheetClosed(stops=stops):
            rounds[body.round] = replace(now, closed=at, stops=stops)
    if not rounds[body.round].answers:
        del rounds[body.round]
    ordered = tuple(rounds[number] for number in sorted(rounds))
    return replace(state, sheets={**state.sheets, body.sheet: ordered})
