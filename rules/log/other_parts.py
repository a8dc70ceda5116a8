"""What was learnt with other dampers, valvings or springs: it is set aside while they are off.

It counts again once they are back, because it belongs to the part and its place.
"""

from collections.abc import Mapping

from rules.car.adjusters import Adjuster
from rules.growing_sequence import Passing, digest
from rules.log.changes import PUT_BACK, Change
from rules.log.dampers import AXLES, Job, Parts, corners_of, differ, spring_place, without
from rules.log.state import Baseline, Run, State
from rules.once import once_for_each


def is_evidence(state: State, change: Change) -> bool:
    """Tell whether a verdict is evidence for the car as it stands: sound, and of these parts."""
    return change.counts_as_evidence and not other_parts(state, change)


def other_parts(state: State, change: Change) -> str:
    """Say why a change's verdict is of other parts than stand at its places now, or nothing."""
    job = _job_since(state, change)
    return f"of the parts before: {job.says}" if job else ""


def _job_since(state: State, change: Change) -> Job | None:
    """Return the last job at a place of a change that made its part another."""
    if not state.dampers.jobs:
        return None
    own = frozenset(job.id for job in state.dampers.jobs if _turned_by(state, job, change))
    then, now = (without(parts, own) for parts in (change.parts, parts_now(state)))
    places = differ(then, now) & places_of(change, state.fitted)
    found = (job for job in reversed(state.dampers.jobs) if places & set(job.places))
    return next(found, state.dampers.jobs[-1]) if places else None


def _turned_by(state: State, job: Job, change: Change) -> bool:
    """Tell whether a job came of a lever that the change turned too: its count says what is in."""
    made = state.changes.find(job.change) if job.change else None
    return made is not None and (made.id == change.id or bool(_turned(made) & _turned(change)))


def _by_lever(state: State, job: Job) -> bool:
    """Tell whether a lever of the car file names what a job did, so that settings say it."""
    made = state.changes.find(job.change) if job.change else None
    return made is not None and made.part is None


def _turned(change: Change) -> frozenset[str]:
    return frozenset(step.turn.adjuster for step in change.steps)


@once_for_each(1)
def parts_now(state: State) -> Parts:
    """Return what stands on the car, without the jobs that were put back with their change."""
    if not state.dampers.jobs:
        return {}
    put_back = frozenset(job.id for job in state.dampers.jobs if _is_put_back(state, job))
    return without(state.dampers.parts, put_back)


def _is_put_back(state: State, job: Job) -> bool:
    made = state.changes.find(job.change)
    return made is not None and (made.status == "withdrawn" or made.origin == PUT_BACK)


def same_parts(state: State, run: Run) -> bool:
    """Tell whether a pass was made with the parts that are on the car now.

    What a lever names is no other part: the pass's settings say what was in it.
    """
    return not other_places(state, run)


def parts_looked_at(state: State) -> str:
    """Name all of the car that `same_parts` looks at beside the pass."""
    if not state.dampers.jobs:
        return ""
    named = _named_by_levers(state)
    return digest(sorted(named), sorted(without(parts_now(state), named).items()))


def other_places(state: State, run: Run) -> frozenset[str]:
    """Return the corners and springs at which other parts stood on a pass, but for levers."""
    return _other_than_now(state, run.parts)


def comparable(state: State, run: Run) -> bool:
    """Tell whether a pass differs from the car of now by changes alone, whatever they changed."""
    if not state.dampers.jobs:
        return True
    changed = frozenset(job.id for job in state.dampers.jobs if job.change)
    return not differ(without(run.parts, changed), without(parts_now(state), changed))


def part_marks(state: State, parts: Parts) -> dict[str, float]:
    """Return, for each change of a part that no lever names, whether it is in these parts: 0 or 1.

    Beside the settings they say what was on the car, so that the clock can tell with from without.
    """
    return {
        mark: float(any(jobs & set(part) for part in parts.values()))
        for mark, jobs in _part_changes(state)
    }


@once_for_each(1)
def _part_changes(state: State) -> tuple[tuple[str, set[str]], ...]:
    """Return the mark of each change of a part, with its jobs."""
    return tuple(
        (part_mark(change), {job.id for job in state.dampers.jobs if job.change == change.id})
        for change in state.changes.where(*ASKED_OF_CHANGES)
    )


def part_mark(change: Change) -> str:
    """Return what a change of a part is called among settings; no adjuster has such an id."""
    return f"part: {change.id}"


def is_of_part(change: Change) -> bool:
    """Tell whether a change is of a part that no lever names; a put-back is none."""
    return change.part is not None and change.origin != PUT_BACK


ASKED_OF_CHANGES = Passing("of a part", is_of_part)


def of_other_parts(state: State, baseline: Baseline) -> str:
    """Say that a baseline's counts are of other dampers or springs, or nothing."""
    other = _other_than_now(state, baseline.parts)
    return f"counts of other parts: {', '.join(sorted(other))}" if other else ""


def other_at(state: State, baseline: Baseline, place: str) -> bool:
    """Tell whether other parts stand at a place than a baseline was declared with."""
    return place in _other_than_now(state, baseline.parts)


def parts_off(state: State, baseline: Baseline) -> list[str]:
    """Name what is on the car now that a baseline was not declared with; both sides once."""
    other = _other_than_now(state, baseline.parts)
    found: list[str] = []
    for axle in AXLES:
        here = [corner for corner in corners_of(axle) if corner in other]
        if here:
            found.append(f"{axle} dampers" if len(here) > 1 else f"{here[0]} damper")
        found += [spring_place(axle)] if spring_place(axle) in other else []
    return found


def _other_than_now(state: State, parts: Parts) -> frozenset[str]:
    if not state.dampers.jobs:
        return frozenset()
    named = _named_by_levers(state)
    return differ(without(parts, named), without(parts_now(state), named))


def _named_by_levers(state: State) -> frozenset[str]:
    return frozenset(job.id for job in state.dampers.jobs if _by_lever(state, job))


def places_of(change: Change, fitted: Mapping[str, Adjuster]) -> frozenset[str]:
    """Return the corners and springs that a change's turns act at."""
    found: set[str] = set()
    if change.part is not None:
        axle = change.part.places[0].split()[-1]
        found |= {spring_place(axle)} if change.part.what == "spring" else {*change.part.places}
    for step in change.steps:
        one = fitted.get(step.turn.adjuster)
        if one is None or one.axle not in ("front", "rear"):
            continue
        found |= {spring_place(one.axle)}
        found |= {one.place} if one.part == "knob" else set(corners_of(one.axle))
    return frozenset(found)
