"""The shipped functions as the benchmark plays them: the only tie to the program."""

from rules.evidence.model import fit
from rules.evidence.passes import PassTime
from rules.evidence.passes_needed import more_passes
from rules.evidence.priors import for_sixty
from rules.evidence.verdict import USUAL_WORTH_S, judge_fit
from tests.bench.clock_days.play import Look, Timed
from tests.bench.clock_days.world import Day


def shipped(day: Day, passes: tuple[Timed, ...]) -> Look:
    """Judge today's passes; what cannot be told is put back, and the rest is the other setting."""
    today = [one for one in passes if one.meeting == len(day.meetings) - 1]
    times = [PassTime(n, one.letter, one.time_s, lane=one.lane) for n, one in enumerate(today)]
    known = fit(times, for_sixty(sum(one.value_s for one in times) / len(times)))
    told = judge_fit(known, "A", "B", USUAL_WORTH_S)
    then = "B" if today[-1].letter == "A" else "A"
    if told.word == "cannot tell" and not told.no_matter:
        then = more_passes(known, "A", "B", USUAL_WORTH_S).settings[0]
    return Look(told.word, told.quicker, "B" if told.word == "helped" else "A", then)
