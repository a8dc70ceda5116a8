"""A rung of a ladder passes the gates of the turn that it names, by whatever words it names it.

Where the car file has its lever, that is one step of it; where it has not, or the rung means one
stroke of a valving alone, one step of a lever that stands nowhere.
"""

from collections.abc import Iterator

from rules.advice.candidates import AT_END, levers_of, make_turns
from rules.advice.safety import gates
from rules.advice.safety.awake_dangers import never_back_unseen
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation
from rules.book.schema import Rung
from rules.car.adjusters import UPWARD, Adjuster, Turn
from rules.car.steps import trade_step

_MIDDLE = 10.0


def rung_refused(now: Situation, rung: Rung) -> str:
    """Return why a rung is never said here, or nothing."""
    upward = rung.lifts or rung.direction in UPWARD
    levers = levers_of(now.fitted, rung.part, rung.axle) if rung.part else []
    if levers:
        steps = {one.id: trade_step(one) for one in levers}
        turns = make_turns(levers, now.state.settings, upward, steps)
        if not turns:
            return AT_END
        # A valving of the car moves both strokes, and gives no word on softening one of them.
        if (upward or rung.controls is None) and (why := refused(now, turns, in_words=True)):
            return why
    unseen = _named(rung) if rung.controls or not levers else ()
    return next(filter(None, (_never(now, one, upward) for one in unseen)), "")


def _never(now: Situation, one: Adjuster, upward: bool) -> str:
    turn = Turn(one.id, one.start, one.start + one.up(upward) * one.step)
    why = gates.never((turn,), {one.id: one}, now.facts)
    return why or never_back_unseen(now.state, one, upward)


def _named(rung: Rung) -> Iterator[Adjuster]:
    """Yield what a rung names, as levers in the middle of their range."""
    kinds: list[str] = ["launch rpm"] if rung.lifts else [rung.part] if rung.part else []
    if rung.controls:
        kinds.append("knob")
    for kind in kinds:
        yield Adjuster(
            id=rung.text,
            place="",
            part=kind,
            axle=rung.axle,
            name=rung.text,
            low=0.0,
            high=2 * _MIDDLE,
            step=1.0,
            unit="clicks",
            start=_MIDDLE,
            minutes=0,
            lift_car=False,
            controls=rung.controls,
            speed="all" if rung.speed == "any" else rung.speed,
        )
