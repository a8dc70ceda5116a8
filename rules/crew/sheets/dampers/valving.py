"""Another valving as one guided job: what came out and went in, oil, counts, and the clicks.

The program records who opened a damper and what they noted; it never says how one is opened,
charged or bled. What has to be looked at by hand is the list that follows the job.
"""

from collections.abc import Iterable, Iterator
from functools import partial

from rules.advice.safety.work_gates import KNOWING, NO, YES, asked_first
from rules.car import titles
from rules.car.adjusters import Adjuster, Turn
from rules.car.damper_record import InsideStroke, Stroke
from rules.car.model import Corner
from rules.car.valvings import STROKES, strokes_named, valving_lever
from rules.crew import part_change
from rules.crew.sheets.dampers import baseline
from rules.crew.sheets.dampers.beside import Beside, beside, keeps, told
from rules.crew.sheets.dampers.places import (
    axle_of,
    corners,
    count_fault,
    counted_fields,
    counts_said,
    knobs_at,
    strokes_of,
    where_field,
)
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.crew.valving_change import AS_THEY_ARE, TYPED, ChangeValving, counts_prompt, first_sides
from rules.crew.valving_change import valving_bodies as change_bodies
from rules.launch.kept_force import SPEEDS
from rules.launch.side_by_side import AtSpeed
from rules.log.dampers import corners_of
from rules.log.events.changes import ChangeProposed, ChangeRetargeted, PartChangeMade, TurnDone
from rules.log.events.dampers import DamperOpened
from rules.log.events.event import Body
from rules.log.events.lists import DamageReported
from rules.log.state import State
from rules.log.state_after import after
from rules.log.work_orders import half_made, recount_bodies
from rules.question import AnswerError, Choice, Given, NewId

