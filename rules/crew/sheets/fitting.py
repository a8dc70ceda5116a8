"""Fitting dampers, walked step by step; how each knob is reached is remembered for every order."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from rules.car.adjusters import Adjuster, adjusters
from rules.car.model import CORNERS, AxleEnd, Corner
from rules.crew.sheets import fitting_dampers
from rules.crew.sheets.asking import length, quantity
from rules.crew.sheets.dampers import fitted
from rules.crew.sheets.fitting_steps import (
    AFTER,
    AFTER_REACH,
    BEFORE_REACH,
    BODY,
    DONE,
    DOWN,
    IN,
    MARKS,
    PROCEDURE,
    UP,
    WorkStep,
)
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.log.events.event import Body
from rules.log.reach import NEVER_A_HOLE, WAYS, said_bodies
from rules.log.rounds import CHECK
from rules.log.state import State
from rules.log.state_after import after
from rules.log.work_orders import recount_bodies
from rules.question import AnswerError, Choice, Given, NewId
from rules.shop.damper_lists import LISTS
from rules.shop.findings import Finding
from rules.shop.ratio import LIKELY
from rules.units import INCH_M, Quantity
from rules.wording import both

ID = "fitting"
WAITS = "waits"
PHOTOS = "photos"
FIRST_PASSES = (
    "Next, on Dampers and springs: a start setting, with its first passes and abort point."
)
STANDS_OTHERWISE_M = INCH_M / 4
_SIDES = re.compile(r"\s*/\s*|\s*;\s*")
_KINDS: dict[str, tuple[Choice, ...]] = {"done": DONE, "mark": MARKS, "body": BODY}


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the steps: car down, on stands with the springs out, springs in, car down again."""
    yield SheetField(
        "which", "Dampers", "Which dampers are fitted?", "many", unknown=False,
        choices=tuple(Choice(one, one.capitalize()) for one in CORNERS), stage=DOWN,
    )  # fmt: skip
    for corner in corners(now):
        yield _ride_length(now, corner, "before")
    for axle in axles(now):
        yield _ticked(
            f"{axle} counts", f"{axle.capitalize()} counts noted",
            f"{axle.capitalize()}: counts and collar marks as the book has them?", DOWN,
            "If not: leave with Esc and recount them, key r in the pits.",
        )  # fmt: skip
    if not axles(now):
        return
    yield SheetField(
        "stands", "Stands, axle held up", "Stands under the frame, axle or arm held up?", "one",
        choices=(Choice("done", "Done"), Choice("no", "Not yet")), unknown=False, stage=UP,
        hint="Chocked, engine off; nothing hangs on a hose, a line or a joint.",
        fault=lambda value: "found not yet; wanted done first" if value == "no" else "",
    )  # fmt: skip
    for axle in axles(now):
        yield from (_step(axle, one) for one in BEFORE_REACH)
        for knob in knobs(now, axle):
            yield from _reach(now, knob)
        yield from (_step(axle, one) for one in AFTER_REACH if one.stage == UP)
    for axle in axles(now):
        yield from (_step(axle, one) for one in AFTER_REACH if one.stage == IN)
        for knob in knobs(now, axle):
            yield from _counts(now, knob)
    for corner in corners(now):
        yield _ride_length(now, corner, "after")
    yield SheetField(
        PHOTOS, "Photographs", "Photographs, by file name?", "text", longest=1000, stage=AFTER,
        hint="Way up, knobs, hoses, collars; several with commas. The files stay where they are.",
    )  # fmt: skip
    yield from fitting_dampers.which_fields(now, corners(now), AFTER)
    yield from fitting_dampers.baseline_fields(now, corners(now), counts_set(now), AFTER)


def corners(now: Filling) -> list[Corner]:
    """Return the corners at which a damper is fitted, in their own order."""
    return [one for one in CORNERS if one in now.many("which")]


def axles(now: Filling) -> list[AxleEnd]:
    """Return the axles at which any damper is fitted."""
    ends: tuple[AxleEnd, ...] = ("front", "rear")
    return [end for end in ends if any(one.endswith(end) for one in corners(now))]


