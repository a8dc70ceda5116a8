"""The car file counts a damper's knob otherwise than before: a correction, or another damper?

A count is worth nothing on another damper, so the crew is asked before anything else is.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isclose
from typing import TYPE_CHECKING

from rules.asked import DamperChoice, Topic
from rules.car.model import CORNERS, Car, Corner, Damper, Knob
from rules.log.state import State
from rules.question import Choice, NewId, Prompt

if TYPE_CHECKING:
    from rules.log.events.event import Body


def doubts(known: Car, car: Car) -> list[Body]:
    """Return an event for each corner at which a knob has another range than it had."""
    from rules.log.events.dampers import DamperDoubted

    before = {damper.corner: damper for damper in known.dampers}
    found: list[Body] = []
    for damper in car.dampers:
        was = before.get(damper.corner)
        says = ", ".join(_otherwise(was, damper)) if was is not None else ""
        if says:
            found.append(DamperDoubted(corner=damper.corner, says=says))
    return found


def _otherwise(was: Damper, now: Damper) -> Iterator[str]:
    knobs = {knob.id: knob for knob in was.knobs}
    for knob in now.knobs:
        old = knobs.get(knob.id)
        if old is not None and not isclose(_range(old), _range(knob)):
            yield f"{knob.id} {_words(old)}, now {_words(knob)}"


def _range(knob: Knob) -> float:
    return knob.marks / knob.per_unit


def _words(knob: Knob) -> str:
    return f"{knob.clicks} clicks" if knob.clicks is not None else f"{knob.turns:g} turns"


def alike(state: State) -> tuple[str, list[str]]:
    """Return what the first doubt says, and the corners of which the file says the same."""
    found = state.dampers.doubts
    says = next(iter(found.values()), "")
    return says, [corner for corner, words in found.items() if words == says]


def prompt(state: State) -> Prompt | None:
    """Ask whether other dampers are on the car; None where nothing is in doubt."""
    says, corners = alike(state)
    if not corners:
        return None
    many = len(corners) > 1
    where = f"{corners[0].split()[1]}, both sides" if len(corners) == 2 else ", ".join(corners)
    return Prompt(
        Topic.OTHER_DAMPER,
        f"The car file changed, {where}: {says}. {'Other dampers' if many else 'Another damper'}?",
        choices=(
            Choice(DamperChoice.SAME, "No, the same: the file was put right"),
            Choice(DamperChoice.ANOTHER, f"Yes, {'others are' if many else 'another is'} on now"),
            Choice(DamperChoice.OPENED, "The same, but opened or with another valving"),
        ),
        hint="On another damper the old counts mean nothing: they are counted, its list is ticked.",
        subject=corners[0],
        claims=True,
    )


def bodies(state: State, topic: str, value: str, new_id: NewId) -> list[Body]:
    """Return the events of an answer to either question."""
    if topic == Topic.OTHER_BASELINE:
        return _baseline(state, value, new_id)
    return _settled(state, DamperChoice(value), new_id)


def _settled(state: State, choice: DamperChoice, new_id: NewId) -> list[Body]:
    """Return the events of the answer, for every corner of which the file says the same."""
    from rules.car.damper_record import DamperRecord
    from rules.crew import part_change
    from rules.log.events.changes import PartChangeMade
    from rules.log.events.dampers import (
        DamperDescribed,
        DamperDoubtSettled,
        DamperFitted,
        DamperOpened,
    )

    _, corners = alike(state)
    job, change = new_id(), new_id()
    found: list[Body] = []
    if choice is DamperChoice.OPENED:
        found += part_change.made_now(state, change, "valving", _corners(corners))
    for corner in state.dampers.doubts:
        if corner not in corners:
            continue
        settled = DamperDoubtSettled.model_validate({"corner": corner, "means": str(choice)})
        found.append(settled)
        here = settled.corner
        if choice is DamperChoice.ANOTHER:
            record = DamperRecord(id=new_id(), maker=_name_in_file(state, here))
            found.append(DamperDescribed(damper=record))
            found.append(DamperFitted(job=job, damper=record.id, corner=here))
        elif choice is DamperChoice.OPENED:
            there = state.dampers.at(here)
            found.append(DamperOpened(job=job, damper=there, corner=here, change=change))
    if choice is DamperChoice.OPENED:
        found.append(PartChangeMade(change=change))
    return found


def _corners(named: list[str]) -> list[Corner]:
    return [one for one in CORNERS if one in named]


def baseline_prompt(state: State) -> Prompt | None:
    """Ask which baseline holds once the other dampers are counted; None where none is due."""
    old = state.baseline
    if old is None or not state.dampers.baseline_due:
        return None
    return Prompt(
        Topic.OTHER_BASELINE,
        "Other dampers are on. Name of the baseline from here?",
        "text",
        hint=f"Enter keeps {old.name}, with the counts just read. Another name: all of now.",
        default=old.name,
        longest=60,
    )


def _baseline(state: State, name: str, new_id: NewId) -> list[Body]:
    """Return the baseline in force by its name with the new counts, or a new one of now."""
    from rules.crew.baselines import of_other_parts

    since = state.baseline.at if state.baseline is not None else None
    corners = {
        place
        for job in state.dampers.jobs
        if job.what == "fitted" and (since is None or job.at >= since)
        for place in job.done
    }
    counts = {
        key: state.settings[key]
        for key, one in state.fitted.items()
        if one.part == "knob" and one.place in corners
    }
    return [of_other_parts(state, name, counts, new_id)]


def _name_in_file(state: State, corner: str) -> str:
    dampers = state.described_car.dampers
    name = next((one.name for one in dampers if one.corner == corner), "damper")
    return name if name != "damper" else f"{corner} damper"
