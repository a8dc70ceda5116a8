"""A damper that goes to its maker or a trained service, or comes back from there."""

from collections.abc import Iterator
from datetime import date
from functools import partial

from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.log.events.dampers import DamperServiced
from rules.log.events.event import Body
from rules.question import Choice, Given, NewId

SENT, BACK = "sent", "back"
TODAY = "today"
PROCEDURE = (
    "Service is for the maker or trained hands: what they did is written down as they say it.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return which damper it is, whether it goes or comes, when, and what was said."""
    yield SheetField(
        "damper", "Damper", "Which damper?", "one", choices=tuple(_known(now)), unknown=False,
        hint="One that is not named here yet is described first, in this sheet.",
    )  # fmt: skip
    away = now.said("damper") in now.state.dampers.away
    yield SheetField(
        "what", "Sent or back", "Is it sent away, or is it back?", "one", unknown=False,
        choices=(
            Choice(SENT, "Sent for service", "it is away already" if away else ""),
            Choice(BACK, "Back from service"),
        ),
    )  # fmt: skip
    yield SheetField(
        "on", "Date", "On which day?", "text", default=TODAY, unknown=False, longest=10,
        hint="As 2031-05-04; Enter alone: today.", fault=partial(_date_fault, now),
    )  # fmt: skip
    yield SheetField(
        "note", "Noted", "What was asked for, or done?", "text", longest=200,
        hint="Oil, seals, gas as noted, valving: as they wrote it down.",
    )  # fmt: skip


def _known(now: Filling) -> Iterator[Choice]:
    known = now.state.dampers
    for one in now.car.dampers:
        if damper := known.at(one.corner):
            yield Choice(damper, f"{one.corner.capitalize()}: {known.name(damper)}")
    off = dict.fromkeys([*known.records, *known.away])
    for damper in off:
        if known.where(damper) is None:
            place = "away for service" if damper in known.away else "in the trailer"
            yield Choice(damper, f"{known.name(damper)}, {place}")


def _date_fault(now: Filling, value: Given) -> str:
    day = _day(now, str(value))
    if day is None:
        return f"found {value}; wanted a date as 2031-05-04, or today"
    today = _today(now)
    late = today is not None and day > today
    return f"found {value}, which is still to come; wanted a day up to today" if late else ""


def _today(now: Filling) -> date | None:
    return now.state.now.date() if now.state.now else None


def _day(now: Filling, text: str) -> date | None:
    if text.strip().lower() == TODAY:
        return _today(now) or date.min
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None


def result(now: Filling) -> Result:
    """Say what follows of it."""
    known, damper = now.state.dampers, now.said("damper")
    if not damper or not now.said("what"):
        return Result()
    where = known.where(damper)
    name = known.name(damper)
    if now.said("what") == SENT and where:
        says = f"{name} is off: nothing stands at the {where} until one is fitted there."
    elif now.said("what") == SENT:
        says = f"{name} is away."
    else:
        says = f"{name} is back. What was learnt with it as it was inside counts no more."
    return Result((says,))


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return the service as it was said; what is back and stands on the car is to be looked at."""
    return [
        DamperServiced.model_validate(
            {
                "job": new_id(),
                "damper": now.said("damper"),
                "what": now.said("what"),
                "on": _day(now, now.said("on")),
                "note": now.said("note"),
            }
        )
    ]
