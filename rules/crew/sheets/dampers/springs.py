"""Other springs on an axle: which they are, their rate, and the baseline from here."""

from collections.abc import Iterator

from rules.car import titles
from rules.car.adjusters import Adjuster, Turn
from rules.car.edits import Edit
from rules.crew import part_change
from rules.crew.sheets.asking import quantity
from rules.crew.sheets.dampers import baseline
from rules.crew.sheets.sheet import Filling, Result, SheetField
from rules.log.dampers import AXLES, FIRST_SPRINGS, corners_of
from rules.log.events.changes import ChangeProposed, PartChangeMade, TurnDone
from rules.log.events.dampers import SpringChanged
from rules.log.events.event import Body
from rules.log.work_orders import half_made, set_aside_bodies
from rules.question import AnswerError, Choice, NewId
from rules.shop.stock import lever_for
from rules.units import Quantity

PROCEDURE = ("Springs are held by their own tool and compressed by nothing else. Car on stands.",)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return which axle, which springs, and the baseline."""
    yield SheetField(
        "axle", "Axle", "On which axle are other springs, both sides?", "one", unknown=False,
        choices=tuple(Choice(axle, axle.capitalize()) for axle in AXLES),
    )  # fmt: skip
    axle = now.said("axle")
    if not axle:
        return
    lever = lever_of(now)
    if lever is not None:
        on = lever.show(now.state.settings[lever.id])
        yield SheetField(
            "spring", "Spring", f"{on} came off. Which springs are on now?", "one", unknown=False,
            choices=tuple(
                Choice(name, name, "they were on already" if name == on else "")
                for name in lever.positions
            ),
        )  # fmt: skip
    else:
        yield SheetField(
            "spring", "Spring", "What are they called?", "text", unknown=False, longest=60,
            hint=f"As written on them. On before: {now.state.dampers.springs_on(axle)}.",
        )  # fmt: skip
        yield quantity(
            "rate", "Rate", Quantity.SPRING_RATE, 500.0, 1e6, question="Rate of one spring?",
            typical=f"{axle}.spring_rate",
        )  # fmt: skip
    yield from baseline.fields(now, uncounted=False)


def lever_of(now: Filling) -> Adjuster | None:
    """Return the lever that names the axle's springs, None without one."""
    lever = lever_for(now.car, "spring", now.said("axle"))
    return now.state.fitted[lever.id] if lever is not None and lever.positions else None


def result(now: Filling) -> Result:
    """Say what is on now, and what follows."""
    if not now.said("spring"):
        return Result()
    says = [
        f"{now.said('axle').capitalize()} springs: {now.said('spring')} on, both sides.",
        "Ride height, counts and limiter stay as they are: they are looked at on the list.",
        "What was learnt at this axle is set aside until the springs before are back.",
    ]
    rate, axle = now.si("rate", Quantity.SPRING_RATE), now.said("axle")
    if rate is None:
        return Result(tuple(says))
    edit = Edit((axle, "spring_rate"), rate, f"{axle} spring rate", Quantity.SPRING_RATE)
    return Result(tuple(says), edits=(edit,))


def closing(now: Filling, new_id: NewId) -> list[Body]:
    """Return the springs put on, as the change that a lever names where there is one.

    Raises:
        AnswerError: if a work order is half made.
    """
    lever, job = lever_of(now), new_id()
    order = now.state.work_order
    if why := half_made(now.state):
        raise AnswerError(f"springs wait: {why}")
    change, bodies = new_id(), list[Body]()
    first: list[Body] = []
    to: dict[str, float] = {}
    if lever is None:
        axle, on = now.said("axle"), now.state.dampers.springs_on(now.said("axle"))
        first = part_change.made_now(
            now.state, change, "spring", corners_of(axle),
            before="" if on == FIRST_SPRINGS else on, after=now.said("spring"),
        )  # fmt: skip
        bodies = [PartChangeMade(change=change)]
    else:
        to = {lever.id: lever.parse(now.said("spring"))}
        turn = Turn(adjuster=lever.id, before=now.state.settings[lever.id], after=to[lever.id])
        title = titles.own_title((turn,), now.state.fitted)
        bodies = [
            *(set_aside_bodies(now.state, order) if order else ()),
            ChangeProposed(change=change, origin="own", title=title, turns=(turn,)),
            TurnDone(change=change, adjuster=lever.id),
        ]
    put_on = SpringChanged.model_validate(
        {
            "job": job,
            "axle": now.said("axle"),
            "name": now.said("spring"),
            "rate_n_per_m": now.si("rate", Quantity.SPRING_RATE),
            "change": change,
        }
    )
    return [*first, put_on, *bodies, *baseline.bodies(now, to, new_id)]
