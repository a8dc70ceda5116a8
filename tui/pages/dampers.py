"""Which dampers and springs are on the car, what was done to them, and what lies in the trailer."""

from collections.abc import Iterator

from rules.car.damper_record import DamperRecord
from rules.car.model import CORNERS
from rules.log.dampers import AXLES, FIRST_SPRINGS
from rules.log.events.dampers import (
    DamperDescribed,
    DamperDoubted,
    DamperDoubtSettled,
    DamperFitted,
    DamperOpened,
    DamperServiced,
    SpringChanged,
)
from rules.log.events.event import Body
from rules.log.other_parts import is_evidence, other_parts, places_of
from rules.log.state import State
from rules.wording import plural
from tui.lines import labelled, spoken, system

MEANS = {
    "same": "the same damper: the file was put right",
    "another": "another damper is on",
    "opened": "the same, opened or with another valving",
}


def damper_lines(state: State) -> list[str]:
    """Return what stands where and what was done; none where nothing was ever said of it."""
    known = state.dampers
    if not (known.jobs or known.records):
        return []
    rows = ["", "Dampers and springs:"]
    for label, words in _parts(state):
        rows += labelled(spoken(state, label), spoken(state, words))
    return rows


def _parts(state: State) -> Iterator[tuple[str, str]]:
    known = state.dampers
    fitted = {one.corner for one in state.car.dampers} if state.car else set()
    for corner in CORNERS:
        if corner not in fitted:
            continue
        damper = known.at(corner)
        inside = known.records[damper].strokes if damper in known.records else {}
        packs = [f"{stroke} {one.says}" for stroke, one in inside.items() if one.says]
        name = known.name(damper) if damper else "nothing"
        yield " On", "; ".join([f"{corner}: {name}", *packs, *_evidence(state, corner)])
        if damper in known.records and (said := _described(state, known.records[damper])):
            yield "", said
    for axle in AXLES:
        if (on := known.springs_on(axle)) != FIRST_SPRINGS:
            yield " On", f"{axle} springs: {on}"
    for record in known.in_trailer:
        said = _described(state, record)
        yield " Trailer", "; ".join(filter(None, (record.name, record.spares, said)))
    for damper, since in known.away.items():
        yield " Away", f"{known.name(damper)}, for service since {since}"
    for job in known.jobs:
        of = f"after pass {job.passes}" if job.passes else "before the first pass"
        yield " Done", f"{of}: {job.says}"


def _described(state: State, record: DamperRecord) -> str:
    """Say what a damper is, but for its name and what stands beside it already."""
    beside = ("Maker", "In its", "In the trailer")
    rows = record.rows(system(state))
    return "; ".join(f"{a[0].lower()}{a[1:]} {b}" for a, b in rows if not a.startswith(beside))


def _evidence(state: State, corner: str) -> Iterator[str]:
    """Yield how many verdicts of its knobs count with what stands there, and how many do not."""
    judged = [
        one for one in state.changes if one.verdict and corner in places_of(one, state.fitted)
    ]
    aside = sum(bool(other_parts(state, one)) for one in judged)
    if judged:
        count = sum(is_evidence(state, one) for one in judged)
        yield f"{plural(count, 'verdict')} count{'s' * (count == 1)}"
    if aside:
        yield f"{aside} set aside, of other parts"


def told(body: Body, after: State) -> tuple[str, str]:
    """Return the label of a damper's event on the log page, and its words; no label for others."""
    match body:
        case DamperDescribed():
            return " Damper", f"described: {body.damper.name}"
        case DamperFitted() | DamperOpened():
            job = next(job for job in reversed(after.dampers.jobs) if job.id == body.job)
            where = f"{body.corner}: " if body.corner else ""
            return " Damper", f"{where}{job.done[body.corner or '']}"
        case DamperServiced() | SpringChanged():
            job = next(job for job in reversed(after.dampers.jobs) if job.id == body.job)
            return " Damper", job.says
        case DamperDoubted(corner=corner, says=says):
            return " Damper", f"{corner}: the car file counts it otherwise, {says}"
        case DamperDoubtSettled(corner=corner, means=means):
            return " Damper", f"{corner}: {MEANS[means]}"
        case _:
            return "", ""
