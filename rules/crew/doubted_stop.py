"""An O-ring at its stop on a car whose tyres stayed down is asked back, once.

Nothing landed then: braking or the way back put it there, or the tyres did come up. Common
practice, no source. What the landing did not do is not known any more; in doubt it was the landing.
"""

from rules.advice.safety.gates import raised
from rules.log.events.event import Body
from rules.log.events.lists import ListOwed
from rules.log.events.passes import Answered, AnswerTakenBack
from rules.log.said import named_symptoms
from rules.log.state import Run, State
from rules.question import UNKNOWN, Choice, Prompt

MEANT = "stop-meant"
LANDING, BRAKING = "landing", "braking"
BRAKED = "The front met its stop on the brakes: what it may have hit is looked at."
_TRAVEL, _STAND, _AT_STOP = "front-travel", "stand", "at-stop"
_LANDED = frozenset(
    {"front-drops-hard", "front-bounces", "front-carries", "wheelie-bar-hits", "damage-found"}
)
"""What a crew names of a front that came down: then the O-ring is taken at its word."""


def is_open(state: State, run: Run) -> bool:
    """Tell whether it is still to be asked what put the O-ring at the stop."""
    answers = run.answers
    stayed_down = answers.get(_STAND) == "none" and "lift" not in run.measured
    return (
        stayed_down
        and answers.get(_TRAVEL) == _AT_STOP
        and MEANT not in answers
        and _LANDED.isdisjoint(named_symptoms(state, run))
    )


def prompt() -> Prompt:
    """Ask what put the O-ring there; letters answer."""
    return Prompt(
        MEANT,
        "The front tyres stayed down, and the O-ring is at the stop. What put it there?",
        choices=(
            Choice(LANDING, "The landing: the tyres did come up", key="u"),
            Choice(BRAKING, "On the brakes, or on the way back to the pits", key="o"),
            Choice(UNKNOWN, "Nobody knows", key="i"),
        ),
        hint="The stop was met: its list comes in any case. In doubt it was a hard landing.",
        default=UNKNOWN,
    )


def bodies(run: Run, said: str) -> list[Body]:
    """Return the events of what was meant.

    After braking nobody knows what the landing did, and the stop was met all the same; a landing
    says that the tyres came up, so how high is asked again.
    """
    if said == BRAKING:
        met = raised(frozenset(), {_TRAVEL: _AT_STOP})
        owed = [ListOwed(inspection=one.inspection, reason=run.id, says=BRAKED) for one in met]
        return [Answered(run=run.id, prompt=_TRAVEL, value=UNKNOWN), *owed]
    meant = Answered(run=run.id, prompt=MEANT, value=said)
    if said == LANDING:
        return [AnswerTakenBack(run=run.id, prompt=_STAND), meant]
    return [meant]


def taken_back(run: Run) -> list[Body]:
    """Return the events that ask it again, with the stand it is asked of."""
    stood = [] if _STAND in run.answers else [Answered(run=run.id, prompt=_STAND, value="none")]
    return [*stood, AnswerTakenBack(run=run.id, prompt=MEANT)]
