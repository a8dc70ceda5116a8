"""Declaring a baseline, and what it says about itself beside its settings."""

from collections.abc import Callable, Mapping

from rules.advice.safety.gates import open_blocks
from rules.book import Book
from rules.car.adjusters import Adjuster, adjusters
from rules.log.events.car import BaselineDeclared
from rules.log.state import State
from rules.log.way_back import older_baselines
from rules.question import AnswerError

NOT_CLEARED = "Not cleared when declared"


def open_blocks_noted(state: State, book: Book) -> dict[str, str]:
    """Return the blocks that are open now as a fact of a baseline; empty where none is."""
    says = dict.fromkeys(block.says for block in open_blocks(state, book))
    return {NOT_CLEARED: " ".join(says)} if says else {}


def under_minimum(one: Adjuster, value: float) -> str:
    """Say that a tyre pressure is under its maker's minimum; empty where it is not."""
    if one.makers_minimum is None or value >= one.makers_minimum:
        return ""
    return (
        f"found {one.show(value)}; wanted at least the tyre maker's minimum, "
        f"{one.show(one.makers_minimum)}"
    )


def declared(state: State, book: Book, name: str, new_id: Callable[[], str]) -> BaselineDeclared:
    """Return the settings of now as a baseline.

    Raises:
        AnswerError: if a tyre pressure is under the maker's minimum.
    """
    for key, one in adjusters(state.described_car).items():
        if fault := under_minimum(one, state.settings[key]):
            raise AnswerError(f"{one.label}: {fault}")
    facts = open_blocks_noted(state, book)
    settings = dict(state.settings)
    return BaselineDeclared(baseline=new_id(), name=name, settings=settings, facts=facts)


def of_other_parts(
    state: State, name: str, counts: Mapping[str, float], new_id: Callable[[], str]
) -> BaselineDeclared:
    """Return the baseline from here once other parts are on: a new one of now, by its name.

    With the name of the one in force it keeps that one, with the counts of the other parts in it.
    """
    old = state.baseline
    goals = old.settings if old is not None and old.name == name else state.settings
    facts = {NOT_CLEARED: "Parts were changed; their list was not ticked yet."}
    return BaselineDeclared(baseline=new_id(), name=name, settings={**goals, **counts}, facts=facts)


def declared_again(
    state: State, book: Book, name: str, new_id: Callable[[], str]
) -> BaselineDeclared:
    """Return an older baseline declared anew, with its own facts and the blocks open now.

    Raises:
        AnswerError: if no older baseline has that name.
    """
    older = older_baselines(state)
    found = next((one for one in older if one.name == name), None)
    if found is None or state.baseline is None:
        wanted = ", ".join(one.name for one in older) or "none: there is no older one"
        raise AnswerError(f"baseline: found {name!r}; wanted {wanted}")
    goals = {key: state.baseline.settings.get(key, now) for key, now in state.settings.items()}
    facts = {label: words for label, words in found.facts.items() if label != NOT_CLEARED}
    return BaselineDeclared(
        baseline=new_id(),
        name=found.name,
        settings={**goals, **found.settings},
        facts=facts | open_blocks_noted(state, book),
    )
