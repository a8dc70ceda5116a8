"""The rule book: one TOML file per symptom, read once and checked against itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rules.book.schema import InspectionText, PromptText, RuleText, SymptomText


class BookError(ValueError):
    """The book is not valid; the message lists every fault found, one a line."""


@dataclass(frozen=True)
class Book:
    """A checked rule book. `overridden` names the shipped ids a crew's own files replaced.

    `kept_names` are `names`, where they were worked out before.
    """

    symptoms: Mapping[str, SymptomText]
    rules: Mapping[str, RuleText]
    prompts: Mapping[str, PromptText]
    inspections: Mapping[str, InspectionText]
    digest: str
    overridden: frozenset[str] = frozenset()
    own: frozenset[str] = frozenset()
    kept_names: Mapping[str, str] | None = None

    def __hash__(self) -> int:
        return hash(self.digest)

    def __post_init__(self) -> None:
        # One book is shared by all who read it, so nobody can write to it.
        for kind in ("symptoms", "rules", "prompts", "inspections"):
            if isinstance(found := getattr(self, kind), dict):
                object.__setattr__(self, kind, MappingProxyType(dict(found)))

    def rules_for(self, symptom: str) -> tuple[RuleText, ...]:
        """Return the active rules of a symptom in the order in which to try them."""
        return self._in_order.get(symptom, ())

    @cached_property
    def _in_order(self) -> Mapping[str, tuple[RuleText, ...]]:
        active = [rule for rule in self.rules.values() if rule.status == "active"]
        by_symptom: dict[str, list[RuleText]] = {}
        for rule in sorted(active, key=lambda rule: (rule.order, rule.id)):
            by_symptom.setdefault(rule.symptom, []).append(rule)
        return MappingProxyType({key: tuple(found) for key, found in by_symptom.items()})

    @cached_property
    def names(self) -> Mapping[str, str]:
        """What the crew calls each symptom, by its id, in the order of the pick list."""
        if self.kept_names is not None:
            return self.kept_names
        by_place = sorted(self.symptoms.values(), key=lambda one: (one.place, one.id))
        return MappingProxyType({one.id: one.name for one in by_place})


@cache
def shipped() -> Book:
    """Return the book that ships with the program.

    Raises:
        BookError: if a shipped file is not valid, which the tests rule out.
    """
    from rules.book.pages import assemble, shipped_texts

    return assemble(shipped_texts())


def with_own(texts: Mapping[str, str]) -> Book:
    """Return the shipped book extended or overridden by the crew's own files.

    Args:
        texts: TOML text by file name.

    Raises:
        BookError: listing every fault of every file.
    """
    from rules.book.pages import assemble

    return assemble(texts, base=shipped())
