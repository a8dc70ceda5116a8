"""Typed conditions over the facts of a pass: data in the rule book, never evaluated text."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Annotated, Any, Union

from rules.part import FilePart, said

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema

Fact = str | float | frozenset[str]
Facts = Mapping[str, Fact]


class _Condition(FilePart):
    """What a fact is held against."""


class Is(_Condition):
    """The fact is one of the words, or holds one of them where several were named."""

    fact: str
    words: tuple[str, ...] = said(key="is", min_length=1)

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

    negated: "Condition" = said(key="not")

    def holds(self, facts: Facts) -> bool:
        """Tell whether the facts satisfy this."""
        return not self.negated.holds(facts)


def _tag(value: Any) -> str:
    keys: Mapping[str, Any] = {}  # What is no table is read as a comparison, and refused as one.
    if isinstance(value, _Condition):
        keys = value.attributes()
    elif isinstance(value, Mapping):
        keys = value
    return next((key for key in _BY_KEY if key in keys), "between")


class _ByItsKey:
    """Which kind of condition a table is: the key says it that no other has."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: "GetCoreSchemaHandler"
    ) -> "CoreSchema":
        from pydantic import Discriminator, Tag

        kinds = (*_BY_KEY.items(), ("between", Between))
        tagged: Any = Union[*(Annotated[kind, Tag(key)] for key, kind in kinds)]
        return handler.generate_schema(Annotated[tagged, Discriminator(_tag)])


_BY_KEY: dict[str, type[_Condition]] = {"all": All, "any": AnyOf, "not": Not, "is": Is}
Condition = Annotated[All | AnyOf | Not | Is | Between, _ByItsKey()]

ALWAYS = All(all=())


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
