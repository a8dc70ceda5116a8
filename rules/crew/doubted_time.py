"""A 60-foot that is far from what its setting ran before is asked back, however it came in.

What is strange about it is found by `rules.passes.slip.questions`, as for a whole slip: a number
out of the usual, a slipped decimal, or far from this setting's own passes. What the crew meant as
it is stays an answer of the pass, so that it is asked once.
"""

from dataclasses import replace

from rules.log.events.event import Body
from rules.log.events.passes import Answered, AnswerTakenBack, SlipNoted
from rules.log.slip_words import slip_of
from rules.log.state import SIXTY_FOOT, Run, State
from rules.passes.slip import AskBack, questions
from rules.passes.slip_entry import AGAIN, KEEP, MARKS, TAKE, asked_back
from rules.question import Prompt
from rules.units import System

# The question after the time, and the answer that holds the time which was meant.
MEANT = "sixty-foot-meant"
LABELS = {MEANT: "60-foot, meant as it is:"}
_SIXTY = "sixty_s"


def doubt_of(state: State, run: Run, seconds: float) -> AskBack | None:
    """Return what is strange about a 60-foot [s] of a pass, None where nothing is."""
    slip = replace(slip_of(run), sixty_s=seconds)
    # What a scatter is worked out with waits until there is a slip: most questions do without.
    from rules.crew.own_times import own_numbers

    asked = questions(slip, own_numbers(state, run))
    return next((one for one in asked if one.field == _SIXTY), None)


def open_doubt(state: State, run: Run) -> AskBack | None:
    """Return what is still to be asked about the 60-foot that was answered for a pass."""
    seconds = run.answers.get(SIXTY_FOOT)
    on_slip = run.slip is not None and run.slip.sixty_s is not None
    if on_slip or not isinstance(seconds, float) or run.answers.get(MEANT) == seconds:
        return None
    return doubt_of(state, run, seconds)


def prompt(asked: AskBack, system: System) -> Prompt:
    """Ask what was meant by a strange time."""
    return replace(asked_back(asked, system), topic=MEANT)


def bodies(run: Run, asked: AskBack, said: str) -> list[Body]:
    """Return the events of what was meant; a mark makes it the time of a slip that has it."""
    if said == AGAIN:
        return [AnswerTakenBack(run=run.id, prompt=SIXTY_FOOT)]
    if said == KEEP:
        return [meant(run, asked.found)]
    if said == TAKE and asked.offer is not None:
        return [Answered(run=run.id, prompt=SIXTY_FOOT, value=asked.offer)]
    slip = slip_of(run)
    marks = slip.marks | {one for one in MARKS if one == said}
    noted = SlipNoted(run=run.id, slip=replace(slip, marks=marks, lane=slip.lane or run.lane))
    return [AnswerTakenBack(run=run.id, prompt=SIXTY_FOOT), noted]


def meant(run: Run, seconds: float) -> Body:
    """Return the event that a 60-foot [s] is meant as it is."""
    return Answered(run=run.id, prompt=MEANT, value=seconds)
