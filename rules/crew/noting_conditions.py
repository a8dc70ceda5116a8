"""Which of lane, air and track is asked for next, and what was noted of them in the end."""

from rules.book import Book
from rules.crew import readings
from rules.crew.form_ends import Filled
from rules.crew.pass_actions import NoteConditions, pressure_doubt
from rules.log.engine import BREATHING, is_said
from rules.log.state import State
from rules.passes.readings import LANE, PRESSURE_KIND, READINGS
from rules.question import UNKNOWN, AnswerError, Choice, Prompt
from rules.wording import capital

DOUBT, KEEP = "doubt", "keep"


def next_step(state: State, book: Book, filled: Filled) -> Prompt | NoteConditions:
    """Ask for lane, air and track of the pass talked about, of the last, or of the one to come."""
    system = state.described_car.units
    if state.runs and LANE not in filled:
        return readings.lane(state.runs[-1])
    coming = filled.get(LANE, readings.COMING) == readings.COMING
    if coming and readings.COMING_LANE not in filled:
        return readings.coming_lane(len(state.runs) + 1)
    if coming and "surface" not in filled:
        return readings.surface()
    for key in READINGS:
        if key not in filled and _is_asked(key, filled):
            return (
                readings.elevation(state, system)
                if key == "elevation"
                else (readings.reading(key, system))
            )
        if key == "pressure" and PRESSURE_KIND not in filled and _said(filled, key):
            return readings.pressure_kind()
    said = {key: value for key, value in filled.items() if value != UNKNOWN and key != DOUBT}
    if coming:
        said["run"] = readings.COMING
        said.pop(LANE, None)
        if readings.COMING_LANE in said:
            said[LANE] = said.pop(readings.COMING_LANE)
        if filled["surface"] == UNKNOWN:
            said["surface"] = "new"
    action = NoteConditions.model_validate({"action": "conditions", **said})
    if odd := _odd_pressure(state, action):
        if DOUBT not in filled:
            return _doubted(odd)
        meant = filled[DOUBT]
        kept = {"keep": ("pressure",)} if meant == KEEP else {PRESSURE_KIND: meant}
        action = action.model_copy(update=kept)
    if BREATHING in filled:
        return action.model_copy(update={BREATHING: filled[BREATHING]})
    asks = state.runs and _said(filled, PRESSURE_KIND) and not is_said(state)
    return readings.breathing() if asks else action


def _odd_pressure(state: State, action: NoteConditions) -> str:
    """Say what is odd about the pressure; what cannot be noted at all is told when it is taken."""
    try:
        return pressure_doubt(state, action)
    except AnswerError:
        return ""


def _doubted(odd: str) -> Prompt:
    return Prompt(
        DOUBT,
        capital(odd) + ". What is it?",
        choices=(
            Choice("sea-level barometer", "A sea-level barometer", key="b"),
            Choice("station pressure", "Station pressure", key="s"),
            Choice(KEEP, "As I said, and read right", key="k"),
        ),
    )


def _said(filled: Filled, key: str) -> bool:
    return filled.get(key, UNKNOWN) != UNKNOWN


def _is_asked(key: str, filled: Filled) -> bool:
    """Tell whether a reading is asked for: a dew point without humidity, a height for pressure."""
    if key == "dew_point":
        return not _said(filled, "humidity")
    return key != "elevation" or _said(filled, "pressure")
