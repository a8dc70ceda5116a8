"""A valving or springs that no lever of the car file names: one change, one verdict, one way back.

It was made under the car, so it is recorded as made and waits for its pass. Its way back is an
order of one line, because there is no number to turn: the part that was in before goes in again.
"""

from collections.abc import Iterable, Iterator
from typing import Literal

from rules.asked import Topic, TurnChoice
from rules.car.damper_record import InsideStroke, Stroke
from rules.car.hand_words import HAND_WORDS
from rules.car.model import Corner
from rules.log.changes import Change, PartMade
from rules.log.dampers import AXLES
from rules.log.events.changes import ChangeWithdrawn, PartChange, PartChangeMade
from rules.log.events.dampers import DamperOpened, SpringChanged
from rules.log.events.event import Body
from rules.log.part_counts import counts_before
from rules.log.state import State
from rules.log.work_orders import no_more_put_backs, set_aside_bodies
from rules.question import Choice, NewId, Prompt
from rules.wording import capital

HANDS: dict[str, str] = {
    "valving": "From outside only as its own sheet says; else its maker or qualified hands.",
    "spring": "Springs are held by their own tool; car on stands, wheels chocked, engine off.",
}


def made_now(
    state: State,
    change: str,
    what: Literal["valving", "spring"],
    places: Iterable[Corner],
    strokes: Iterable[Stroke] = (),
    before: str = "",
    after: str = "",
) -> list[Body]:
    """Return the change that a job is; the job's own events stand before `PartChangeMade`.

    An order of which nothing is turned makes room for it.
    """
    part = PartMade(what, tuple(places), tuple(strokes), before, after)
    waiting = state.work_order
    proposed = PartChange(
        change=change,
        origin="own",
        title=f"{capital(part.where)}: {_from_to(part)}",
        what=what,
        places=part.places,
        strokes=part.strokes,
        before=before,
        after=after,
    )
    return [*(set_aside_bodies(state, waiting) if waiting else ()), proposed]


def _from_to(part: PartMade) -> str:
    if part.before and part.after:
        return f"{part.before} to {part.after}"
    return f"{part.after} in" if part.after else "changed"


def put_back(state: State, undone: Change, new_id: NewId, run: str | None = None) -> list[Body]:
    """Return the order that puts the part before a change in again, in place of an open one."""
    return [*no_more_put_backs(state), *order(undone, new_id, run)]


def order(undone: Change, new_id: NewId, run: str | None = None) -> Iterator[Body]:
    """Yield the order that puts the part before a change in again; none for one of turns."""
    part = undone.part
    if part is None:
        return
    yield PartChange(
        change=new_id(),
        origin="put back",
        title=f"Put back: {part.where}, {part.back} in again",
        what=part.what,
        places=part.places,
        strokes=part.strokes,
        before=part.after,
        after=part.back,
        undoes=(undone.id,),
        run=run,
    )


def prompt(state: State, change: Change, part: PartMade) -> Prompt:
    """Ask whether the part is in; Enter never claims it."""
    undone = state.changes.find(change.undoes[0]) if change.undoes else None
    out = f" in place of {part.before}" if part.before else ""
    stays = part.before or "what is in now"
    return Prompt(
        Topic.PART,
        f"{capital(part.where)}: {part.after} in again{out}?",
        choices=(
            Choice(TurnChoice.NOT_YET, "Not yet"),
            Choice(TurnChoice.DONE, HAND_WORDS[part.what].done.format(part.after)),
            Choice(TurnChoice.NOT_DONE, f"Not done: {stays} stays in", key="5"),
        ),
        hint=" ".join(filter(None, (HANDS[part.what], counts_before(state, undone)))),
        default=TurnChoice.NOT_YET,
        about=change,
        claims=True,
    )


def answered(
    state: State, change: Change, part: PartMade, choice: str, new_id: NewId
) -> list[Body]:
    """Return what was done: the job with its list, or the order taken off."""
    if choice != TurnChoice.DONE:
        return [ChangeWithdrawn(change=change.id, why="not done")]
    return [*jobs(state, change.id, part, new_id()), PartChangeMade(change=change.id)]


def jobs(state: State, change: str, part: PartMade, job: str) -> list[Body]:
    """Return the job on the springs, or on each damper, by which a part came in."""
    if part.what == "spring":
        axle = next(one for one in AXLES if part.places[0].endswith(one))
        return [SpringChanged(job=job, axle=axle, name=part.after, change=change)]
    inside = InsideStroke(valving=part.after)
    return [
        DamperOpened(
            job=job,
            damper=state.dampers.at(corner),
            corner=corner,
            strokes=dict.fromkeys(part.strokes, inside),
            counts=_untouched(state, corner, part.strokes),
            change=change,
        )
        for corner in part.places
    ]


def _untouched(state: State, corner: Corner, strokes: tuple[Stroke, ...]) -> dict[str, float]:
    """Return the counts of a damper's knobs of the stroke that nobody opened."""
    opened = {*strokes, "both"} if strokes else {"both", "compression", "rebound"}
    return {
        key: state.settings[key]
        for key, one in state.fitted.items()
        if one.part == "knob" and one.place == corner and one.controls not in opened
        if key not in state.to_recount
    }
