"""Starting what the launch has learnt of this car afresh, and taking that back."""

from typing import Literal

from rules.crew.crew_action import CrewAction
from rules.log.events.advice import LearntAfresh
from rules.log.events.event import Body
from rules.log.state import State
from rules.question import AnswerError, Choice, Prompt

KEEP, AFRESH, TAKE_BACK = "keep", "afresh", "take back"


class LearnAfresh(CrewAction):
    """Let the launch learn this car anew; `taken_back`: the last such beginning is off again."""

    action: Literal["learn afresh"] = "learn afresh"
    taken_back: bool = False


def asked(state: State) -> Prompt:
    """Ask whether to begin afresh; Enter keeps what was learnt."""
    choices = [
        Choice(KEEP, "No: go on with what it has learnt"),
        Choice(AFRESH, "Yes: the passes so far teach it nothing more", why_not=_why_not(state)),
    ]
    if state.unlearnt:
        choices.append(Choice(TAKE_BACK, "The last fresh start was a mistake: they count again"))
    return Prompt(
        "afresh",
        "Start what the launch has learnt of this car afresh?",
        choices=tuple(choices),
        default=KEEP,
        hint="Log, verdicts and the book stay as they are. It can be taken back here.",
    )


def _why_not(state: State) -> str:
    teaching = any(run.done and state.teaches(run) for run in state.runs)
    return "" if teaching else "no pass has taught it anything"


def bodies(state: State, action: LearnAfresh) -> list[Body]:
    """Return the event of a fresh beginning, or of taking the last one back.

    Raises:
        AnswerError: there is nothing to throw away, or no beginning to take back.
    """
    if action.taken_back and not state.unlearnt:
        raise AnswerError("learn afresh: nothing was begun afresh, so nothing is taken back")
    if not action.taken_back and (why := _why_not(state)):
        raise AnswerError(f"learn afresh: {why}")
    return [LearntAfresh(taken_back=action.taken_back)]
