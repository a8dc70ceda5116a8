"""What can be asked of a day, of a pass and of its advice, one question at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rules.advice.safety.gates import OpenBlock
from rules.asked import ANSWER_HERE, AdviceChoice, Topic, TurnChoice
from rules.book import Book
from rules.car.model import Car
from rules.log import said
from rules.log.changes import Change
from rules.log.looking import Looking
from rules.log.said import GOOD, SYMPTOMS, VERDICT, WHAT_ELSE
from rules.log.state import SIXTY_FOOT, Run
from rules.question import UNKNOWN, Choice, Prompt
from rules.replaced import replace

if TYPE_CHECKING:
    from rules.log.advice import Advice

SIXTY_FOOT_BOUNDS_S = (0.8, 4.0)
FIND_OUT = Choice(AdviceChoice.FIND_OUT, "Found out: answer it now")


def of_pass(prompt: Prompt, number: int) -> Prompt:
    """Say in a question which pass it is about."""
    text = prompt.question
    text = text[0].lower() + text[1:] if text[1:2].islower() else text
    return replace(prompt, question=f"Pass {number}: {text}")


def meeting(today: str = "") -> Prompt:
    """Ask for the event; its name is the day where the crew gives none."""
    return Prompt(
        Topic.MEETING,
        "Which event is this?",
        "text",
        hint=f"Its name, as you want to find it again. Enter alone: {today}."
        if today
        else "Its name, as you want to find it again.",
        default=today or "Test day",
    )


def session() -> Prompt:
    """Ask what kind of session it is."""
    return Prompt(
        Topic.SESSION,
        "What is it now?",
        choices=(
            Choice("test", "Test: time to learn"),
            Choice("qualifying", "Qualifying"),
            Choice("eliminations", "Eliminations"),
        ),
        hint="In eliminations nobody is made to repeat a pass with nothing changed.",
        default="test",
    )


def symptoms(book: Book, notice: str = "") -> Prompt:
    """Ask what the car did."""
    return Prompt(
        SYMPTOMS,
        "What did the car do?",
        "many",
        tuple(Choice(key, name) for key, name in book.names.items()),
        hint="Mark all that you saw, then Enter.",
        unknown=True,
        notice=notice,
        alone=(GOOD, UNKNOWN),
    )


def left_over(change: Change, book: Book) -> Prompt:
    """Ask what else the car did where the fault of a change is gone: Enter alone is nothing."""
    gone = "said to be gone: Backspace takes that back"
    asked = symptoms(book)
    return replace(
        asked,
        question="And what else did the car do?",
        choices=tuple(
            replace(one, why_not=gone) if one.id == change.symptom else one for one in asked.choices
        ),
        hint="Mark all that you saw, then Enter. Enter alone: nothing else, it is good.",
        default=GOOD,
    )


def what_else(number: int = 2) -> Prompt:
    """Ask for everything else that changed since the pass before the one of this number."""
    before = "the pass before" if number > 1 else "the settings were noted"
    return Prompt(
        WHAT_ELSE,
        f"What else changed since {before}?",
        "many",
        tuple(Choice(key, label) for key, label in said.CONFOUNDERS.items()),
        hint="Mark all that apply, then Enter. Enter alone: nothing else.",
        default="nothing",
        unknown=True,
        alone=("nothing", UNKNOWN),
    )


def verdict(change: Change, book: Book, seen: str = "") -> Prompt:
    """Ask whether the change helped. seen: the fault of the pass before it, where it had none."""
    known = book.symptoms.get(change.symptom or seen)
    fault = known.name if known is not None else "What it was for"
    return Prompt(
        VERDICT,
        f"{fault}: and now?",
        choices=(
            Choice("gone", "Gone"),
            Choice("better", "Better, still there"),
            Choice("same", "Same as before"),
            Choice("worse", "Worse"),
            Choice("other", "Another fault came, or came on top"),
        ),
        hint=f"After: {change.title}",
        unknown=True,
    )


def sixty_foot() -> Prompt:
    """Ask for the 60-foot time, if there is a slip."""
    low, high = SIXTY_FOOT_BOUNDS_S
    return Prompt(
        SIXTY_FOOT,
        "60-foot time of this pass?",
        "number",
        hint="From the time slip. Enter alone: no slip.",
        blank="No slip",
        low=low,
        high=high,
        unit="s",
        optional=True,
        decimals=3,
    )


def ran(change: Change | None, notice: str = "") -> Prompt:
    """Wait for the pass with the change on the car."""
    made = (
        "The change is made." if change and change.status == "applied" else "The change stays on."
    )
    return Prompt(
        Topic.RAN,
        f"{made} Next: a pass.",
        choices=(
            Choice(TurnChoice.NOT_YET, "Not yet"),
            # No question before or after has this digit for a claim, or at all where one digit
            # is an answer: pressed twice, "done" does not begin a pass.
            Choice(Topic.RAN, "The car ran the pass", key="8"),
        ),
        hint="The next change waits for this one's pass and verdict; o goes on without.",
        default=TurnChoice.NOT_YET,
        about=change,
        notice=notice,
        claims=True,
    )


def from_book(book: Book, prompt_id: str, notice: str = "") -> Prompt:
    """Ask a question of the book."""
    text = book.prompts[prompt_id]
    return Prompt(
        text.id,
        text.question,
        choices=tuple(Choice(choice.id, choice.label) for choice in text.choices),
        hint=text.hint.strip(),
        unknown=True,
        notice=notice,
    )


def as_built(prompt: Prompt, car: Car | None) -> Prompt:
    """Leave out the answer that the car file contradicts; a guess of the file contradicts none."""
    if car is None or prompt.id != "bars" or not car.wheelie_bars or "wheelie_bars" in car.guesses:
        return prompt
    return replace(prompt, choices=tuple(one for one in prompt.choices if one.id != "none"))


def inspection(book: Book, block: OpenBlock, says: Sequence[str] = ()) -> Prompt:
    """Ask for an inspection to be ticked; `says` is all that it is to clear."""
    text = book.inspections[block.inspection]
    return Prompt(
        Topic.INSPECT,
        text.title,
        "tick",
        tuple(Choice(item.id, item.label) for item in text.items),
        hint=f"{text.why} A digit once: ok; twice: bad.",
        about=text,
        subject=block.inspection,
        reason=block.reason,
        notice=" ".join(filter(None, dict.fromkeys((block.says, *says)))),
        claims=True,
    )


def working_out(notice: str = "") -> Prompt:
    """Say that the advice is being worked out; there is nothing to answer."""
    return Prompt(
        Topic.WORKING_OUT,
        "Working out what to change ...",
        hint="The answers are kept, and the keys below go on working.",
        notice=notice,
    )


def read_only(looking: Looking) -> Prompt:
    """Say why nothing is asked of this log; all there is to choose is to answer here again."""
    return Prompt(
        Topic.READ_ONLY,
        "This log can only be looked at.",
        choices=(Choice(ANSWER_HERE, looking.way),) if looking.way else (),
        hint="Counts, way back and log show what can be read. Counts may have moved since.",
        notice=looking.why,
    )


def advice(
    given: Advice,
    run: Run,
    other_best: bool,
    waiting: Change | None,
    danger: bool = False,
    sure: bool = False,
) -> Prompt:
    """Show the advice and ask what the crew does with it. A waiting change blocks another.

    After danger nothing is measured by another pass. `sure`: a turn needs no answer.
    """
    leave = Choice(AdviceChoice.LEAVE, "Leave the car as it is")
    blocked = f"{waiting.title!r} waits for its pass: override with o" if waiting else ""
    choices: tuple[Choice, ...]
    match given.kind:
        case "turn" | "half back" | "put back":
            choices = (
                Choice(AdviceChoice.MAKE, "Make it: show the work order", why_not=blocked),
                leave,
            )
        case "inspect":
            choices = (Choice(AdviceChoice.INSPECT, "Tick the list"), leave)
        case "control":
            needs = "" if run.session == "eliminations" else "not in eliminations: override with o"
            choices = (
                Choice(AdviceChoice.CONTROL, "Next pass is the control pass"),
                Choice(AdviceChoice.SKIP_CONTROL, "Go on without it", why_not=needs),
            )
        case "put right":
            choices = (
                Choice(AdviceChoice.OK, "Understood: it is put right first"),
                Choice(AdviceChoice.SKIP_CONTROL, "It cannot have been that: treat the fault"),
            )
        case "measure":
            none = "" if other_best or (sure and not danger) else "nothing else fits what is known"
            later: tuple[Choice, ...] = (Choice(AdviceChoice.OK, "Measure it on the next pass"),)
            if danger:
                on = "a turn that is right either way" if sure else "what now?"
                later = (FIND_OUT, Choice(AdviceChoice.NOBODY, f"Nobody knows: {on}"))
            choices = (
                *later,
                Choice(AdviceChoice.SKIP_MEASURE, "Go on with what is known", why_not=none),
                *(() if danger else (FIND_OUT,)),
            )
        case "stop" if given.rule is None:
            choices = (Choice(AdviceChoice.OK, "Understood: the car stays"), FIND_OUT)
        case _:
            choices = (Choice(AdviceChoice.OK, "Understood"),)
    first = next(choice for choice in choices if not choice.why_not)
    return Prompt(Topic.ADVICE, "What do you do?", choices=choices, default=first.id, about=given)


def advice_of(prompt: Prompt) -> Advice | None:
    """Return the advice that a question is about, None where it is about none."""
    if prompt.topic != Topic.ADVICE:
        return None
    from rules.log.advice import Advice

    return prompt.about if isinstance(prompt.about, Advice) else None
