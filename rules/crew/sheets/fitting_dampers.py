"""Which dampers a fitting put on: the job of other dampers, with the counts that were read."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from rules.car.adjusters import adjusters
from rules.car.model import Corner
from rules.crew.sheets.dampers import baseline, fitted
from rules.crew.sheets.sheet import Filling, SheetField
from rules.log.dampers import AXLES
from rules.log.events.base import AnswerValue
from rules.log.events.event import Body
from rules.log.state_after import after
from rules.question import Choice, Given, NewId

SAME = "same"


def which_fields(now: Filling, here: list[Corner], stage: str) -> Iterator[SheetField]:
    """Ask of each corner which damper is on, and of a new one what it is."""
    for corner in here:
        yield SheetField(
            f"which {corner}", f"{corner.capitalize()}: which", unknown=False, stage=stage,
            question=f"{corner.capitalize()}: which damper is on now?", kind="one",
            choices=(Choice(SAME, "The same as before, back on"), *fitted.choices_at(now, corner)),
            hint="Of another the old counts mean nothing, and what was learnt is set aside.",
            fault=partial(_which_fault, now, here, corner),
        )  # fmt: skip
        if now.said(f"which {corner}") == fitted.NEW:
            job = _job(now, [one for one in here if one.split()[1] == corner.split()[1]], {})
            yield from (replace(one, stage=stage) for one in fitted.described(job, corner))


def baseline_fields(
    now: Filling, here: list[Corner], counts: Mapping[str, float], stage: str
) -> Iterator[SheetField]:
    """Ask which baseline holds, where another damper is on."""
    others = _others(now, here)
    knobs = [one for one in adjusters(now.car).values() if one.part == "knob"]
    uncounted = any(one.place in others and one.id not in counts for one in knobs)
    if others:
        yield from (replace(one, stage=stage) for one in baseline.fields(now, uncounted))


def jobs(now: Filling, here: list[Corner], counts: Mapping[str, float]) -> list[Filling]:
    """Return the jobs of other dampers that the fitting comes to, one for each axle."""
    by_axle = ([one for one in _others(now, here) if one.endswith(axle)] for axle in AXLES)
    return [_job(now, one, counts) for one in by_axle if one]


def bodies(
    now: Filling, here: list[Corner], counts: Mapping[str, float], new_id: NewId
) -> list[Body]:
    """Return the dampers fitted, their counts with them, and the baseline that was asked for."""
    others = _others(now, here)
    found = [
        body for job in jobs(now, here, counts)
        for body in fitted.mounted(job, fitted.read_counts(job), new_id)
    ]  # fmt: skip
    read = {key: count for key, count in counts.items() if key.startswith(tuple(others))}
    later = replace(now, state=after(now.state, found))
    return [*found, *(baseline.bodies(later, read, new_id) if others else ())]


def is_other(now: Filling, corner: str) -> bool:
    """Tell whether another damper is on at a corner than before."""
    return now.said(f"which {corner}") not in ("", SAME)


def _others(now: Filling, here: list[Corner]) -> list[Corner]:
    return [corner for corner in here if is_other(now, corner)]


def _which_fault(now: Filling, here: list[Corner], corner: Corner, value: Given) -> str:
    """Say that a damper is named at two corners, or nothing."""
    if value in (SAME, fitted.NEW):
        return ""
    dampers = now.state.dampers
    for other in here:
        on = now.said(f"which {other}")
        if other != corner and value == (dampers.at(other) if on == SAME else on):
            name = dampers.name(str(value))
            return f"found {name} at the {other} too; wanted one damper for each corner"
    return ""


def _job(now: Filling, there: list[Corner], counts: Mapping[str, float]) -> Filling:
    """Return the fitting at corners of one axle as the job of other dampers, counted."""
    where = there[0].split()[1] if len(there) > 1 else there[0]
    answers: dict[str, AnswerValue] = {**now.answers, "where": where}
    for one in adjusters(now.car).values():
        if one.part != "knob" or one.place not in there:
            continue
        if one.id in counts:
            count = counts[one.id]
            answers[f"read {one.id}"] = f"{count:g}" if one.unit == "clicks" else one.show(count)
        total = now.said(f"ends {one.id}")
        if one.unit == "clicks" and total.isdecimal():
            answers[f"ends {one.name}"] = total
    return replace(now, answers=answers)
