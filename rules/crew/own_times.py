"""What a setting ran before at the same meeting: a number far from it is asked back.

The distance is robust: a middle and a scatter that one bad pass does not move. Its size is common
practice, no source.
"""

from collections.abc import Mapping
from statistics import median

from rules.advice.change_evidence import is_counted
from rules.log.slip_words import slip_of
from rules.log.state import Run, State
from rules.passes.slip import FIELDS, Own

ENOUGH_PASSES = 3
SCATTERS = 5.0
# A car that repeats to the thousandth still has this scatter: 0.02 of a time, 1 % of any number.
FLOOR_S = 0.02
FLOOR_SHARE = 0.01
# The median distance from the median of a normal scatter, over its standard deviation: 0.6745.
MEDIAN_DISTANCE = 0.6745


def own_numbers(state: State, run: Run | None) -> Mapping[str, Own]:
    """Return what the setting of a pass ran before, by field of the slip.

    run: the pass; None for one that is not in the log yet.
    """
    now = state.meeting.id if state.meeting else None
    meeting = run.meeting if run else now
    settings = dict(run.settings if run else state.settings)
    slips = [
        slip_of(one)
        for one in state.runs
        if one.meeting == meeting
        and (run is None or one.id != run.id)
        and dict(one.settings) == settings
        and is_counted(one)
    ]
    found = {}
    for key in FIELDS.keys() - {"reaction_s", "dial_in_s"}:
        values = [value for slip in slips if (value := getattr(slip, key)) is not None]
        if len(values) >= ENOUGH_PASSES:
            found[key] = _own(key, values)
    return found


def _own(key: str, values: list[float]) -> Own:
    middle = median(values)
    scatter = median(abs(value - middle) for value in values) / MEDIAN_DISTANCE
    floor = max(FLOOR_SHARE * middle, FLOOR_S if FIELDS[key].quantity is None else 0.0)
    return Own(middle, SCATTERS * max(scatter, floor), len(values))