OUTSIDE, OPENED = "from outside", "opened"
NEAREST = "nearest end"
PROCEDURE = (
    "Engine off, cold, on stands, wheels chocked. One hand reads, the other writes.",
    "From outside only where the damper's own sheet says so, and only as it says.",
    "Anything else is opened by its maker or qualified hands: here it is only written down.",
    "Gas pressure is noted as they say it, and never set here.",
    "One valving is one change: one pass, one verdict, one way back, counts and all.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions of the job in the order of the work."""
    yield where_field("In which dampers is another valving?")
    yield SheetField(
        "how", "How", "How was it changed?", "one", unknown=False,
        choices=(
            Choice(OUTSIDE, "From outside, on the car, as the damper's sheet says"),
            Choice(OPENED, "Opened by its maker or qualified hands"),
        ),
        hint="Opening and charging are theirs alone. Here it is only written down.",
        fault=partial(_how_fault, now),
    )  # fmt: skip
    if now.said("how") == OPENED:
        yield SheetField(
            "by", "Opened by", "Who opened it?", "text", unknown=False, longest=60,
            hint="The maker, a trained service, or a qualified person by name.",
        )  # fmt: skip
    yield SheetField(
        "stroke", "Stroke", "Of which stroke is the valving?", "one", unknown=False,
        choices=(*(Choice(one, one.capitalize()) for one in STROKES), Choice("both", "Both")),
    )  # fmt: skip
    if not now.said("stroke"):
        return
    yield from counted_fields(
        now, "before", "Counts before it came apart?", _knobs(now), later=False
    )
    yield from _packs(now)
    yield SheetField(
        "oil", "Oil seen", "Was any oil seen, on the damper, the hands or the ground?", "one",
        choices=(Choice("no", "None: wiped, and looked at again"), Choice("yes", "Oil")),
        unknown=False, hint="Oil is a fluid found: no pass before its list is ticked.",
    )  # fmt: skip
    if now.said("how") == OPENED:
        yield SheetField(
            "gas", "Gas pressure", "Gas pressure, as those who set it noted it?", "text",
            longest=60, hint="With unit and date as written down. It is never set here.",
        )  # fmt: skip
    yield from counted_fields(
        now, "after", "Knobs counted end to end again: where do they stand?", _knobs(now),
        later=True, hint=_counts_that_keep(now),
    )  # fmt: skip
    yield from _clicks(now)
    if lever_of(now) is None and now.said("in") and (now.said("after") or not _knobs(now)):
        left = {one.id for one in _knobs(now)} - counts_said(now, "after", _knobs(now)).keys()
        yield from baseline.fields(now, uncounted=bool(left))


def _knobs(now: Filling) -> list[Adjuster]:
    stroke = now.said("stroke")
    return knobs_at(now, "" if stroke == "both" else stroke)


def _how_fault(now: Filling, value: Given) -> str:
    known = now.state.dampers
    for corner in corners(now):
        record = known.records.get(known.at(corner))
        if value == OUTSIDE and record is not None and record.from_outside is False:
            return (
                f"found from outside; wanted opened by qualified hands: {record.name} takes no "
                "valving from outside, as it was described"
            )
    return ""


def _packs(now: Filling) -> Iterator[SheetField]:
    lever = lever_of(now)
    if lever is None:
        yield SheetField(
            "out", "Came out", "Which valving came out?", "text", longest=60,
            hint="Its name or its shims, so that it can go back.",
        )  # fmt: skip
        yield SheetField(
            "in", "Went in", "Which valving went in?", "text", unknown=False, longest=60,
            hint="As written on it.", fault=partial(_stroke_fault, now),
        )  # fmt: skip
    else:
        on = lever.show(now.state.settings[lever.id])
        yield SheetField(
            "in", "Went in", f"{on} came out. Which valving went in?", "one", unknown=False,
            choices=tuple(
                Choice(name, name, "it was in already" if name == on else "")
                for name in lever.positions
            ),
            hint="The same on both sides. Index marks matched, screws to the maker's figure. "
            "One that is not here goes into the stock first.",
            fault=partial(_stroke_fault, now),
        )  # fmt: skip
    yield SheetField(
        "shims", "Its shims", "Its shims, if they are known?", "text", longest=120,
        hint="In your own words, as on the pack's tag.",
    )  # fmt: skip


def _stroke_fault(now: Filling, value: Given) -> str:
    """Say that a valving in stock is for the other stroke or the other end, or nothing."""
    owned = [one for one in now.car.stock if one.kind == "valving" and one.name == value]
    here = [one for one in owned if one.axle == axle_of(now)]
    if owned and not here:
        return f"found {value}, which is for the {owned[0].axle}; wanted one for this end"
    stroke = now.said("stroke")
    for one in here:
        of = [each for each in STROKES if getattr(one, f"{each}_dyno") is not None]
        if stroke in STROKES and of and stroke not in of:
            return f"found {value}, a valving for {of[0]}; wanted one for {stroke}"
    return ""


def lever_of(now: Filling) -> Adjuster | None:
    """Return the lever that names the valvings of a job on both sides; None for one side alone.

    Nor is it of the job where the tables of all that it names are of the other stroke.
    """
    lever = valving_lever(now.car, axle_of(now))
    if lever is None or not lever.positions or set(corners(now)) != set(corners_of(axle_of(now))):
        return None
    of = strokes_named(now.car, lever)
    if of and not of & set(strokes_of(now)):
        return None
    return now.state.fitted[lever.id]


def _clicks(now: Filling) -> Iterator[SheetField]:
    lever = lever_of(now)
    if lever is None or not now.said("in") or not now.said("after"):
        return
    to = lever.parse(now.said("in"))
    asked = counts_prompt(_base(now), lever, to)
    key, rows = forces(now)
    choices = [*asked.choices]
    if rows and rows[0].count is None:
        end = f"{now.state.fitted[key].name} {rows[0].nearest:g}"
        choices.insert(len(SPEEDS), Choice(NEAREST, f"No click gives it: the nearest end, {end}"))
    hint = " ".join([*(f"{one.says}." for one in rows), "" if rows else asked.hint])
    yield SheetField(
        "clicks", "Clicks", asked.question, "one", unknown=False, choices=tuple(choices),
        hint=hint.strip(),
    )  # fmt: skip
    if now.said("clicks") == TYPED:
        for one in first_sides(now.state, lever):
            yield SheetField(
                f"count {one.id}", f"  {one.name}", f"{one.label.capitalize()}: which count?",
                "text", default=one.show(now.state.settings[one.id]), unknown=False, longest=20,
                hint=f"Wanted: {one.wanted()}. The other side moves by the same number.",
                fault=partial(count_fault, one),
            )  # fmt: skip
    asks = asked_first(_base(now), _turns(now))
    if asks is not None:
        yield SheetField(
            KNOWING, "Knowing that", asks.question, "one", choices=asks.choices, hint=asks.hint,
            unknown=False,
        )  # fmt: skip


def forces(now: Filling) -> tuple[str, tuple[AtSpeed, ...]]:
    """Return the knob that the new valving's tables count, and the forces at three speeds."""
    return next(((one.key, one.rows) for one in _forces(now)), ("", ()))


def _forces(now: Filling) -> Iterator[Beside]:
    return beside(now, _base(now), now.said("in"))


def _counts_that_keep(now: Filling) -> str:
    """Say which count of the new valving keeps today's force, where no lever asks for it."""
    if lever_of(now) is not None or not now.said("in"):
        return ""
    return " ".join(keeps(now, one) for one in _forces(now))


def _base(now: Filling) -> State:
    """Return the state with the counts that were read before it came apart."""
    return after(now.state, _recounts(now))


def _recounts(now: Filling) -> list[Body]:
    read = counts_said(now, "before", _knobs(now))
    bodies: list[Body] = []
    for key, count in read.items():
        if count != now.state.settings[key] or key in now.state.to_recount:
            bodies += recount_bodies(after(now.state, bodies), key, count)
    return bodies


def _change(now: Filling) -> ChangeValving | None:
    """Return the change of valving that the job comes to, None without a lever for it."""
    lever = lever_of(now)
    said = now.said("clicks")
    if lever is None or not now.said("in") or not said:
        return None
    keep = next((one for one in SPEEDS if one == said), AS_THEY_ARE)
    typed: dict[str, str | float] = {}
    if now.said(KNOWING) == NO:
        keep = AS_THEY_ARE
    elif said == NEAREST:
        key, rows = forces(now)
        typed = {key: f"{rows[0].nearest:g}"} if rows else {}
    elif said == TYPED:
        firsts = first_sides(now.state, lever)
        typed = {one.id: now.said(f"count {one.id}") for one in firsts}
    return ChangeValving(
        lever=lever.id, to=now.said("in"), keep=keep, counts=typed, knowing=now.said(KNOWING) == YES
    )


def _bodies(now: Filling, new_id: NewId) -> list[Body]:
    action = _change(now)
    return change_bodies(_base(now), action, new_id) if action is not None else []


def _turns(now: Filling) -> list[Turn]:
    try:
        bodies = _bodies(now, lambda: "asked")
    except AnswerError:
        return []
    return [t for body in bodies if isinstance(body, ChangeProposed) for t in body.turns]


def result(now: Filling) -> Result:
    """Say what is written down, the forces side by side, and what follows."""
    if not now.said("in"):
        return Result()
    where = f"{axle_of(now)}, both sides" if len(corners(now)) == 2 else now.said("where")
    what = " and ".join(strokes_of(now))
    says = [f"{what.capitalize()} valving, {where}: {now.said('in')} is in."]
    if len(corners(now)) == 1:
        says.append("One side alone: the car is not alike left and right before the other has it.")
    if now.said("how") == OPENED:
        says.append(f"Opened by {now.said('by')}. Gas as noted: {now.said('gas') or 'not noted'}.")
    if now.said("oil") == "yes":
        says.append("Oil was seen: no pass before the list for fluid is ticked.")
    says += told(tuple(_forces(now))) or [
        "No dyno table of both: what force it gives beside the old one is not known."
    ]
    says += _follows(now)
    return Result(tuple(says))


def _follows(now: Filling) -> Iterator[str]:
    turns = _turns(now)
    if why := _refused(now):
        yield f"It waits: {why}."
    elif turns:
        words = titles.counts_words(turns[1:], now.state.fitted)
        yield f"One change with its clicks: {words or 'the counts stay'}. The order walks them."
    else:
        back = now.said("out") or "the one before"
        yield f"One change: the next pass is its verdict, by eye and by clock; way back: {back} in."
        if forces(now)[1]:
            yield "The dyno table in the car file stays that of the one before, until it is edited."
    yield "Its list is ticked before the next pass; older evidence at these corners is set aside."


def _refused(now: Filling) -> str:
    try:
        _bodies(now, lambda: "asked")
    except AnswerError as error:
        return str(error)
    return ""


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return what was done inside, then the one change with its clicks.

    Raises:
        AnswerError: if a work order is half made, or a knob has to be counted first.
    """
    job = new_id()
    changed = _bodies(now, new_id)
    proposed = next((one for one in changed if isinstance(one, ChangeProposed)), None)
    change = proposed.change if proposed else new_id()
    strokes = strokes_of(now)
    inside = InsideStroke(valving=now.said("in"), shims=now.said("shims"))
    before, found = (counts_said(now, key, _knobs(now)) for key in ("before", "after"))
    opened: list[Body] = [
        DamperOpened.model_validate(
            {
                "job": job,
                "damper": now.state.dampers.at(corner),
                "corner": corner,
                "from_outside": now.said("how") == OUTSIDE,
                "by": now.said("by"),
                "strokes": dict.fromkeys(strokes, inside),
                "gas": now.said("gas"),
                "before": _of(corner, before),
                "counts": _untouched(now, corner) | _of(corner, found),
                "change": change,
            }
        )
        for corner in corners(now)
    ]
    before_it = [] if lever_of(now) is not None else _as_one_change(now, change, strokes)
    bodies = [*_recounts(now), *before_it, *opened, *changed]
    if before_it:
        bodies.append(PartChangeMade(change=change))
    if proposed is not None:
        if any(before.get(key) != count for key, count in found.items()):
            bodies.append(ChangeRetargeted(change=proposed.change, turns=proposed.turns))
        lever = proposed.turns[0].adjuster
        bodies.append(TurnDone(change=proposed.change, adjuster=lever))
    bodies += baseline.bodies(now, found, new_id)
    if now.said("oil") == "yes":
        bodies.append(DamageReported(report=new_id(), found="fluid"))
    return bodies


def _as_one_change(now: Filling, change: str, strokes: Iterable[Stroke]) -> list[Body]:
    """Return the change that a valving is which no lever names: it waits for its pass.

    Raises:
        AnswerError: if a work order is half made.
    """
    if why := half_made(now.state):
        raise AnswerError(f"a valving waits: {why}")
    came_out = now.said("out") or _inside_before(now, tuple(strokes))
    went_in = ", ".join(filter(None, (now.said("in"), now.said("shims"))))
    return part_change.made_now(
        now.state, change, "valving", corners(now), strokes, came_out, went_in
    )


def _inside_before(now: Filling, strokes: tuple[Stroke, ...]) -> str:
    """Name what the dampers' records had in these strokes, where all of them had the same."""
    records = [now.state.dampers.records.get(now.state.dampers.at(one)) for one in corners(now)]
    packs = {
        one.strokes[stroke].says if one is not None and stroke in one.strokes else ""
        for one in records
        for stroke in strokes
    }
    return packs.pop() if len(packs) == 1 else ""


def _of(corner: Corner, counts: dict[str, float]) -> dict[str, float]:
    return {key: count for key, count in counts.items() if key.startswith(corner)}


def _untouched(now: Filling, corner: Corner) -> dict[str, float]:
    """Return the counts of the corner's knobs of the other stroke: nobody turned them."""
    touched = {one.id for one in _knobs(now)}
    here = [one for one in knobs_at(now) if one.place == corner and one.id not in touched]
    return {one.id: now.state.settings[one.id] for one in here}
