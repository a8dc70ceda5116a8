"""A frozen value that says of each of its fields what a file may hold there: of a car, of the book.

Here is no library: what was checked before is made again without one. What checks a file against
what is said here is `rules.checked`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from inspect import get_annotations
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    ClassVar,
    Self,
    TypedDict,
    Unpack,
    dataclass_transform,
    get_args,
    get_origin,
)

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema

NEEDED: Any = ...
"""In place of a default: the file has to say it."""


class Limits(TypedDict, total=False):
    """Limits of a value, by the words of the library that checks them."""

    gt: float
    ge: float
    lt: float
    le: float
    min_length: int
    max_length: int
    pattern: str
    strict: bool


class Field:
    """What a part says of one of its fields.

    key: its name in the file.  declared: its type, with what is said beside it.
    """

    key: str
    declared: Any

    def __init__(
        self,
        description: str,
        key: str = "",
        default: Any = NEEDED,
        make: Callable[[], Any] | None = None,
        limits: Mapping[str, Any] | None = None,
    ) -> None:
        self.description = description
        self.key = key
        self.default = default
        self.make = make
        self.limits = limits or {}

    @cached_property
    def kind(self) -> Any:
        """Its type, without what is said beside it."""
        return self.declared.__origin__ if self._is_annotated else self.declared

    @cached_property
    def beside(self) -> tuple[Any, ...]:
        """What is said beside its type."""
        return self.declared.__metadata__ if self._is_annotated else ()

    @property
    def _is_annotated(self) -> bool:
        return get_origin(self.declared) is Annotated


def said(
    description: str = "",
    *,
    key: str = "",
    default: Any = NEEDED,
    default_factory: Callable[[], Any] | None = None,
    **limits: Unpack[Limits],
) -> Any:
    """Say what a field means, and within which limits; without a key it is called as in the file.

    default_factory: makes a default that the file's schema does not tell.
    """
    return Field(description, key, default, default_factory, limits)


class Within:
    """Limits of what is said in a type, and what is done to it before."""

    def __init__(
        self, before: Callable[[object], object] | None = None, **limits: Unpack[Limits]
    ) -> None:
        self.before = before
        self.limits = limits

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        from rules.checked import within

        return within(self, handler(source))


class FirstThatFits:
    """One of several kinds of part: the first that takes what is said."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        from rules.checked import first_that_fits

        return first_that_fits(get_args(source), handler)


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(said,))
class FilePart:
    """A frozen value; one that is made by its name is not checked.

    `model_copy`, `model_dump` and `model_validate` are what they are of the models of events.
    """

    fields: ClassVar[Mapping[str, Field]] = {}
    """By attribute."""
    takes_inf = True
    """Whether a number may be infinite."""

    def __init_subclass__(cls) -> None:
        fields = dict(cls.fields)
        for name, declared in get_annotations(cls).items():
            value = cls.__dict__.get(name, NEEDED)
            field = value if isinstance(value, Field) else Field("", default=value)
            field.key, field.declared = field.key or name, declared
            fields[name] = field
            if value is not NEEDED:
                delattr(cls, name)
        cls.fields = fields

    def __init__(self, **values: Any) -> None:
        held = self.__dict__
        for name, field in self.fields.items():
            if name in values:
                held[name] = values.pop(name)
            elif field.default is not NEEDED:
                held[name] = field.default
            elif field.make is not None:
                held[name] = field.make()
            else:
                raise TypeError(f"{type(self).__name__}: {name} is missing")
        if values:
            raise TypeError(f"{type(self).__name__} has no {', '.join(values)}")

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen")

    def __repr__(self) -> str:
        told = (f"{name}={one!r}" for name, one in self.held().items())
        return f"{type(self).__name__}({', '.join(told)})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, type(self)) and self.held() == other.held()

    def __hash__(self) -> int:
        return hash((type(self), *self.held().values()))

    def held(self) -> dict[str, Any]:
        """Return by attribute what it holds."""
        return {name: self.__dict__[name] for name in self.fields}

    def told(self) -> dict[str, Any]:
        """Return by attribute what it holds beside its defaults."""
        known = self.fields
        return {key: one for key, one in self.held().items() if one is not known[key].default}

    @classmethod
    def attributes(cls) -> dict[str, str]:
        """Return the attributes by their keys in the file."""
        return {field.key: name for name, field in cls.fields.items()}

    @classmethod
    def before_read(cls, raw: object) -> object:
        """Return what is read in place of what a file says."""
        return raw

    def check(self) -> None:
        """Check what no field says alone, once it is read.

        Raises:
            ValueError: its fields do not fit together.
        """

    def model_copy(self, *, update: Mapping[str, Any]) -> Self:
        """Return a copy with other values, which are not checked."""
        return type(self)(**{**self.held(), **update})

    def model_dump(self, **how: Any) -> dict[str, Any]:
        """Return it as plain data; `how`: as the library takes it."""
        from rules.checked import as_model

        return as_model(self).model_dump(**how)

    def model_dump_json(self, **how: Any) -> str:
        """Return it as JSON; `how`: as the library takes it."""
        from rules.checked import as_model

        return as_model(self).model_dump_json(**how)

    @classmethod
    def model_validate(cls, raw: object, **how: Any) -> Self:
        """Read plain data; `how`: as the library takes it.

        Raises:
            pydantic.ValidationError: with every fault of every single field.
        """
        from rules.checked import reader_of

        part: Self = reader_of(cls).validate_python(raw, **how)
        return part

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        from rules.checked import schema

        return schema(cls, handler)
