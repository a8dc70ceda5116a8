"""How an event lies in a log: its kind, the version of that kind, and plain fields.

A body is one JSON object. `kind` names what happened; `version` says which fields that kind had
when it was written, and is left out at 1. What was read is written again as it was read, whatever
this program made of it: nothing that a newer one added is lost on the way through an older one.
"""

import json
import re
from collections.abc import Callable, Mapping
from typing import Any, get_args

from rules.formats import CAR_FORMAT, brought_up
from rules.log.events.advice import AdviceGiven
from rules.log.events.car import CarDescribed
from rules.log.events.event import Body, Event
from rules.log.events.whole_log import Unread

Fields = dict[str, Any]
Upcast = Callable[[Fields], Fields]


def _car_of_today(fields: Fields) -> Fields:
    """Upcast a stored car as its file would be."""
    car = fields.get("car")
    if not isinstance(car, dict):
        return fields
    car = dict(car)
    brought_up(car, CAR_FORMAT)
    return {**fields, "car": car}


UPCASTS: dict[tuple[str, int], Upcast] = {
    ("car-described", version): _car_of_today for version in (1, 2, 3, 4)
}
"""By kind and version: how its fields become those of the version after it."""

KINDS: dict[str, type[Any]] = {
    kind.model_fields["kind"].default: kind
    for kind in get_args(get_args(Body)[0])
    if kind is not Unread
}
"""What each kind is read as."""

LARGEST_SEQ = 10**15
"""The last number of a device; there is room behind it to count on."""

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def same_fields(fields: Fields) -> Fields:
    """Upcast to a version that only has more fields, each with a default that means as before."""
    return fields


def body_of(fields: Fields) -> Body:
    """Return what happened; an event of a newer program comes back unread.

    Raises:
        ValueError: if the fields are not those of such an event.
    """
    kind, version = fields.get("kind"), fields.get("version", 1)
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise ValueError(f"version: found {str(version)[:40]!r}; wanted a whole number from 1")
    if not isinstance(kind, str) or not _NAME.fullmatch(kind):
        raise ValueError(f"kind: found {str(kind)[:40]!r}; wanted small letters with - between")
    known = KINDS.get(kind)
    if known is None or version > known.version:
        return Unread(found=kind, found_version=version)
    for older in range(version, known.version):
        fields = UPCASTS[kind, older](fields)
    body: Body = known.model_validate(fields, extra="ignore")
    return body


def read_event(header: Mapping[str, Any], written: str) -> Event:
    """Return an event from its identifiers and its body as it lies in the log.

    Raises:
        ValueError: if they are not those of an event.
    """
    body = body_of(plain_fields(written))
    return Event.model_validate({**header, "body": body, "written": written})


def plain_fields(written: str) -> Fields:
    """Return the fields of a body as it lies in the log.

    Raises:
        ValueError: if it has none.
    """
    fields = json.loads(written)
    if not isinstance(fields, dict):
        raise ValueError("body: found no fields; wanted them")
    return fields


def read_whole(event: Event) -> None:
    """Read what of an event is otherwise read only when it is asked for.

    Raises:
        ValueError: if that is damaged.
    """
    match event.body:
        case CarDescribed() as described:
            _ = described.car
        case AdviceGiven() as given:
            _ = given.advice


def kind_of(event: Event) -> str:
    """Return the kind of an event as the log has it."""
    return event.body.found if isinstance(event.body, Unread) else event.body.kind


def fields_of(event: Event) -> Fields:
    """Return the body of an event as plain fields: as read, or as this program writes it."""
    if event.written is not None:
        return plain_fields(event.written)
    plain = event.body.model_dump(mode="json", by_alias=True)
    if event.body.version == 1:
        return plain
    return {"kind": plain.pop("kind"), "version": event.body.version, **plain}


def written_body(event: Event) -> str:
    """Return the body of an event as it lies in the log."""
    # The json of the library keeps an infinite number, where pydantic itself may write null.
    return event.written if event.written is not None else json.dumps(fields_of(event))


def unread_text(unread: tuple[Unread, ...]) -> str:
    """Say what of a log this program cannot read, and what to do; empty where it reads all."""
    if not unread:
        return ""
    names = [
        f"{one.found} (version {one.found_version})" if one.found in KINDS else one.found
        for one in unread
    ]
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    return f"Read-only: a newer Setdown wrote {names[0]}{more} here. Update this one to go on."
