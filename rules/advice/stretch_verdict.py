"""Where a fault costs its time: the stretch of the track that a change for it is judged on besides.

The 60-foot is the first line of every verdict. A fault that comes after it shows in a later
stretch, which scatters by its own measure. Which stretch a fault touches: common practice, no
source.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from statistics import median

from rules.advice.change_evidence import settings_of
from rules.advice.timed_passes import Timed, day_fit, setting_name
from rules.evidence.priors import for_elapsed
from rules.evidence.verdict import Verdict, both_ran, judge_fit
from rules.log.changes import Change
from rules.log.state import State
from rules.passes.slip import FIELDS, Slip

Beams = tuple[str, str]

GEAR_CHANGE = "unloads-at-gear-change"
# Beams in order, between which a gear change is looked for.
BEAMS = ("sixty_s", "three_thirty_s", "eighth_s", "quarter_s")
# The clock of a slip starts when the tyre leaves the beam, so long after the first move [s].
ROLLOUT_S = 0.25
AFTER_THE_HIT: Beams = ("sixty_s", "three_thirty_s")
TOP_END: tuple[Beams, ...] = (("eighth_s", "quarter_s"), ("three_thirty_s", "eighth_s"))
# Where each fault is looked for, the best place first; what is not here shows in the 60-foot.
STRETCHES: dict[str, tuple[Beams, ...]] = {
    "front-carries": (AFTER_THE_HIT,),
    "front-drops-hard": (AFTER_THE_HIT,),
    "front-bounces": (AFTER_THE_HIT,),
    "unloads-after-hit": (AFTER_THE_HIT,),
    "wheelie-bar-hits": (AFTER_THE_HIT,),
    # Where the car file does not say when it changes gear: the first change of most cars.
    GEAR_CHANGE: (AFTER_THE_HIT,),
    "nose-stays-high": TOP_END,
    "wanders-at-speed": TOP_END,
}


@dataclass(frozen=True)
class StretchVerdict:
    """What the times of one stretch say of a change; `words` name the stretch."""

    beams: Beams
    times: Verdict

    @property
    def words(self) -> str:
        """Name the stretch."""
        start, end = (FIELDS[one].label for one in self.beams)
        return f"{start} to {end}"


@cache
def between(beams: Beams) -> Timed:
    """Return the time between two beams, of slips that have both."""
    start, end = beams

    def timed(slip: Slip) -> float | None:
        times = slip.times()
        if start not in times or end not in times or times[end] <= times[start]:
            return None
        return round(times[end] - times[start], 4)

    return timed


def stretches_of(state: State, change: Change) -> tuple[Beams, ...]:
    """Return where a change's fault is looked for, the best place first."""
    found = STRETCHES.get(change.symptom or "", ())
    return _of_gear_changes(state, change) or found if change.symptom == GEAR_CHANGE else found


def _of_gear_changes(state: State, change: Change) -> tuple[Beams, ...]:
    """Return the stretches that the gear changes of the car file fall in, by the meeting's slips.

    Empty where the file or the slips do not say; one before the first beam is the 60-foot's own.
    """
    launch = state.described_car.launch
    slips = [one.slip for one in state.runs_at(change.meeting) if one.slip]
    noted = {key: [t for one in slips if (t := getattr(one, key))] for key in BEAMS}
    beams = [(key, median(times)) for key, times in noted.items() if times]
    changes = (launch.first_change_at_s, launch.second_change_at_s)
    found = [
        (start, end)
        for at in changes
        for (start, early), (end, late) in pairwise(beams)
        if at is not None and early <= at - ROLLOUT_S < late
    ]
    return tuple(dict.fromkeys(found))


def stretch_verdict(state: State, change: Change) -> StretchVerdict | None:
    """Return what the stretch says that the change's fault touches.

    None where the fault shows in the 60-foot, or no slip of either setting has the stretch.
    """
    old, new = (setting_name(one) for one in settings_of(state, change))
    for beams in stretches_of(state, change):
        day = day_fit(state, change.meeting, (old, new), between(beams), for_elapsed)
        if day is not None and both_ran(times := judge_fit(day, old, new, None)):
            return StretchVerdict(beams, times)
    return None
