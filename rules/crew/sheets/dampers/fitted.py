"""Other dampers on the car: which they are, their ends and counts, and the baseline from here."""

from collections.abc import Iterator, Mapping
from functools import partial

from rules.car.adjusters import Adjuster
from rules.car.damper_record import DamperRecord
from rules.car.edits import Edit
from rules.car.model import Corner
from rules.crew.sheets.asking import YES_NO, quantity
from rules.crew.sheets.dampers import baseline
from rules.crew.sheets.dampers.places import axle_of, corners, knobs_at, where_field
from rules.crew.sheets.dampers.record import record_fields, record_of, what_is_wrong
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.log.dampers import corners_of, first_at
from rules.log.events.dampers import DamperDescribed, DamperFitted
from rules.log.events.event import Body
from rules.question import Choice, Given, NewId
from rules.shop.damper_lists import LISTS

NEW = "new"
PROCEDURE = (
    "A damper goes by its id from here on: it can come off and go on elsewhere.",
    "Its counts are read on the car, from its own ends; the old ones are another damper's.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return which dampers they are, what they are, their counts, and the baseline."""
    yield where_field("At which corners are other dampers on?")
    here = corners(now)
    for corner in here:
        yield SheetField(
            f"which {corner}", f"{corner}", f"{corner.capitalize()}: which damper is on now?",
            "one", choices=tuple(choices_at(now, corner)), unknown=False,
            fault=partial(_which_fault, now, corner),
        )  # fmt: skip
        if now.said(f"which {corner}") == NEW:
            yield from described(now, corner)
    if not here or not all(now.said(f"which {corner}") for corner in here):
        return
    yield from _ends(now)
    knobs = knobs_at(now)
    for one in knobs:
        yield SheetField(
            f"read {one.id}", f"  {one.label}", f"{one.label.capitalize()}: its count, read now?",
            "text", longest=20,
            hint=f"From {one.count_from}, 0 to {_most(now, one):g}.{_came_off_at(now, one)}",
            fault=partial(_count_fault, now, one),
        )  # fmt: skip
    uncounted = any(not now.said(f"read {one.id}") for one in knobs)
    yield from baseline.fields(now, uncounted)


def _came_off_at(now: Filling, one: Adjuster) -> str:
    """Say where the knob stood when its damper came off, where it was on this car before."""
    which = now.said(f"which {one.place}")
    stood = now.state.dampers.left_at.get(which, {}).get(one.name)
    return "" if stood is None else f" It came off at {one.show(stood)}."


def choices_at(now: Filling, corner: Corner) -> Iterator[Choice]:
    """Yield a new damper, those in the trailer, and those that stand elsewhere."""
    dampers = now.state.dampers
    yield Choice(NEW, "One that is not described yet")
    firsts = [first_at(one) for one in (*corners_of(corner.split()[-1]), *dampers.mounted)]
    ids = dict.fromkeys([*dampers.records, *firsts])
    for damper in ids:
        where = dampers.where(damper)
        if where == corner:
            continue
        stands = f", now on the {where}: it comes off there" if where else ""
        away = f"away for service since {dampers.away[damper]}" if damper in dampers.away else ""
        yield Choice(damper, f"{dampers.name(damper)}{stands}", away)


def _which_fault(now: Filling, corner: Corner, value: Given) -> str:
    """Say that a damper is named at two corners, or nothing."""
    for other in corners(now):
        if other != corner and value != NEW and now.said(f"which {other}") == value:
            name = now.state.dampers.name(str(value))
            return f"found {name} at the {other} too; wanted one damper for each corner"
    return ""


def _twin(now: Filling, corner: Corner) -> Corner | None:
    """Return the corner before this one whose new damper this one may be alike."""
    before = corners(now)[: corners(now).index(corner)]
    return next((one for one in before if now.said(f"which {one}") == NEW), None)


def described(now: Filling, corner: Corner) -> Iterator[SheetField]:
    """Ask what a new damper is; of the second of an axle only what it has of its own."""
    twin = _twin(now, corner)
    if twin is not None:
        yield SheetField(
            f"alike {corner}", "Alike", f"The same as the {twin} one but for its serial?", "one",
            choices=YES_NO, default="yes", unknown=False,
        )  # fmt: skip
        if now.said(f"alike {corner}") != "no":
            for one in record_fields(now, corner, axle_of(now)):
                if one.key == f"{corner} serial":
                    yield one
            return
    yield from record_fields(now, corner, axle_of(now))


def _ends(now: Filling) -> Iterator[SheetField]:
    """Ask for the clicks from end to end of each knob that has clicks, both sides alike."""
    for one in _first_of_each(now):
        yield quantity(
            f"ends {one.name}", f"{one.name}: clicks", None, 1, 200, unit="clicks", unknown=False,
            question=f"{one.name.capitalize()}: how many clicks from end to end?",
            hint=f"By hand, never forced. The file has {one.marks:g}; another total goes into it.",
            fault=_whole,
        )  # fmt: skip


def _first_of_each(now: Filling) -> list[Adjuster]:
    found: dict[str, Adjuster] = {}
    for one in knobs_at(now):
        if one.unit == "clicks":
            found.setdefault(one.name, one)
    return list(found.values())


def _whole(value: Given) -> str:
    number = str(value).split()[0]
    return "" if number.isdecimal() else f"found {value}; wanted whole clicks"


def _most(now: Filling, one: Adjuster) -> float:
    said = now.said(f"ends {one.name}").split()
    return float(said[0]) if said and said[0].isdecimal() else one.high / one.per_unit


def _count_fault(now: Filling, one: Adjuster, value: Given) -> str:
    return "" if _count(now, one, str(value)) is not None else (
        f"found {value}; wanted 0 to {_most(now, one):g}, counted from {one.count_from}"
    )  # fmt: skip


def _count(now: Filling, one: Adjuster, text: str) -> float | None:
    """Return a count in marks within this damper's own ends; None where it is none."""
    if one.unit != "clicks":
        try:
            return one.parse(text)
        except ValueError:
            return None
    whole = text.strip().isdecimal() and float(text) <= _most(now, one)
    return float(text) if whole else None


def read_counts(now: Filling) -> dict[str, float]:
    """Return the counts that were read, by adjuster; one that was not is left out."""
    found = {one.id: _count(now, one, now.said(f"read {one.id}")) for one in knobs_at(now)}
    return {key: count for key, count in found.items() if count is not None}


def edits(now: Filling) -> Iterator[Edit]:
    """Yield the new totals of the car file's knobs, their start within them."""
    for at, damper in enumerate(now.car.dampers):
        if damper.corner not in corners(now):
            continue
        for place, knob in enumerate(damper.knobs):
            said = now.said(f"ends {knob.id}").split()
            if knob.clicks is None or not said or int(said[0]) == knob.clicks:
                continue
            total, path = int(said[0]), ("dampers", at, "knobs", place)
            label = f"{damper.corner} {knob.id}"
            yield Edit((*path, "clicks"), float(total), f"{label}: clicks")
            if knob.start > total:
                yield Edit((*path, "start"), float(total), f"{label}: start")


def _records(now: Filling, new_id: NewId) -> dict[Corner, tuple[str, DamperRecord | None]]:
    """Return the damper of each corner by its id, with its record where it is new."""
    found: dict[Corner, tuple[str, DamperRecord | None]] = {}
    for corner in corners(now):
        which = now.said(f"which {corner}")
        if which != NEW:
            found[corner] = (which, None)
            continue
        damper, twin = new_id(), _twin(now, corner)
        alike = twin is not None and now.said(f"alike {corner}") != "no"
        like = found[twin][1] if twin is not None and alike else None
        if like is not None:
            like = like.model_copy(update={"serial": "", "serviced": None})
        found[corner] = (damper, record_of(now, corner, damper, like))
    return found


def wrong(now: Filling) -> list[str]:
    """Return what of the dampers does not go with where they stand."""
    found: dict[str, None] = {}
    for _, (damper, record) in _records(now, lambda: "asked").items():
        one = record or now.state.dampers.records.get(damper)
        if one is not None:
            found |= dict.fromkeys(what_is_wrong(now.car, one, axle_of(now)))
    return list(found)


def stops(now: Filling) -> dict[str, str]:
    """Return what blocks the pass already: a stroke that is the stop, a hose at the tyre."""
    found = wrong(now)
    return {LISTS["fitted"]: "\n".join(found)} if found else {}


def result(now: Filling) -> Result:
    """Say what is on now, what is wrong with it, and what follows."""
    here = corners(now)
    if not here or not all(now.said(f"which {corner}") for corner in here):
        return Result()
    known = now.state.dampers
    says = []
    for corner, (damper, record) in _records(now, lambda: "asked").items():
        off = known.at(corner)
        name = record.name if record else known.name(damper)
        taken = f", {known.name(off)} off" if off else ""
        says.append(f"{corner.capitalize()}: {name} on{taken}.")
    says += wrong(now)
    left = [one.label for one in knobs_at(now) if one.id not in read_counts(now)]
    if left:
        says.append(f"Still to be counted before the pass: {', '.join(left)}.")
    if _has_curves(now):
        says.append(
            "The dyno tables in the car file are of the dampers that came off: until theirs are in "
            "their place, forecasts and kept forces are those of the old ones."
        )
    says.append("What was learnt at these corners is set aside until those dampers are back on.")
    says.append("The list of fitted dampers is ticked before the next pass.")
    return Result(tuple(says), edits=tuple(edits(now)))


def _has_curves(now: Filling) -> bool:
    """Tell whether the car file has a curve of a knob at these corners."""
    curves = ("compression_dyno", "rebound_dyno", "compression_points", "rebound_points")
    return any(
        getattr(knob, curve) is not None
        for damper in now.car.dampers
        for knob in damper.knobs
        for curve in curves
        if damper.corner in corners(now)
    )


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return the dampers described and fitted, and the baseline."""
    counts = read_counts(now)
    return [*mounted(now, counts, new_id), *baseline.bodies(now, counts, new_id)]


def mounted(now: Filling, counts: Mapping[str, float], new_id: NewId) -> list[Body]:
    """Return the dampers of the job described and fitted, with their counts by adjuster."""
    job = new_id()
    bodies: list[Body] = []
    for corner, (damper, record) in _records(now, new_id).items():
        if record is not None:
            bodies.append(DamperDescribed(damper=record))
        here = {key: count for key, count in counts.items() if key.startswith(corner)}
        bodies.append(DamperFitted(job=job, damper=damper, corner=corner, counts=here))
    return bodies
