"""Going on without a verdict or a control pass: the reasons, when there is something to go past."""

from typing import Annotated, Literal

from pydantic import Field

from rules.book import Book
from rules.crew.crew_action import CrewAction
from rules.crew.form_ends import Filled
from rules.faults import there
from rules.log.events.advice import Overridden
from rules.log.events.event import Body
from rules.log.state import Run, State
from rules.question import ActionError, Choice, Prompt
from rules.wording import capital

OVERRIDE_REASONS = {
    "no-time": "No time before the call",
    "safety": "Safety: the car must be changed now",
    "weather": "Weather or track changed too much",
    "other-work": "The car was worked on anyway",
    "driver": "The driver asks for it",
    "other": "Other (type it)",
}


class Override(CrewAction):
    """Go past an open change or a control pass, for a reason that stays in the log."""

    action: Literal["override"] = "override"
    reason: str
    text: Annotated[str, Field(max_length=200)] = ""


def next_step(state: State, book: Book, filled: Filled) -> Prompt | Override:
    """Ask for the reason of an override; say so first where there is nothing to override."""
    if why_not := why_no_override(state):
        return Prompt("none", capital(why_not) + ".")
    if "reason" not in filled:
        choices = tuple(Choice(key, label) for key, label in OVERRIDE_REASONS.items())
        hint = "The reason stays in the log. An inspection is never overridden."
        return Prompt("reason", "Go on without it: why?", choices=choices, hint=hint)
    if filled["reason"] == "other" and "words" not in filled:
        return Prompt("words", "The reason, in your words", "text", longest=200)
    return Override(reason=str(filled["reason"]), text=str(filled.get("words", "")))


def why_no_override(state: State) -> str:
    """Say why nothing can be overridden now; empty where something can."""
    if _told_to_control(state) is not None:
        return ""
    run, change = state.open_run, state.open_change
    if change is None or change.status not in ("applied", "run"):
        return "nothing here can be overridden; an inspection never can"
    if run is not None and run.change == change.id:
        return "the pass with this change is being judged: finish its prompts first"
    return ""


def bodies(state: State, action: Override) -> list[Body]:
    """Return the event of going on without it.

    Raises:
        ActionError: no such reason, or nothing to go past.
    """
    if action.reason not in OVERRIDE_REASONS:
        wanted = ", ".join(OVERRIDE_REASONS)
        raise ActionError(f"reason: found {action.reason!r}; wanted one of {wanted}")
    if action.reason == "other" and not action.text.strip():
        raise ActionError("reason: 'other' needs words of your own")
    if why_not := why_no_override(state):
        raise ActionError(why_not)
    run = _told_to_control(state)
    if run is not None:
        return [
            Overridden(block="control pass", run=run.id, reason=action.reason, text=action.text)
        ]
    change = there(state.open_change, "an open change")
    return [
        Overridden(block="open change", change=change.id, reason=action.reason, text=action.text)
    ]


def _told_to_control(state: State) -> Run | None:
    """Return the open pass after which a control pass was advised; None for none."""
    run = state.open_run
    advice = None if run is None else run.advice
    return run if advice is not None and advice.kind == "control" else None
