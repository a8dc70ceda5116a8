"""A valving or springs that an order put on are a job on the part, whichever road ticked the turn.

So the car does not run before the job's list is ticked, and what was learnt at that place with the
part before is set aside until it is back.
"""

from collections.abc import Iterator

from rules.car.damper_record import InsideStroke
from rules.log.dampers import AXLES, corners_of
from rules.log.events.changes import TurnDone
from rules.log.events.dampers import DamperOpened, SpringChanged
from rules.log.events.event import Body
from rules.log.state import State
from rules.log.state_after import after


def with_jobs(state: State, bodies: list[Body]) -> list[Body]:
    """Add the job that each ticked turn of a valving or of springs is, where none is said yet."""
    said = {getattr(one, "change", None) for one in bodies if isinstance(one, _JOBS)}
    ticked = [one for one in bodies if isinstance(one, TurnDone) and one.change not in said]
    if not any(_part(state, one) for one in ticked):
        return bodies
    now = after(state, bodies)
    return [*bodies, *(job for one in ticked for job in _job_of(now, one))]


_JOBS = DamperOpened | SpringChanged


def _part(state: State, done: TurnDone) -> str:
    one = state.fitted.get(done.adjuster)
    of_axle = one is not None and one.axle in AXLES
    return one.part if one is not None and of_axle and one.part in ("valving", "spring") else ""


def _job_of(now: State, done: TurnDone) -> Iterator[Body]:
    part = _part(now, done)
    if not part:
        return
    one = now.fitted[done.adjuster]
    name = one.show(now.settings[one.id])
    job = f"{done.change} {one.id} {len(now.dampers.jobs)}"
    axle = next(axle for axle in AXLES if axle == one.axle)
    if part == "spring":
        yield SpringChanged(job=job, axle=axle, name=name, change=done.change)
        return
    inside = InsideStroke(valving=name)
    for corner in corners_of(axle):
        here = [key for key, knob in now.fitted.items() if knob.place == corner]
        yield DamperOpened(
            job=job,
            damper=now.dampers.at(corner),
            corner=corner,
            strokes={"compression": inside, "rebound": inside},
            counts={key: now.settings[key] for key in here if key not in now.to_recount},
            change=done.change,
        )
