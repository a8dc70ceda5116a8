"""Dampers and springs changed: what stands where, what has to be counted, what evidence is of."""

from collections.abc import Mapping
from datetime import datetime

from rules.car.damper_record import DamperRecord
from rules.log.changes import Change
from rules.log.dampers import NOTHING, Dampers, Job, JobKind, spring_place
from rules.log.events.dampers import (
    DamperDescribed,
    DamperDoubted,
    DamperDoubtSettled,
    DamperFitted,
    DamperOpened,
    DamperServiced,
    SpringChanged,
)
from rules.log.folds.waiting import OTHER_PARTS
from rules.log.other_parts import places_of
from rules.log.state import State
from rules.replaced import replace

DamperEvent = (
    DamperDescribed
    | DamperFitted
    | DamperOpened
    | DamperServiced
    | SpringChanged
    | DamperDoubted
    | DamperDoubtSettled
)


def on_dampers(state: State, body: DamperEvent, at: datetime) -> State:
    """Return the state after an event of a damper's life."""
    known = state.dampers
    match body:
        case DamperDescribed():
            return _with(state, _described(known, body))
        case DamperFitted():
            return _fitted(state, body, at)
        case DamperOpened():
            return _opened(state, body, at)
        case DamperServiced():
            return _serviced(state, body, at)
        case SpringChanged():
            return _sprung(state, body, at)
        case DamperDoubted(corner=corner, says=says):
            return _with(state, replace(known, doubts={**known.doubts, corner: says}))
        case DamperDoubtSettled(corner=corner, means=means):
            due = known.baseline_due or means == "another"
            return _with(state, replace(_sure_of(known, corner), baseline_due=due))


def baseline_said(state: State) -> State:
    """Return the state in which nobody asks any more which baseline other dampers have."""
    if not state.dampers.baseline_due:
        return state
    return _with(state, replace(state.dampers, baseline_due=False))


def _with(state: State, known: Dampers) -> State:
    return replace(state, dampers=known)


def _sure_of(known: Dampers, corner: str) -> Dampers:
    return replace(known, doubts={k: says for k, says in known.doubts.items() if k != corner})


def _described(known: Dampers, body: DamperDescribed) -> Dampers:
    """Take a record in; one that stood at a corner already is what that corner had."""
    one = body.damper
    return replace(known, records={**known.records, one.id: one})


def _with_job(
    state: State,
    at: datetime,
    job: str,
    what: JobKind,
    done: Mapping[str, str],
    damper: str = "",
    change: str | None = None,
) -> tuple[Job, ...]:
    """Return the jobs with one more; what was done in one go stands as one."""
    jobs, dampers = state.dampers.jobs, (damper,) if damper else ()
    if jobs and jobs[-1].id == job:
        last = jobs[-1]
        both = tuple(dict.fromkeys((*last.dampers, *dampers)))
        return (*jobs[:-1], replace(last, done={**last.done, **done}, dampers=both))
    return (*jobs, Job(job, what, at, len(state.runs), done, dampers, change))


def _fitted(state: State, body: DamperFitted, at: datetime) -> State:
    """Mount a damper; wherever it stood before, nothing stands there now."""
    known, corner = state.dampers, body.corner
    was = known.where(body.damper) if body.damper else None
    left: dict[str, str] = {was: NOTHING} if was else {}
    mounted = {**known.mounted, **left, corner: body.damper}
    name = known.name(body.damper)
    done: dict[str, str] = {corner: f"{name} fitted" if body.damper else "taken off"}
    known = replace(
        _sure_of(known, corner),
        mounted=mounted,
        away={k: since for k, since in known.away.items() if k != body.damper},
        left_at={
            **known.left_at,
            **_left_at(state, corner),
            **(_left_at(state, was) if was else {}),
        },
        jobs=_with_job(state, at, body.job, "fitted", done, body.damper),
    )
    return _waits_no_more(_counted(_with(state, known), corner, body.counts), {corner})


def _left_at(state: State, corner: str) -> dict[str, Mapping[str, float]]:
    """Return where the knobs of the damper at a corner stand, as it comes off."""
    damper = state.dampers.at(corner)
    here = [one for one in state.fitted.values() if one.part == "knob" and one.place == corner]
    counts = {one.name: state.settings[one.id] for one in here if one.id not in state.to_recount}
    return {damper: counts} if damper else {}


