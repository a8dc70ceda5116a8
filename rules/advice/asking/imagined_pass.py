"""A pass with answers that nobody gave yet: what each of them would make of it."""

from collections.abc import Iterator

from rules.advice.situation import Situation
from rules.book import Book
from rules.question import UNKNOWN
from rules.replaced import replace


def choices_of(book: Book, prompt: str) -> tuple[str, ...]:
    """Return the answers of a question of the book, without "don't know"."""
    return tuple(choice.id for choice in book.prompts[prompt].choices)


def open_ask(now: Situation, passed_over: frozenset[str] = frozenset()) -> str | None:
    """Return the first question of the treated symptom not answered and not passed over."""
    return next(iter(open_asks(now, passed_over)), None)


def open_asks(now: Situation, passed_over: frozenset[str]) -> list[str]:
    """Return every question that stands open as the pass is told, but those passed over."""
    return [one for one in _asks(now) if one not in now.run.answers.keys() | passed_over]


def told(now: Situation, prompt: str, value: str) -> Situation:
    """Return the pass with one more answer, or another one."""
    run = replace(now.run, answers={**now.run.answers, prompt: value}, given=None)
    state = now.state.with_run(run)
    return replace(now, state=state, run=run, facts={**now.facts, prompt: value})


def all_known(now: Situation) -> Iterator[Situation]:
    """Yield the pass as it would be under every answer to what is not known of it."""
    answers = now.run.answers
    unknown = next((one for one in _asks(now) if answers.get(one, UNKNOWN) == UNKNOWN), None)
    if unknown is None:
        yield now
        return
    for one in choices_of(now.book, unknown):
        yield from all_known(told(now, unknown, one))


def _asks(now: Situation) -> Iterator[str]:
    return (ask.prompt for ask in now.asks if ask.when.holds(now.facts))
