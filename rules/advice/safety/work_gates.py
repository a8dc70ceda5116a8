"""What stands before a turn is ordered: an open list, and a danger that the turn leads back to.

Recording what a hand already turned is no order, and is never held.
"""

from collections.abc import Iterable
from dataclasses import replace

from rules.advice.safety.awake_dangers import led_back, woken
from rules.advice.safety.gates import OpenBlock, open_blocks
from rules.book import Book
from rules.car.adjusters import Turn
from rules.car.steps import lets_front_rise
from rules.log.changes import Change
from rules.log.state import State
from rules.question import Choice, Prompt
from rules.shop.damper_lists import BEFORE_PASS

KNOWING = "knowing"
YES, NO = "yes", "no"


def is_gentler(state: State, turns: Iterable[Turn]) -> bool:
    """Tell whether turns are proved to let the front rise less, and do nothing else."""
    fitted = state.fitted
    turned = list(turns)
    ones = [fitted.get(turn.adjuster) for turn in turned]
    return bool(turned) and all(
        one is not None
        and (lets_front_rise(one, True) or lets_front_rise(one, False))
        and not lets_front_rise(one, (turn.after - turn.before) * one.up(True) > 0)
        for one, turn in zip(ones, turned, strict=True)
    )


def list_before(state: State, book: Book, turns: Iterable[Turn]) -> OpenBlock | None:
    """Return the open list that comes before these turns, unless they are proved gentler.

    The list of parts that were changed comes before the pass, and after the turns of the same job.
    """
    blocks = [one for one in open_blocks(state, book) if one.inspection not in BEFORE_PASS]
    return blocks[0] if blocks and not is_gentler(state, turns) else None


def holds(state: State, book: Book, order: Change) -> bool:
    """Tell whether a work order stops where it stands until a list is ticked."""
    open_turns = [step.to_go for step in order.steps if step.state == "open"]
    return list_before(state, book, open_turns) is not None


def asks_knowing(prompt: Prompt, state: State, choice: str, turns: tuple[Turn, ...]) -> Prompt:
    """Return a question whose choice, where it leads back to a danger, says so and is asked for.

    The choice by its old name is refused; another beside it says that the crew knows.
    """
    danger = woken(state, turns)
    if danger is None:
        return prompt
    choices: list[Choice] = []
    for one in prompt.choices:
        if one.id != choice or one.why_not:
            choices.append(one)
            continue
        choices.append(replace(one, why_not=f"{danger.where}: only by the next choice"))
        knowing = f"{choice}, {KNOWING}"
        choices.append(Choice(knowing, "The same, knowing that", means=choice))
    return replace(prompt, choices=tuple(choices))


def why_held(state: State, book: Book, turns: tuple[Turn, ...], *, knowing: bool) -> str:
    """Return why an order of these turns is not taken, or nothing.

    knowing: the crew was told of the danger they lead back to, and wants them all the same.
    """
    if not turns:
        return ""
    block = list_before(state, book, turns)
    if block is not None:
        title = book.inspections[block.inspection].title
        return f"no turn before the open list is ticked: {title}. {block.says}"
    danger = None if knowing else woken(state, turns)
    if danger is None:
        return ""
    return f"this leads back to a danger: {danger.where}; with knowing = true it is ordered"


def asked_first(state: State, turns: Iterable[Turn]) -> Prompt | None:
    """Ask before turns that lead back to a danger; None where they lead to none."""
    turned = tuple(turns)
    danger = woken(state, turned)
    if danger is None:
        return None
    return knowing_prompt(led_back(state, turned, *turned))


def knowing_prompt(danger: str) -> Prompt:
    """Ask whether a danger is gone back to, knowing it; Enter alone leaves the car as it is.

    Letters answer: the digit that chose the way back, pressed twice, must not agree to it as well.
    """
    return Prompt(
        KNOWING,
        "This leads back to a danger. Turn it all the same?",
        choices=(
            Choice(NO, "No: leave the car as it stands", key="n"),
            Choice(YES, "Yes, knowing that; the driver is told", key="y"),
        ),
        hint=danger,
        default=NO,
    )
