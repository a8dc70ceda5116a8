"""Dampers and springs: one job at a time, each with what it asks, what it comes to and records."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from rules.crew.sheets.dampers import described, fitted, service, springs, start, valving
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.log.dampers import AXLES
from rules.log.events.base import AnswerValue
from rules.log.events.event import Body
from rules.question import Choice, NewId

ID = "dampers"


@dataclass(frozen=True)
class Work:
    """One kind of job: its words, its questions, what it comes to, and what it records.

    stage: what its part of the sheet is called, on screen and paper.
    """

    words: str
    stage: str
    fields: Callable[[Filling], Iterator[SheetField]]
    result: Callable[[Filling], Result]
    closing: Callable[[Filling, NewId], list[Body]]
    stops: Callable[[Filling], Mapping[str, str]] = lambda now: {}


WORKS: dict[str, Work] = {
    "fitted": Work(
        "Other dampers went on", "Other dampers",
        fitted.fields, fitted.result, fitted.closing, fitted.stops,
    ),
    "valving": Work(
        "Another valving: from outside, or the damper opened", "Another valving",
        valving.fields, valving.result, valving.closing,
    ),
    "start": Work(
        "A start setting for dampers nobody has run here", "A start setting",
        start.fields, start.result, start.closing,
    ),
    "springs": Work(
        "Other springs went on", "Other springs", springs.fields, springs.result, springs.closing
    ),
    "service": Work(
        "A damper sent for service, or back", "Service",
        service.fields, service.result, service.closing,
    ),
    "described": Work(
        "A damper described: on the car or in the trailer", "A damper described",
        described.fields, described.result, described.closing, described.stops,
    ),
}  # fmt: skip
# What went in is left out: with it the rest of the questions hangs on tables and levers.
_OPENED: Mapping[str, AnswerValue] = {
    "job": "valving", "how": "opened", "stroke": "both", "before": "other", "after": "other",
}  # fmt: skip
ON_PAPER: tuple[Mapping[str, AnswerValue], ...] = (
    *({**_OPENED, "where": axle} for axle in AXLES),
    {"job": "springs", "axle": "front"},
    {"job": "service", "damper": "asked"},
    {
        "job": "described", "damper": described.TRAILER, "this rest": "now",
        "this reservoir": "on a hose",
    },
)  # fmt: skip
"""What a blank sheet prints; other dampers are walked, and printed, step by step on Fitting."""
PROCEDURE = (
    "What was done to dampers or springs is said here, one job at a time.",
    *fitted.PROCEDURE,
    *valving.PROCEDURE,
    *start.PROCEDURE,
    *springs.PROCEDURE,
    *service.PROCEDURE,
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return which job it was, then its own questions."""
    yield SheetField(
        "job", "Job", "What was done?", "one", unknown=False,
        choices=tuple(Choice(key, one.words) for key, one in WORKS.items()),
        hint="Each asks what it must, and has its own list before the next pass.",
    )  # fmt: skip
    if (work := _work(now)) is not None:
        yield from (replace(one, stage=work.stage) for one in work.fields(now))


def _work(now: Filling) -> Work | None:
    return WORKS.get(now.said("job"))


def result(now: Filling) -> Result:
    """Return what the job comes to."""
    work = _work(now)
    return work.result(now) if work else Result()


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return what the job records.

    Raises:
        AnswerError: if it cannot be recorded now.
    """
    work = _work(now)
    return work.closing(now, new_id) if work else []


def stops(now: Filling) -> Mapping[str, str]:
    """Return what of the job blocks advice already, by inspection."""
    work = _work(now)
    return work.stops(now) if work else {}


DAMPERS = Sheet(
    ID, "Dampers and springs", fields, result, PROCEDURE, closing=closing, stops=stops,
    chained=True, on_paper=ON_PAPER,
)  # fmt: skip