def knobs(now: Filling, axle: str) -> list[Adjuster]:
    """Return an axle's knobs at the corners that are fitted, a pair by its first side."""
    found: dict[str, Adjuster] = {}
    for one in adjusters(now.car).values():
        fitted = one.part == "knob" and one.axle == axle and one.place in corners(now)
        if fitted and one.partner not in found:
            found[one.id] = one
    return list(found.values())


def _sides(now: Filling, one: Adjuster) -> list[Adjuster]:
    """Return a knob and its twin, as far as they are fitted."""
    fitted = adjusters(now.car)
    pair = [one, *([fitted[one.partner]] if one.partner else [])]
    return [each for each in pair if each.place in corners(now)]


def _called(now: Filling, one: Adjuster) -> str:
    pair = len(_sides(now, one)) > 1
    return f"{one.axle} {one.name}" if pair else one.label


def _ride_length(now: Filling, corner: Corner, when: str) -> SheetField:
    side, end = corner.split()
    other = f"right {end} {when}" if side == "left" and f"right {end}" in corners(now) else ""
    return length(
        f"{corner} {when}", f"{corner.capitalize()} damper {when}", low=0.1, high=1.0, other=other,
        question=f"{corner.capitalize()} damper, eye to eye {when}?",
        hint="On the ground, as raced, rolled to settle it.",
        stage=DOWN if when == "before" else AFTER,
    )  # fmt: skip


def _ticked(key: str, label: str, question: str, stage: str, hint: str) -> SheetField:
    return SheetField(key, label, question, "one", choices=DONE, hint=hint, stage=stage)


def _step(axle: str, one: WorkStep) -> SheetField:
    return SheetField(
        f"{axle} {one.key}", f"{axle.capitalize()}: {one.label}",
        f"{axle.capitalize()}: {one.question}", "one", choices=_KINDS[one.kind], hint=one.hint,
        stage=one.stage,
    )  # fmt: skip


def _reach(now: Filling, knob: Adjuster) -> Iterator[SheetField]:
    """Ask how a knob is reached; after a job in the shop again; then what it takes."""
    name, key = _called(now, knob), f"reach {knob.id}"
    ways = tuple(Choice(one.id, one.label) for one in WAYS.values() if one.where != "nowhere")
    yield SheetField(
        key, f"{name.capitalize()} reached", f"{name.capitalize()}: how is it reached?", "one",
        choices=ways, stage=UP,
        hint=f"Wheel held on, as on the ground. If not, in this order of effort. {NEVER_A_HOLE}",
    )  # fmt: skip
    way = WAYS.get(now.said(key))
    if way is not None and way.where == "shop":
        here = tuple(Choice(one.id, one.label) for one in WAYS.values() if one.where == "track")
        yield SheetField(
            f"{key} then", f"  {name} after it", f"{name.capitalize()}: and how after that?", "one",
            choices=(*here, Choice(WAITS, "Not done yet: it waits")), unknown=False, stage=UP,
            hint=f"{way.label}. Until it is done no advice turns this knob.",
        )  # fmt: skip
    if (found := way_said(now, knob)) and WAYS[found].minutes and WAYS[found].where == "track":
        yield quantity(
            f"{key} minutes", f"  {name}: minutes more", None, 0.0, 300.0, unit="min", stage=UP,
            question=f"{name.capitalize()}: how many minutes more, both sides?",
            hint=f"{WAYS[found].label}; mostly {WAYS[found].minutes} (common practice, no source).",
        )  # fmt: skip


def way_said(now: Filling, knob: Adjuster) -> str:
    """Return the way a knob is reached in the end, empty where nobody said."""
    way, then = now.said(f"reach {knob.id}"), now.said(f"reach {knob.id} then")
    if way not in WAYS or WAYS[way].where == "track":
        return way if way in WAYS else ""
    return way if then in ("", WAITS) else then


