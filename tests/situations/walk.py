"""Plays a situation through the functions that the screen uses, and tries every answer at its end.

Questions are answered by their id. One that the situation does not know takes what Enter takes, or
"don't know": a question more, or one less, is no fault of the program.
"""

from collections.abc import Iterable, Iterator, Mapping
from copy import copy
from dataclasses import replace
from typing import Any

from rules.advice.safety.gates import open_blocks
from rules.asked import TurnChoice
from rules.book import Book, shipped
from rules.log.advice import Advice
from rules.log.said import GOOD
from rules.question import UNKNOWN, ActionError, AnswerError, Prompt
from tests.situations.words import (
    Answer,
    Do,
    Outcome,
    Pass,
    Situation,
    Step,
    Until,
    fits,
)
from tests.support.crew import Crew

BOOK = shipped()
MOST_QUESTIONS = 60
MOST_WAYS = 300
# What a pass was is told, whatever else is not known; the rest is asked.
TOLD = {"symptoms", "what-else", "verdict", "meeting", "session"}
WORK = ("turn", "settle", "reached")
# What a crew that is asked back takes where nothing stands on Enter.
CAUTIOUS = (TurnChoice.NOT_YET, "no", "leave", "keep", "stay", "stop")
# A way back may be refused for what it leads to, as long as it is said.
WAYS_BACK = ("undo last change", "put back to baseline")
ON = ("nobody knows", "skip measure", "skip control")
Told = Mapping[str, Any]


class HistoryError(AssertionError):
    """The history cannot be played: the program went another way."""


class Walk:
    """One crew on its way; a copy of it can go another way."""

    def __init__(self, crew: Crew) -> None:
        self.crew = crew
        self.heard: list[str] = []
        self.untold = False
        self.asked_symptoms = False

    def fork(self) -> "Walk":
        """Return another walk from here."""
        other = copy(self)
        other.crew = copy(self.crew)
        other.crew.log = list(self.crew.log)
        other.heard = list(self.heard)
        return other

    @property
    def prompt(self) -> Prompt:
        """The open question."""
        return self.crew.prompt

    def say(self, value: Any) -> None:
        """Answer the open question; what it refuses is answered as nothing known."""
        prompt = self.prompt
        self.heard.append(text_of(prompt))
        try:
            self.crew.say(list(value) if isinstance(value, tuple) else value)
        except AnswerError:
            faults = [one for one in value if one != GOOD] if isinstance(value, list) else []
            self.crew.say(faults if faults and GOOD in value else way_on(prompt))

    def answer_for(self, told: Told) -> Any:
        """Return what the situation says to the open question, or what Enter takes."""
        prompt = self.prompt
        if names_symptoms(prompt, self.crew.book):
            return among(prompt, told.get("symptoms", ()))
        if prompt.id in told:
            self.untold = self.untold or told[prompt.id] == UNKNOWN
            return told[prompt.id]
        if prompt.kind not in ("tick",) and prompt.id in self.crew.book.prompts:
            self.untold = True
        return way_on(prompt)


def text_of(prompt: Prompt) -> str:
    """Return all that is read with a question, its id in brackets first."""
    read = [
        f"[{prompt.id}]",
        prompt.question,
        prompt.hint,
        prompt.notice,
        *(c.label for c in prompt.choices),
    ]
    if isinstance(prompt.about, Advice):
        read.append(advice_text(prompt.about))
    return " ".join(read).lower()


def advice_text(given: Advice) -> str:
    """Return all that an advice says."""
    said = (given.title, given.cause, given.why, given.expect, *given.cautions, *given.lines)
    return " ".join(said).lower()


def names_symptoms(prompt: Prompt, book: Book) -> bool:
    """Tell whether the question is what the car did, under whatever name."""
    ids = {choice.id for choice in prompt.choices}
    return prompt.kind == "many" and len(ids & book.symptoms.keys()) >= 3


def among(prompt: Prompt, wanted: Iterable[str]) -> Any:
    """Return those of the wanted that can be chosen, or what says that there is nothing."""
    can = {choice.id for choice in prompt.choices if not choice.why_not}
    chosen = [one for one in wanted if one in can]
    if chosen:
        return chosen
    return way_on(prompt)


