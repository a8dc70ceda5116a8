"""A valving is trusted by its curves: a gate above every rule, as `rules.gates` is.

A stack's label says nothing of the speeds that matter. The front rises at 12 to 25 in/s of its
damper shafts and lands faster: there the new curves are held against today's. Without dyno tables
of both a new valving is no answer to a danger; it stays a rung of the ladder, for the crew to
choose. The speeds are common practice, no source; the launch model's reference cases rise at 19 to
28 in/s of the shaft between 0.1 and 0.2 s (motion ratio 0.9).
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from rules.advice.safety.pass_facts import PassFacts
from rules.advice.situation import Situation
from rules.car.adjusters import Turn
from rules.car.model import Car, Damper
from rules.car.valvings import STROKES, rows_with, valving_on
from rules.units import INCH_M

if TYPE_CHECKING:
    from rules.launch.mechanics.dyno import DynoTable

RISE_M_S = (12 * INCH_M, 25 * INCH_M)
NO_CURVE = "its curve at the speeds of the rise is not known: no dyno tables of both valvings"
NO_LANDING_CURVE = "its curve at landing speed is not known: no dyno tables of both valvings"
NO_FIRMER = "its curve is no firmer than today's at {12 to 25 in/s|0.3 to 0.6 m/s}"
# Less than this is no difference on a dyno; common practice, no source.
SAME = 0.02
_POINTS = 27
_LANDING = frozenset({"front-drops-hard", "front-bounces"})


def curves_refuse(now: Situation, turns: tuple[Turn, ...], new: bool = True) -> str:
    """Return why a change of front valving is never advised on this pass, or nothing.

    new: whether an unknown curve is refused after a danger; a valving that goes back into the car
    it came out of is refused only where it is known to be softer.
    """
    levers = [now.fitted[turn.adjuster] for turn in turns]
    if now.state.car is None or not any(_is_front_valving(one) for one in levers):
        return ""
    seen = PassFacts(now.facts)
    danger = now.danger or seen.stood_big
    upward = any(
        turn.after > turn.before
        for turn, one in zip(turns, levers, strict=True)
        if _is_front_valving(one)
    )
    if not danger and not upward:
        return ""
    after = dict(now.state.settings) | {turn.adjuster: turn.after for turn in turns}
    rebound = compared(now.state.car, now.state.settings, after, "rebound")
    compression = compared(now.state.car, now.state.settings, after, "compression")
    if danger and new and rebound is None:
        return NO_CURVE
    lands = seen.named(*_LANDING) or seen.at_stop
    if danger and new and lands and compression is None:
        return NO_LANDING_CURVE
    softer = _softer(rebound, "rebound")
    if not softer and now.facts.get("front-travel") != "short-harsh":
        softer = _softer(compression, "compression")
    if softer:
        return softer
    firmest = max((share for one in (rebound, compression) if one for _, share in one), default=2.0)
    return NO_FIRMER if new and firmest < 1.0 + SAME else ""


def _softer(found: list[tuple[float, float]] | None, stroke: str) -> str:
    """Name the speed at which a stroke gives way most, of the rise's before faster ones, or not."""
    less = [one for one in found or [] if one[1] < 1.0 - SAME]
    in_rise = [one for one in less if one[0] <= RISE_M_S[1] * (1.0 + 1e-9)]
    if not less:
        return ""
    speed, share = min(in_rise or less, key=lambda one: one[1])
    at = f"{{{speed / INCH_M:.0f} in/s|{speed:.2f} m/s}}"
    return f"its {stroke} is {1.0 - share:.0%} softer than today's at {at}, whatever it is called"


def compared(
    car: Car, before: Mapping[str, float], after: Mapping[str, float], stroke: str
) -> list[tuple[float, float]] | None:
    """Return the front's new force over today's by shaft speed [m/s], the softer side's.

    From the slowest of the rise as far as both tables are trusted; None where that is not as far
    as the fastest of it, or where a side has no table of both.
    """
    sides = [_side(car, one, before, after, stroke) for one in car.dampers if one.axle == "front"]
    known = [side for side in sides if side is not None]
    if not known or len(known) < len(sides):
        return None
    reach = min(len(side) for side in known)
    return [min(side[place] for side in known) for place in range(reach)]


def _side(
    car: Car, damper: Damper, before: Mapping[str, float], after: Mapping[str, float], stroke: str
) -> list[tuple[float, float]] | None:
    tables = _tables(car, damper, before, stroke), _tables(car, damper, after, stroke)
    old, new = (next(one, None) for one in tables)
    if old is None or new is None:
        return None
    import numpy as np

    from rules.launch.mechanics.crossover import TRUSTED_PAST

    fastest = TRUSTED_PAST * min(float(one[0].speeds[-1]) for one in (old, new))
    if fastest < RISE_M_S[1] * (1.0 - 1e-9):
        return None
    slow, fast = RISE_M_S
    step = (fast - slow) / (_POINTS - 1)
    speeds = np.arange(slow, fastest * (1.0 + 1e-9), step)
    try:
        was, then = (table.curve(count).force(speeds) for table, count in (old, new))
    except ValueError:
        return None
    return [
        (float(speed), float(b / a) if a > 0.0 else 1.0)
        for speed, a, b in zip(speeds, was, then, strict=True)
    ]


def _tables(
    car: Car, damper: Damper, settings: Mapping[str, float], stroke: str
) -> Iterator[tuple["DynoTable", float]]:
    """Yield the dyno table of a damper's stroke at these settings, with the count in it."""
    from rules.launch.mechanics.dyno import read_dyno_csv

    if stroke not in STROKES:
        return
    valving = valving_on(car, settings, damper.axle)
    for knob in damper.knobs:
        rows = rows_with(car, damper, knob, stroke, valving)
        if knob.controls in (stroke, "both") and rows is not None:
            count = settings.get(f"{damper.corner} {knob.id}", knob.start * knob.per_unit)
            yield read_dyno_csv("\n".join(rows)), count / knob.per_unit


def _is_front_valving(one: object) -> bool:
    return getattr(one, "part", "") == "valving" and getattr(one, "axle", "") == "front"
