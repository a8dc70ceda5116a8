"""Parts of files, checked by models that are made of what their fields say."""

from typing import Any, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    TypeAdapter,
    create_model,
    model_validator,
)
from pydantic_core import CoreSchema, core_schema

from rules.part import NEEDED, FilePart, Within

Some = TypeVar("Some", bound=FilePart)
_MODELS: dict[type[FilePart], type[BaseModel]] = {}
_READERS: dict[type[FilePart], TypeAdapter[Any]] = {}


def read(kind: type[Some], raw: object, **how: Any) -> Some:
    """Return a part read from plain data.

    Raises:
        pydantic.ValidationError: with every fault of every single field.
    """
    part: Some = reader_of(kind).validate_python(raw, **how)
    return part


def reader_of(kind: type[FilePart]) -> TypeAdapter[Any]:
    """Return what reads a kind of part, and tells the schema of its file."""
    if kind not in _READERS:
        _READERS[kind] = TypeAdapter(kind)
    return _READERS[kind]


def as_model(part: FilePart) -> BaseModel:
    """Return a part as its model holds it, which writes it."""
    values = {name: getattr(part, name) for name in part.fields}
    return model_of(type(part)).model_construct(set(values), **values)


def model_of(kind: type[FilePart]) -> type[BaseModel]:
    """Return the model that checks a kind of part."""
    if kind not in _MODELS:
        _MODELS[kind] = _made(kind)
    return _MODELS[kind]


def _made(kind: type[FilePart]) -> type[BaseModel]:
    fields: dict[str, Any] = {}
    for name, said in kind.fields.items():
        limits: dict[str, Any] = dict(said.limits)
        if isinstance(said.default, FilePart):
            limits["default_factory"] = lambda default=said.default: default
        elif said.default is not NEEDED:
            limits["default"] = said.default
        elif said.make is not None:
            limits["default_factory"] = said.make
        alias = None if said.key == name else said.key
        fields[name] = (said.declared, Field(alias=alias, description=said.description, **limits))
    config = ConfigDict(extra="forbid", defer_build=True, allow_inf_nan=kind.takes_inf)
    before: Any = model_validator(mode="before")(lambda raw: kind.before_read(raw))
    return create_model(
        kind.__name__,
        __config__=config,
        __doc__=kind.__doc__,
        __module__=kind.__module__,
        __validators__={"before_read": before},
        **fields,
    )


def schema(kind: type[FilePart], handler: GetCoreSchemaHandler) -> CoreSchema:
    """Return how the library reads and writes a kind of part."""

    def made(value: Any, read_model: Any) -> FilePart:
        if isinstance(value, kind):
            return value
        part = kind(**read_model(value).__dict__)
        part.check()
        return part

    return core_schema.no_info_wrap_validator_function(
        made,
        handler.generate_schema(model_of(kind)),
        serialization=core_schema.wrap_serializer_function_ser_schema(
            lambda part, write: write(as_model(part))
        ),
    )


def first_that_fits(kinds: tuple[type[FilePart], ...], handler: GetCoreSchemaHandler) -> CoreSchema:
    """Return how the library reads one of several kinds of part; a fault names the kind."""
    named = [(handler.generate_schema(kind), kind.__name__) for kind in kinds]
    return core_schema.union_schema([*named], mode="left_to_right")


def within(limits: Within, inner: CoreSchema) -> CoreSchema:
    """Return how the library reads what lies within limits."""
    limited: Any = {**inner, **limits.limits}
    if limits.before is None:
        return limited  # type: ignore[no-any-return]
    # A file may say what fits the pattern only then.
    in_file: Any = {key: one for key, one in limited.items() if key != "pattern"}
    return core_schema.no_info_before_validator_function(
        limits.before, limited, json_schema_input_schema=in_file
    )