def way_on(prompt: Prompt) -> Any:
    """Return the answer of a crew that knows nothing more: ticks found good, Enter, don't know."""
    if prompt.kind == "tick":
        return "all ok"
    free = [choice.id for choice in prompt.choices if not choice.why_not]
    if prompt.id.startswith("pair:"):
        return "later"
    if prompt.kind == "many":
        nothing = next((one for one in ("nothing", UNKNOWN) if one in free), None)
        return [nothing or (UNKNOWN if prompt.unknown else free[0])]
    if prompt.unknown:
        return UNKNOWN
    if prompt.optional:
        return ""
    if prompt.kind == "text":
        return prompt.default or "Invented"
    if prompt.default is None:
        return next((one for one in CAUTIOUS if one in free), free[0])
    return prompt.default if prompt.default in free else free[0]


def begin(case: Situation) -> Walk:
    """Play the history; what was seen last is still to be said.

    Raises:
        HistoryError: the program advised or asked otherwise than the history tells.
    """
    walk = Walk(Crew(case.car, BOOK, session=case.session))
    for step in case.history:
        walk.heard.clear()
        play(walk, step)
    if case.seen is not None:
        walk.heard.clear()
        new_pass(walk, case.seen)
    return walk


def play(walk: Walk, step: Step) -> None:
    """Play one step of a history.

    Raises:
        HistoryError: the program went another way.
    """
    match step:
        case Do():
            try:
                walk.crew.do(step.action, **step.fields)
            except ActionError as error:
                if step.action not in WAYS_BACK:
                    raise HistoryError(f"{step.action}: {error}") from None
                walk.heard.append(str(error).lower())
        case Answer():
            if not walk.prompt.id.startswith(step.prompt):
                raise HistoryError(f"{walk.prompt.id} is open, not {step.prompt}")
            walk.say(step.value)
        case Until():
            new_pass(walk, Pass(step.said))
            for _ in range(MOST_QUESTIONS):
                if walk.prompt.id.startswith(step.prompt):
                    return
                if end_of(walk) is not None:
                    break
                walk.say(walk.answer_for(step.said))
            raise HistoryError(f"{walk.prompt.id} is open, not {step.prompt}")
        case Pass():
            new_pass(walk, step)
            outcome = follow(walk, step.said)
            if outcome is None or outcome.kind in ("pass", "order", "settle"):
                raise HistoryError(f"no advice but {outcome}")
            settle_advice(walk, step, outcome)


def settle_advice(walk: Walk, step: Pass, outcome: Outcome) -> None:
    """Make the advice that the history tells of, or leave it."""
    ids = [choice.id for choice in walk.prompt.choices if not choice.why_not]
    if not step.made:
        walk.say("leave" if "leave" in ids else walk.prompt.default)
        return
    if not fits(step.made, outcome, walk.crew.fitted):
        raise HistoryError(f"{outcome}, not {step.made}")
    walk.crew.say("make")
    first = True
    while walk.prompt.id.startswith("turn:"):
        walk.say("done" if first or not step.half else "cannot reach")
        first = False
    if walk.prompt.id.startswith("reach:"):
        walk.say("leave")


def new_pass(walk: Walk, seen: Pass) -> None:
    """Begin a pass, and say of it what belongs to no question."""
    for _ in range(MOST_QUESTIONS):
        prompt = walk.prompt
        if prompt.id == "ran":
            walk.say(next(one.id for one in prompt.choices if one.id != TurnChoice.NOT_YET))
            break
        if names_symptoms(prompt, walk.crew.book):
            if walk.crew.state.open_run is None:
                walk.say(walk.answer_for(seen.said))
            break
        if prompt.id.startswith("turn:") or prompt.id == "settle":
            raise HistoryError(f"no pass: {prompt.id} is open")
        walk.say(walk.answer_for(seen.said))
    if seen.marks:
        walk.crew.do("slip", sixty=1.62, marks=list(seen.marks))
    if seen.minutes is not None:
        walk.crew.do("minutes to call", minutes=seen.minutes)


