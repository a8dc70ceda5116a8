"""An answer that was wrong is said again, or what was recorded beside it is taken back."""

from dataclasses import replace
from typing import Literal

from pydantic import Field

from rules.book import Book
from rules.crew import doubted_time, taking_back
from rules.crew.correctable import can_ask, prompt_of
from rules.crew.crew_action import CrewAction
from rules.crew.form_ends import Filled, OpenSlip
from rules.crew.prompts import as_built, of_pass
from rules.crew.taking_back import Recorded, TakeBack
from rules.log.events.event import Body
from rules.log.events.passes import Answered
from rules.log.state import SIXTY_FOOT, Run, State
from rules.passes.slip import AskBack
from rules.passes.slip_entry import KEEP, TAKE, asked_back, why_text
from rules.question import ActionError, AnswerError, Choice, Given, Prompt, check

SLIP, DOUBT = "slip", "doubt"
ELSE, LATEST = "else", 6


class Correct(CrewAction):
    """Correct an answer of an earlier pass. The old one stays in the log.

    `keep`: a 60-foot is meant as it is, far as it may be from its setting's others.
    """

    action: Literal["correct"] = "correct"
    run: int = Field(ge=1)
    prompt: str
    value: str | float | list[str]
    keep: bool = False


def next_step(state: State, book: Book, filled: Filled) -> Prompt | Correct | TakeBack | OpenSlip:
    """Ask which answer of which pass is wrong, and what it should be."""
    if "run" not in filled:
        runs = list(reversed(state.runs))
        choices = tuple(Choice(str(run.number), f"Pass {run.number}") for run in runs)
        if any(taking_back.beside(state, book)):
            choices = (
                *choices[:LATEST],
                Choice(ELSE, "Something else recorded"),
                *choices[LATEST:],
            )
        return Prompt("run", "Correct an answer of which pass?", choices=choices)
    if filled["run"] == ELSE:
        return _take_back(list(taking_back.beside(state, book)), filled)
    run = next(r for r in state.runs if str(r.number) == filled["run"])
    if "prompt" not in filled:
        choices = tuple(
            Choice(key, prompt_of(state, book, run, key).question)
            for key in run.answers
            if can_ask(state, book, run, key)
        )
        slip = Choice(SLIP, "The time slip" if run.slip else "The time slip: none is in the log")
        off = tuple(Choice(one.id, one.label) for one in taking_back.of_pass(run))
        return Prompt("prompt", "Which answer was wrong?", choices=(slip, *choices, *off))
    if filled["prompt"] == SLIP:
        return OpenSlip(run.number)
    for one in taking_back.of_pass(run):
        if one.id == filled["prompt"]:
            return _off(one)
    asked_prompt = as_built(prompt_of(state, book, run, str(filled["prompt"])), state.car)
    if asked_prompt.id not in filled:
        return of_pass(asked_prompt, run.number)
    value = filled[asked_prompt.id]
    if asked_prompt.id == SIXTY_FOOT and (odd := _odd_time(state, run, asked_prompt, value)):
        return _sixty_meant(state, run, odd, filled)
    new = list(value) if isinstance(value, tuple) else value
    return Correct.model_validate({"run": run.number, "prompt": asked_prompt.id, "value": new})


def _odd_time(state: State, run: Run, prompt: Prompt, value: Given) -> AskBack | None:
    """Return what is odd about a corrected 60-foot; one out of bounds is told when it is taken."""
    try:
        seconds = check(prompt, value)
    except AnswerError:
        return None
    return doubted_time.doubt_of(state, run, seconds) if isinstance(seconds, float) else None


def _sixty_meant(state: State, run: Run, odd: AskBack, filled: Filled) -> Prompt | Correct:
    """Ask whether an odd 60-foot is meant; a mark needs the slip it stands on."""
    if DOUBT not in filled:
        asked = asked_back(odd, state.described_car.units)
        choices = tuple(one for one in asked.choices if one.id in (TAKE, KEEP))
        hint = "Backspace types it again. Lifted or spun: the time slip takes the mark."
        return replace(asked, topic=DOUBT, choices=choices, default=None, hint=hint)
    seconds = odd.offer if filled[DOUBT] == TAKE and odd.offer is not None else odd.found
    return Correct(run=run.number, prompt=SIXTY_FOOT, value=seconds, keep=True)


def _take_back(known: list[Recorded], filled: Filled) -> Prompt | TakeBack:
    if "record" not in filled:
        choices = tuple(Choice(one.id, one.label) for one in known)
        hint = "It stays in the log, and counts no more."
        return Prompt("record", "Take back which?", choices=choices, hint=hint)
    return _off(next(one for one in known if one.id == filled["record"]))


def _off(one: Recorded) -> TakeBack:
    return TakeBack(record=one.record, of=one.of, part=one.part)


def bodies(state: State, book: Book, action: Correct) -> list[Body]:
    """Return the events of a corrected answer.

    Raises:
        ActionError: no such pass or answer, or a 60-foot that is odd and not said to be meant.
        AnswerError: the value does not fit.
    """
    run = state.run_numbered(action.run)
    if run is None:
        raise ActionError(f"run: found {action.run}; wanted 1 to {len(state.runs)}")
    if action.prompt not in run.answers:
        wanted = ", ".join(run.answers) or "none"
        raise ActionError(f"prompt: found {action.prompt!r}; pass {run.number} answered {wanted}")
    if not can_ask(state, book, run, action.prompt):
        raise ActionError(f"prompt: found {action.prompt!r}, which the book has no more")
    value = tuple(action.value) if isinstance(action.value, list) else action.value
    checked = check(prompt_of(state, book, run, action.prompt), value)
    corrected = Answered(run=run.id, prompt=action.prompt, value=checked)
    if action.prompt != SIXTY_FOOT or not isinstance(checked, float):
        return [corrected]
    odd = doubted_time.doubt_of(state, run, checked)
    if odd is not None and not action.keep:
        why = why_text(odd, state.described_car.units)
        raise ActionError(f"sixty-foot: {why}; say keep if it is right")
    return [corrected, *([doubted_time.meant(run, checked)] if odd else ())]
