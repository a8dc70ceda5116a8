"""Every sheet of the shop by its id, and how far each one is."""

from datetime import datetime

from rules.crew.sheets.cg import CG_HEIGHT
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.edit.edit_sheet import EDIT
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.fitting import FITTING
from rules.crew.sheets.rates import SPRING_RATES
from rules.crew.sheets.rounds import counted, filling
from rules.crew.sheets.scales import SCALES
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.stock import STOCK
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.crew.sheets.walk import WALK
from rules.log.rounds import Round
from rules.log.state import State

MENU: tuple[Sheet, ...] = (
    EDIT, SCALES, CG_HEIGHT, TRAVEL_SURVEY, FIT_CHECKS, STOCK, WALK, SPRING_RATES,
    DAMPERS, FITTING,
)  # fmt: skip
"""The sheets of the shop's menu, in the order of the first hour with a car."""
SHEETS: dict[str, Sheet] = {sheet.id: sheet for sheet in (NEW_CAR, *MENU)}
_DONE = {
    "edit": "edited", "scales": "weighed", "cg height": "weighed", "travel survey": "surveyed",
    "fit checks": "ticked", "stock": "added to", "baseline walk": "walked",
    "spring rates": "worked out", "dampers": "last", "fitting": "fitted",
}  # fmt: skip


def how_far(sheet: Sheet, state: State) -> str:
    """Say how far a sheet is: when it was last done, and what is left of the open round."""
    rounds = state.sheets.get(sheet.id, ())
    done = [one.closed for one in rounds if one.closed is not None]
    parts = [f"{_DONE.get(sheet.id, 'done')} {_day(done[-1])}{_red(rounds)}"] if done else []
    if rounds and rounds[-1].closed is None:
        answered, there = counted(sheet, filling(sheet, state))
        parts.append(f"{there - answered} of {there} left" if answered < there else "to finish")
    if not parts and sheet is STOCK and state.car is not None and state.car.stock:
        parts.append(f"{len(state.car.stock)} in the file")
    return "; ".join(parts) or ("as in the file" if sheet is EDIT else "not yet")


def _red(rounds: tuple[Round, ...]) -> str:
    """Say what the round finished last found, cleared or not: stops, or checks that failed."""
    last = next(one for one in reversed(rounds) if one.closed is not None)
    stops = sum(len(words.splitlines()) for words in last.stops.values())
    fails = sum(value == "fail" for value in last.answers.values())
    return f", {stops} STOP" * bool(stops) + f", {fails} FAIL" * bool(fails)


def _day(at: datetime) -> str:
    return f"{at.day} {at:%b}"
