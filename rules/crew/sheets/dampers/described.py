"""A damper described: one that stands on the car already, or one in the trailer."""

from collections.abc import Iterator

from rules.crew.sheets.dampers.record import record_fields, record_of, what_is_wrong
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.log.events.dampers import DamperDescribed
from rules.log.events.event import Body
from rules.question import Choice, NewId
from rules.shop.damper_lists import LISTS

TRAILER = "trailer"


def fields(now: Filling) -> Iterator[SheetField]:
    """Return which damper it is, then what it is."""
    known = now.state.dampers
    off = (one for one in known.records.values() if known.where(one.id) is None)
    yield SheetField(
        "damper", "Damper", "Which damper is described?", "one", unknown=False,
        choices=(
            *(
                Choice(one.corner, f"{one.corner.capitalize()}: {known.name(known.at(one.corner))}")
                for one in now.car.dampers
                if known.at(one.corner)
            ),
            Choice(TRAILER, "A new one, in the trailer"),
            *(Choice(one.id, f"{one.name}, off the car") for one in off),
        ),
        hint="What is not said stays as it was.",
    )  # fmt: skip
    if now.said("damper"):
        yield from record_fields(now, "this", _axle(now), _id(now) or "")


def _corner(now: Filling) -> str:
    said = now.said("damper")
    return said if any(one.corner == said for one in now.car.dampers) else ""


def _axle(now: Filling) -> str:
    return _corner(now).split()[-1] if _corner(now) else ""


def _id(now: Filling) -> str | None:
    corner = _corner(now)
    if corner:
        return now.state.dampers.at(corner)
    return None if now.said("damper") == TRAILER else now.said("damper")


def stops(now: Filling) -> dict[str, str]:
    """Return what blocks the pass already, of one that stands on the car."""
    if not _corner(now):
        return {}
    found = what_is_wrong(now.car, record_of(now, "this", "asked"), _axle(now))
    return {LISTS["fitted"]: "\n".join(found)} if found else {}


def result(now: Filling) -> Result:
    """Say what is known of it."""
    if not now.said("damper"):
        return Result()
    damper = _id(now) or "asked"
    record = record_of(now, "this", damper, now.state.dampers.records.get(damper))
    rows = tuple(f"{label}: {words}." for label, words in record.rows(now.system))
    wrong = what_is_wrong(now.car, record, _axle(now)) if _corner(now) else []
    return Result((*rows, *wrong))


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return the damper as described."""
    damper = _id(now) or new_id()
    record = record_of(now, "this", damper, now.state.dampers.records.get(damper))
    corner = _corner(now) or None
    return [DamperDescribed.model_validate({"damper": record, "corner": corner})]