def _counts(now: Filling, knob: Adjuster) -> Iterator[SheetField]:
    """Ask for a knob's marks from end to end, and for the counts that were set."""
    name, sides = _called(now, knob), len(_sides(now, knob))
    unit = knob.unit or "clicks"
    both_sides = ', "left / right" where they differ' if sides > 1 else ""
    yield SheetField(
        f"ends {knob.id}", f"{name.capitalize()}: {unit} end to end",
        f"{name.capitalize()}: how many {unit} from end to end?", "text", longest=20, stage=IN,
        hint=f"By hand, never forced{both_sides}. The file has {knob.show(knob.high)}.",
        fault=partial(_ends_fault, now, knob), doubt=partial(_ends_doubt, now, knob),
    )  # fmt: skip
    yield SheetField(
        f"set {knob.id}", f"{name.capitalize()} set", f"{name.capitalize()}: where is it set now?",
        "text", longest=20, stage=IN, fault=partial(_set_fault, now, knob),
        hint=f"Read off the knob, from {knob.count_from}{both_sides}. "
        f"The book has {knob.show(now.state.settings.get(knob.id, knob.start))}.",
    )  # fmt: skip


def _parts(now: Filling, knob: Adjuster, value: Given) -> list[tuple[Adjuster, str]]:
    """Return each side with what was typed for it."""
    sides, typed = _sides(now, knob), _SIDES.split(str(value).strip())
    if len(typed) == 1:
        typed *= len(sides)
    if len(typed) != len(sides):
        raise ValueError(f"found {value}; wanted one count, or left / right")
    return list(zip(sides, typed, strict=True))


def _ends_fault(now: Filling, knob: Adjuster, value: Given) -> str:
    try:
        wrong = [typed for _, typed in _parts(now, knob, value) if not _number(typed)]
    except ValueError as error:
        return str(error)
    return f"found {wrong[0]}; wanted a number above 0" if wrong else ""


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", ".")) or None
    except ValueError:
        return None


def _ends_doubt(now: Filling, knob: Adjuster, value: Given) -> str:
    """Doubt a total that the file has otherwise, or that differs from side to side."""
    totals = [_number(typed) for _, typed in _parts(now, knob, value)]
    if len(set(totals)) > 1:
        return "The two sides differ: a wrong total is damage, or dampers that are not a pair."
    if totals[0] != knob.high / knob.per_unit:
        return (
            f"The file has {knob.show(knob.high)}: another damper, a miscount, or damage. The file "
            "is put right on the sheet Edit the car."
        )
    return ""


def _set_fault(now: Filling, knob: Adjuster, value: Given) -> str:
    try:
        for one, typed in _parts(now, knob, value):
            one.parse(typed)
    except ValueError as error:
        return str(error).removeprefix(f"{knob.label}: ")
    return ""


def counts_set(now: Filling) -> dict[str, float]:
    """Return the counts that were read after fitting, by adjuster."""
    found: dict[str, float] = {}
    for axle in axles(now):
        for knob in knobs(now, axle):
            if said := now.said(f"set {knob.id}"):
                found |= {one.id: one.parse(typed) for one, typed in _parts(now, knob, said)}
    return found


def _failed(now: Filling) -> Iterator[tuple[str, WorkStep]]:
    for axle in axles(now):
        for one in AFTER_REACH:
            if now.said(f"{axle} {one.key}") == "fail":
                yield axle, one


def stops(now: Filling) -> Mapping[str, str]:
    """Return what of the steps blocks advice, by inspection."""
    lines = [f"Fitting, {axle}: {one.failed}." for axle, one in _failed(now)]
    jobs = fitting_dampers.jobs(now, corners(now), {})
    wrong = [words for job in jobs for words in fitted.stops(job).values()]
    found = {CHECK: lines, LISTS["fitted"]: wrong}
    return {inspection: "\n".join(words) for inspection, words in found.items() if words}


