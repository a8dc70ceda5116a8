"""Parts of files, checked by models that are made of what their fields say."""

from typing import Any

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    TypeAdapter,
    create_model,
)
from pydantic_core import CoreSchema, core_schema

from rules import part
from rules.part import FilePart, Within

_MODELS: dict[type[FilePart], type[BaseModel]] = {}
_READERS: dict[type[FilePart], TypeAdapter[Any]] = {}


def reader_of(kind: type[FilePart]) -> TypeAdapter[Any]:
    """Return what reads a kind of part, and tells the schema of its file."""
    if kind not in _READERS:
        _READERS[kind] = TypeAdapter(kind)
    return _READERS[kind]


def as_model(one: FilePart) -> BaseModel:
    """Return a part as its model holds it, which writes it."""
    held = one.held()
    return model_of(type(one)).model_construct(set(held), **held)


def model_of(kind: type[FilePart]) -> type[BaseModel]:
    """Return the model that checks a kind of part."""
    if kind not in _MODELS:
        _MODELS[kind] = _made(kind)
    return _MODELS[kind]


def _made(kind: type[FilePart]) -> type[BaseModel]:
    fields: dict[str, Any] = {
        name: (said.declared, _field(said)) for name, said in kind.fields.items()
    }
    return create_model(
        kind.__name__,
        __config__=ConfigDict(extra="forbid", defer_build=True, allow_inf_nan=kind.takes_inf),
        __doc__=kind.__doc__,
        __module__=kind.__module__,
        **fields,
    )


def _field(said: part.Field) -> Any:
    # A part is a default that the library would copy, and tell in the schema of the file.
    make = (lambda: said.default) if isinstance(said.default, FilePart) else said.make
    default: Any = {"default_factory": make} if make else {"default": said.default}
    return Field(alias=said.key, description=said.description, **default, **said.limits)


def schema(kind: type[FilePart], handler: GetCoreSchemaHandler) -> CoreSchema:
    """Return how the library reads and writes a kind of part."""

    def made(value: Any, read_model: Any) -> FilePart:
        if isinstance(value, kind):
            return value
        read = kind(**read_model(kind.before_read(value)).__dict__)
        read.check()
        return read

    return core_schema.no_info_wrap_validator_function(
        made,
        handler.generate_schema(model_of(kind)),
        serialization=core_schema.wrap_serializer_function_ser_schema(
            lambda one, write: write(as_model(one))
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
