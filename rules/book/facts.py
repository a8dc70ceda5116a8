"""Typed conditions over the facts of a pass: data in the rule book, never evaluated text."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag

Fact = str | float | frozenset[str]
Facts = Mapping[str, Fact]


class _Condition(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Is(_Condition):
    """The fact is one of the words, or holds one of them where several were named."""

    fact: str
    words: tuple[str, ...] = Field(alias="is", min_length=1)

    def holds(self, facts: Facts) -> bool:
        """Tell whether the facts satisfy this; an absent fact never does."""
        value = facts.get(self.fact)
        if isinstance(value, frozenset):
            return not value.isdisjoint(self.words)
        return value in self.words


class Between(_Condition):
    """The number lies within the inclusive bounds."""

    fact: str
    at_least: float = float("-inf")
    at_most: float = float("inf")

    def holds(self, facts: Facts) -> bool:
        """Tell whether the facts satisfy this; an absent fact never does."""
        value = facts.get(self.fact)
        return isinstance(value, int | float) and self.at_least <= value <= self.at_most


class All(_Condition):
    """Every part holds."""

    all: tuple["Condition", ...]

    def holds(self, facts: Facts) -> bool:
        """Tell whether the facts satisfy this."""
        return all(part.holds(facts) for part in self.all)


class AnyOf(_Condition):
    """At least one part holds."""

    any: tuple["Condition", ...]

    def holds(self, facts: Facts) -> bool:
        """Tell whether the facts satisfy this."""
        return any(part.holds(facts) for part in self.any)


class Not(_Condition):
    """The part does not hold."""

    negated: "Condition" = Field(alias="not")

    def holds(self, facts: Facts) -> bool:
        """Tell whether the facts satisfy this."""
        return not self.negated.holds(facts)


def _tag(value: Any) -> str:
    keys: Mapping[str, Any] = {}  # What is no table is read as a comparison, and refused as one.
    if isinstance(value, BaseModel):
        keys = value.model_dump(by_alias=True)
    elif isinstance(value, Mapping):
        keys = value
    return next((key for key in ("all", "any", "not", "is") if key in keys), "between")


Condition = Annotated[
    Annotated[All, Tag("all")]
    | Annotated[AnyOf, Tag("any")]
    | Annotated[Not, Tag("not")]
    | Annotated[Is, Tag("is")]
    | Annotated[Between, Tag("between")],
    Discriminator(_tag),
]

ALWAYS = All.model_construct(all=())


def leaves(condition: Condition) -> Iterator[Is | Between]:
    """Yield every comparison inside a condition."""
    match condition:
        case All(all=parts) | AnyOf(any=parts):
            for part in parts:
                yield from leaves(part)
        case Not(negated=part):
            yield from leaves(part)
        case Is() | Between():
            yield condition
