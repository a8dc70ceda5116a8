"""The shipped functions as the benchmark plays them: the only tie to the program."""

from functools import lru_cache

from rules.evidence.car_noise import learnt
from rules.evidence.model import fit
from rules.evidence.passes import PassTime
from rules.evidence.passes_needed import more_passes
from rules.evidence.priors import Priors, for_sixty
from rules.evidence.recommendation import recommended
from rules.evidence.verdict import judge_fit
from tests.bench.clock_days.play import Look, Timed
from tests.bench.clock_days.world import Day


def shipped(day: Day, passes: tuple[Timed, ...]) -> Look:
    """Judge the passes so far with all that the log holds besides."""
    own = str(len(day.meetings) - 1)
    times = [
        PassTime(n, one.letter, one.time_s, lane=one.lane, meeting=str(one.meeting))
        for n, one in enumerate(passes)
    ]
    today = [one for one in times if one.meeting == own]
    priors = _priors(day, today[0].value_s)
    known = fit(today, priors, [one for one in times if one.meeting != own])
    told = judge_fit(known, "A", "B", None)
    then, more, chance = "B" if today[-1].setting == "A" else "A", 0, 0.0
    if told.word == "cannot tell":
        planned = more_passes(known, "A", "B", None)
        then = planned.settings[0]
        if planned.would_tell:
            more, chance = len(planned.settings), planned.chance
    best = recommended(told, "new" if today[-1].setting == "B" else "old")
    ends = "B" if best is not None and best.setting == "new" else "A"
    return Look(told.word, told.quicker, ends, then, more, chance)


@lru_cache(maxsize=4)
def _priors(day: Day, typical_s: float) -> Priors:
    """Return what is believed of the car before the two settings ever ran."""
    days = (
        tuple(
            PassTime(n, "", round(float(one), 3), meeting=str(place)) for n, one in enumerate(times)
        )
        for place, times in enumerate(day.before)
    )
    return learnt(for_sixty(typical_s), days)