def _opened(state: State, body: DamperOpened, at: datetime) -> State:
    """Note what is inside now; where a lever's change names it, that change says it in settings."""
    known = state.dampers
    places: set[str] = {body.corner} if body.corner else set()
    was = known.records.get(body.damper, DamperRecord(id=body.damper))
    now = was.model_copy(
        update={"strokes": {**was.strokes, **body.strokes}, "gas": body.gas or was.gas}
    )
    records = {**known.records, body.damper: now}
    packs = {stroke: one.says for stroke, one in body.strokes.items() if one.says}
    alike = len(packs) > 1 and len(set(packs.values())) == 1
    said = (words if alike else f"{stroke} {words}" for stroke, words in packs.items())
    inside = "; ".join(dict.fromkeys(said))
    how = "valving changed from outside" if body.from_outside else "damper opened"
    how = "another valving" if body.change and not body.from_outside and not body.by else how
    done: dict[str, str] = {body.corner or "": f"{how}{f', now {inside}' if inside else ''}"}
    opened = _once_more(known, body.damper, body.job)
    jobs = _with_job(state, at, body.job, "opened", done, body.damper, body.change)
    known = replace(known, records=records, opened=opened, jobs=jobs)
    if body.corner is None:
        return _with(state, known)
    state = _counted(_with(state, _sure_of(known, body.corner)), body.corner, body.counts)
    return state if body.change else _waits_no_more(state, places)


def _once_more(known: Dampers, what: str, job: str) -> Mapping[str, tuple[str, ...]]:
    return {**known.opened, what: (*known.opened.get(what, ()), job)}


def _serviced(state: State, body: DamperServiced, at: datetime) -> State:
    """Send a damper away, which leaves its corner bare, or take it back as one that was opened."""
    known = state.dampers
    corner = known.where(body.damper)
    name, on = known.name(body.damper), body.on.isoformat()
    if body.what == "sent":
        says = f"{name} sent for service on {on}"
        mounted = {**known.mounted, corner: NOTHING} if corner else known.mounted
        left = _left_at(state, corner) if corner else {}
        away = {**known.away, body.damper: on}
        known = replace(known, mounted=mounted, away=away, left_at={**known.left_at, **left})
    else:
        says = f"{name} back from service on {on}"
        record = known.records.get(body.damper)
        records = {body.damper: record.model_copy(update={"serviced": body.on})} if record else {}
        known = replace(
            known,
            records={**known.records, **records},
            opened=_once_more(known, body.damper, body.job),
            away={k: since for k, since in known.away.items() if k != body.damper},
        )
    says = f"{says}, {body.note.rstrip('.')}" if body.note else says
    places: set[str] = {corner} if corner else set()
    jobs = _with_job(state, at, body.job, "serviced", {corner or "": says}, body.damper)
    return _waits_no_more(_with(state, replace(known, jobs=jobs)), places)


def _sprung(state: State, body: SpringChanged, at: datetime) -> State:
    """Put springs on; a change that names them by a lever keeps what is under it."""
    known, place = state.dampers, spring_place(body.axle)
    done = {place: f"{body.name} on, both sides"}
    jobs = _with_job(state, at, body.job, "spring", done, change=body.change)
    if body.change:
        opened = _once_more(known, place, body.job)
        known = replace(known, opened=opened, jobs=jobs)
        made = state.changes.find(body.change)
        if made is not None and made.part is not None:
            called = {**known.springs_called, body.axle: body.name}
            known = replace(known, springs_called=called)
        return _with(state, known)
    springs = {**known.springs, body.axle: body.name}
    opened = {key: done for key, done in known.opened.items() if key != place}
    called = {axle: name for axle, name in known.springs_called.items() if axle != body.axle}
    known = replace(known, springs=springs, opened=opened, jobs=jobs, springs_called=called)
    return _waits_no_more(_with(state, known), {place})


def _counted(state: State, corner: str, counts: Mapping[str, float]) -> State:
    """Take the counts read on a damper; a knob that was not read has to be counted by hand."""
    here = [key for key, one in state.fitted.items() if one.part == "knob" and one.place == corner]
    fitted = state.fitted
    read = {key: counts[key] for key in here if key in counts and fitted[key].holds(counts[key])}
    kept = {key: nets for key, nets in state.to_recount.items() if key not in read}
    return replace(
        state,
        settings={**state.settings, **read},
        known_since={**state.known_since, **dict.fromkeys(read, len(state.runs))},
        to_recount={**{key: {} for key in here if key not in read}, **kept},
        disputed={key: both for key, both in state.disputed.items() if key not in read},
        split={key: since for key, since in state.split.items() if key not in here},
        recounts={key: one for key, one in state.recounts.items() if key not in here},
    )


def _waits_no_more(state: State, places: set[str]) -> State:
    """Set aside a change that waited for its pass there: its turns are of another part."""
    changes = state.changes
    for one in state.changes.where("still open", _is_open):
        if places_of(one, state.fitted) & places:
            changes = changes.having(replace(one, set_aside=OTHER_PARTS))
    return replace(state, changes=changes)


def _is_open(change: Change) -> bool:
    return change.is_open