def end_of(walk: Walk) -> Outcome | None:
    """Return the outcome where the open question is one."""
    prompt, crew = walk.prompt, walk.crew
    kind = prompt.id.partition(":")[0]
    if prompt.id == "advice" and isinstance(prompt.about, Advice):
        return advised(prompt, prompt.about)
    if kind in WORK:
        order = crew.state.work_order
        turns = tuple(step.to_go for step in order.steps if step.state == "open") if order else ()
        early = bool(open_blocks(crew.state, crew.book))
        name = "settle" if kind == "settle" else "order"
        return Outcome(name, prompt.question, turns, text_of(prompt), early=early)
    if kind == "ran":
        return Outcome("pass", prompt.question, text=text_of(prompt))
    if names_symptoms(prompt, crew.book) and crew.state.open_run is None:
        return Outcome("pass", prompt.question, text=text_of(prompt))
    return None


def advised(prompt: Prompt, given: Advice) -> Outcome:
    """Return an advice as an outcome."""
    free = [c for c in prompt.choices if not c.why_not and c.id != "find out"]
    stays = all("does not run" in c.label.lower() for c in free)
    next_pass = any("next pass" in c.label.lower() for c in free)
    return Outcome(
        given.kind,
        given.title,
        given.turns,
        advice_text(given),
        stuck=given.kind == "measure" and stays,
        to_see=given.kind == "control" or (given.kind == "measure" and next_pass),
    )


def follow(walk: Walk, told: Told) -> Outcome | None:
    """Answer on until an outcome is reached; None where the questions do not end."""
    for _ in range(MOST_QUESTIONS):
        outcome = end_of(walk)
        if outcome is not None:
            walk.heard.append(text_of(walk.prompt))
            return outcome
        walk.say(walk.answer_for(told))
    return None


def first_word(walk: Walk, told: Told, wanted: tuple[str, ...]) -> Outcome | None:
    """Return the first outcome that is not an inspection asked for beside what is wanted."""
    outcome = follow(walk, told)
    while outcome is not None and not any(fits(w, outcome, walk.crew.fitted) for w in wanted):
        ids = [choice.id for choice in walk.prompt.choices if not choice.why_not]
        if outcome.kind == "inspect" and "inspect" in ids:
            walk.say("inspect")
        elif outcome.kind == "measure" and walk.untold and (on := [o for o in ON if o in ids]):
            walk.say(on[0])
        else:
            break
        outcome = follow(walk, told)
    return outcome


def ends(walk: Walk, told: Told) -> Iterator[Outcome]:
    """Yield every outcome that some answers to the open questions lead to.

    Raises:
        AssertionError: the questions have no end.
    """
    stack: list[tuple[Walk, tuple[str, ...], int]] = [(walk, (), 0)]
    ways = 0
    while stack and ways < MOST_WAYS:
        here, path, asked = stack.pop()
        prompt, outcome = here.prompt, end_of(here)
        if outcome is None:
            assert asked <= MOST_QUESTIONS, f"no end: {prompt.id}"
            for value in values(here, told):
                other = here.fork()
                other.say(value)
                one = (f"{prompt.id} {value}",) if prompt_varies(prompt) else ()
                stack.append((other, (*path, *one), asked + 1))
            continue
        ways += 1
        yield replace(outcome, path=path)
        ids = [choice.id for choice in prompt.choices if not choice.why_not]
        on = [one for one in ("inspect", *ON) if one in ids]
        if on:
            here.say(on[0])
            stack.append((here, (*path, on[0]), asked + 1))


def prompt_varies(prompt: Prompt) -> bool:
    """Tell whether every answer to a question is tried."""
    known = prompt.id in TOLD or prompt.id.partition(":")[0] in ("recount", "pair")
    return prompt.kind == "one" and not known


def values(walk: Walk, told: Told) -> list[Any]:
    """Return the answers to try on the open question."""
    prompt = walk.prompt
    if not prompt_varies(prompt):
        return [walk.answer_for(told)]
    free = [
        choice.id
        for choice in prompt.choices
        if not choice.why_not and choice.id != TurnChoice.NOT_YET
    ]
    return [*free, *([UNKNOWN] if prompt.unknown and UNKNOWN not in free else [])]
