"""What fields each kind of event has, as words and types: the shape that a log is held to.

`python tests/support/event_fields.py` puts new kinds and versions into the frozen list beside the
golden logs; what stands there already is never changed.
"""

import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from pydantic import BaseModel, Field
from pydantic.fields import FieldInfo

from rules.checked import model_of
from rules.log.events.base import Plain
from rules.log.ids import Ids
from rules.log.log_format import KINDS
from rules.part import FilePart, Within

FROZEN = Path(__file__).parents[1] / "golden" / "event-fields.json"
STORED = get_args(Plain)[1]


def shapes() -> dict[str, Any]:
    """Return the fields of each kind of event that this program writes, by kind and version."""
    return {f"{kind} {body.version}": shape(body) for kind, body in KINDS.items()}


def shape(kind: Any) -> Any:
    """Return a type as JSON: a class as its stored words, anything else in words."""
    if get_origin(kind) is Annotated:
        return _bounded(shape(get_args(kind)[0]), get_args(kind)[1:])
    if get_origin(kind) in (Union, UnionType):
        return {"one of": sorted((shape(one) for one in get_args(kind)), key=json.dumps)}
    if get_origin(kind) is Literal:
        return {"words": sorted(map(str, get_args(kind)))}
    if get_origin(kind) in (tuple, frozenset, dict):
        inner = [shape(one) for one in get_args(kind) if one is not Ellipsis]
        return {get_origin(kind).__name__: inner}
    if isinstance(kind, type) and issubclass(kind, FilePart):
        return shape(model_of(kind))
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return {f.alias or name: _field(kind, name, f) for name, f in kind.model_fields.items()}
    if kind is Ids:  # Packed where it is held, a list where it lies.
        return shape(tuple[UUID, ...])
    if is_dataclass(kind):
        hints = get_type_hints(kind, include_extras=True)
        return {one.name: shape(hints[one.name]) for one in fields(kind)}
    return "null" if kind is NoneType else kind.__name__


def _field(holder: type[BaseModel], name: str, field: FieldInfo) -> Any:
    if STORED in field.metadata:  # What is read out of plain fields: its reader says as what.
        reader = holder.__dict__[str(field.alias)].func
        return shape(get_type_hints(reader)["return"])
    return _bounded(shape(field.annotation), field.metadata)


def _bounded(found: Any, metadata: Any) -> Any:
    """Add bounds, where there are any: a value outside them can no more be read."""
    bounds = [one for one in metadata if type(one).__module__ == "annotated_types"]
    bounds += [bound for one in metadata if isinstance(one, FieldInfo) for bound in one.metadata]
    within: list[Any] = [Field(**one.limits) for one in metadata if isinstance(one, Within)]
    bounds += [bound for one in within for bound in one.metadata]
    words = sorted(repr(one) for one in bounds if type(one).__module__ == "annotated_types")
    return {"bounds": words, "of": found} if words else found


def main() -> None:
    """Put what is new into the frozen list."""
    frozen = json.loads(FROZEN.read_text()) if FROZEN.exists() else {}
    new = {key: found for key, found in shapes().items() if key not in frozen}
    rows = (
        f"{json.dumps(key)}: {json.dumps(one)}" for key, one in sorted({**frozen, **new}.items())
    )
    FROZEN.write_text("{\n" + ",\n".join(rows) + "\n}\n")
    print("\n".join(new) or "nothing new")


if __name__ == "__main__":
    main()