def result(now: Filling) -> Result:
    """Say what failed, how each knob is reached, what stands otherwise, and what is left open."""
    found = [
        Finding(f"{axle} {one.label}", None, None, "stop", f"FAIL: {one.failed}. It blocks advice.")
        for axle, one in _failed(now)
    ]
    for axle in axles(now):
        found += [_reach_finding(now, knob) for knob in knobs(now, axle)]
    found += [one for corner in corners(now) if (one := _stands(now, corner)) is not None]
    left = [
        one.label.strip()
        for one in fields(now)
        if one.kind == "one" and one.key in now.answers and not now.said(one.key)
    ]
    says = [f"Left open: {', '.join(left)}."] if left else []
    changed = list(_recounted(now))
    if changed:
        says.append(f"Recorded as recounts: {', '.join(changed)}.")
    jobs = fitting_dampers.jobs(now, corners(now), counts_set(now))
    for job in jobs:
        says += fitted.result(job).says
    if jobs:
        says.append(FIRST_PASSES)
    edits = tuple(one for job in jobs for one in fitted.edits(job))
    return Result(tuple(says), tuple(found), edits)


def _recounted(now: Filling) -> dict[str, float]:
    """Return the counts that stand otherwise than the book, on dampers that stayed the same."""
    same = {
        one.id
        for one in adjusters(now.car).values()
        if not fitting_dampers.is_other(now, one.place)
    }
    return {
        key: count
        for key, count in counts_set(now).items()
        if key in same and (count != now.state.settings[key] or key in now.state.to_recount)
    }


def _reach_finding(now: Filling, knob: Adjuster) -> Finding:
    name, way = f"{_called(now, knob)}, reach", WAYS.get(way_said(now, knob))
    if way is None:
        return Finding(name, None, None, "unknown", "Nobody has said how it is reached.")
    if way.where == "shop":
        says = f"Out of reach until it is done: {way.label.lower()}. No advice turns it before."
        return Finding(name, None, None, "look", says)
    minutes = now.si(f"reach {knob.id} minutes")
    more = way.minutes if minutes is None else round(minutes)
    return Finding(name, None, None, "ok", f"{way.label}{f', {more} min more' * bool(more)}.")


def _stands(now: Filling, corner: Corner) -> Finding | None:
    """Return how far a damper's length on the ground moved; None where it was not measured."""
    before, later = (now.si(f"{corner} {when}", Quantity.LENGTH) for when in ("before", "after"))
    if before is None or later is None:
        return None
    moved = later - before
    says = f"{both(before, Quantity.LENGTH)} before, {both(later, Quantity.LENGTH)} after."
    if abs(moved) <= STANDS_OTHERWISE_M + 1e-9:
        return Finding(f"{corner} stands", moved, Quantity.LENGTH, "ok", says)
    low, high = LIKELY
    says += (
        f" The wheel moved by {1 / high:.1f} to {1 / low:.1f} times that: set ride height and "
        "preload, or measure travel anew."
    )
    return Finding(f"{corner} stands", moved, Quantity.LENGTH, "look", says)


def refuses(state: State) -> str:
    """Return why nothing can be recorded now, or nothing."""
    order = state.work_order
    return f"the work order {order.title!r} is not finished" if order else ""


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return the recounts, the other dampers that are on, and how each knob is reached.

    Raises:
        AnswerError: if a work order is half done.
    """
    if fault := refuses(now.state):
        raise AnswerError(fault)
    bodies: list[Body] = []
    for key, count in _recounted(now).items():
        bodies += recount_bodies(after(now.state, bodies), key, count)
    later = replace(now, state=after(now.state, bodies))
    bodies += fitting_dampers.bodies(later, corners(now), counts_set(now), new_id)
    for axle in axles(now):
        for knob in knobs(now, axle):
            if way := way_said(now, knob):
                minutes = now.si(f"reach {knob.id} minutes")
                bodies += said_bodies(now.state, knob, way, minutes)
    return bodies


FITTING = Sheet(
    ID, "Fitting dampers", fields, result, PROCEDURE, closing=closing, refuses=refuses, stops=stops,
    on_paper=({"which": tuple(CORNERS)},),
)  # fmt: skip
