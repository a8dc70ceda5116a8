"""Where a fault costs its time: the stretch of the track that a change for it is judged on besides.

The 60-foot is the first line of every verdict. A fault that comes after it shows in a later
stretch, which scatters by its own measure. Which stretch a fault touches: common practice, no
source.
"""

from dataclasses import dataclass

from rules.advice.change_evidence import Timed, day_fit, setting_name, settings_of
from rules.evidence.priors import for_elapsed
from rules.evidence.verdict import Verdict, both_ran, judge_fit
from rules.log.changes import Change
from rules.log.state import State
from rules.passes.slip import FIELDS, Slip

Beams = tuple[str, str]

AFTER_THE_HIT: Beams = ("sixty_s", "three_thirty_s")
TOP_END: tuple[Beams, ...] = (("eighth_s", "quarter_s"), ("three_thirty_s", "eighth_s"))
# Where each fault is looked for, the best place first; what is not here shows in the 60-foot.
STRETCHES: dict[str, tuple[Beams, ...]] = {
    "front-carries": (AFTER_THE_HIT,),
    "front-drops-hard": (AFTER_THE_HIT,),
    "front-bounces": (AFTER_THE_HIT,),
    "unloads-after-hit": (AFTER_THE_HIT,),
    "wheelie-bar-hits": (AFTER_THE_HIT,),
    # The first change of gear falls there on most cars; the slip does not say where.
    "unloads-at-gear-change": (AFTER_THE_HIT,),
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


def between(beams: Beams) -> Timed:
    """Return the time between two beams, of slips that have both."""
    start, end = beams

    def timed(slip: Slip) -> float | None:
        times = slip.times()
        if start not in times or end not in times or times[end] <= times[start]:
            return None
        return round(times[end] - times[start], 4)

    return timed


def stretch_verdict(state: State, change: Change) -> StretchVerdict | None:
    """Return what the stretch says that the change's fault touches.

    None where the fault shows in the 60-foot, or no slip of either setting has the stretch.
    """
    old, new = (setting_name(one) for one in settings_of(state, change))
    for beams in STRETCHES.get(change.symptom or "", ()):
        day = day_fit(state, change.meeting, (old, new), between(beams), for_elapsed)
        if day is not None and both_ran(times := judge_fit(day, old, new, None)):
            return StretchVerdict(beams, times)
    return None
