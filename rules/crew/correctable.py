"""Prompts of answers already given, to read or to correct them."""

from rules.book import Book
from rules.crew import doubted_clock, doubted_stop, prompts, readings
from rules.log import two_passes
from rules.log.engine import BREATHING
from rules.log.said import SYMPTOMS, VERDICT, WHAT_ELSE, fault_before
from rules.log.state import SIXTY_FOOT, Run, State
from rules.question import Prompt


def can_ask(state: State, book: Book, run: Run, prompt_id: str) -> bool:
    """Tell whether the book still has the prompt of an answer."""
    try:
        prompt_of(state, book, run, prompt_id)
    except KeyError:
        return False
    return True


def prompt_of(state: State, book: Book, run: Run, prompt_id: str) -> Prompt:
    """Return the prompt that an answer of a pass belongs to.

    Raises:
        KeyError: if the book no longer has it.
    """
    if prompt_id == SYMPTOMS:
        return prompts.symptoms(book)
    if prompt_id == WHAT_ELSE:
        return prompts.what_else(run.number)
    if prompt_id == BREATHING:
        return readings.breathing()
    if prompt_id == SIXTY_FOOT:
        return prompts.sixty_foot()
    if prompt_id == VERDICT and run.change is not None:
        seen = fault_before(state, run)
        return prompts.verdict(state.change(run.change), book, seen)
    if prompt_id == two_passes.PROMPT and (other := two_passes.contradicted(state, run)):
        return two_passes.prompt(run.number, other.number)
    if prompt_id == doubted_clock.MEANT and (before := doubted_clock.pass_before(state, run)):
        return doubted_clock.prompt(run, before)
    if prompt_id == doubted_stop.MEANT:
        return doubted_stop.prompt()
    return prompts.from_book(book, prompt_id)
