"""A simulated pass as a picture: how high the front stood, with the stop and the O-ring."""

from collections.abc import Sequence
from math import inf
from typing import TYPE_CHECKING

from rules.units import UNITS, Quantity, System
from rules.wording import say
from tui.drawn.picture import DrawnLine, Level, Picture, Values

if TYPE_CHECKING:
    from rules.practice.played_pass import PlayedPass

TOPS = (2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 300, 500, 1000)
"""Where the axis may end, in units of length; the least that holds every pass is taken."""
ABOVE = 1.1
"""How far the axis goes above the highest of all, for the key stands there."""
BELOW = 1.15
"""How far the axis goes below the deepest of all, the stop among them, as a share of it."""


def pass_picture(
    seen: "PlayedPass",
    ring_m: float | None,
    system: System,
    before: Sequence["PlayedPass"] = (),
) -> Picture:
    """Return the front over the first seconds: its tyres off the ground, and its body over rest.

    ring_m: front travel that the O-ring showed, at the wheel [m].
    before: the passes of the day so far, the last of them drawn beside this one. The axes hold all
    of them, so that one picture can be held against another.
    """
    unit = UNITS[Quantity.LENGTH, system]
    times = tuple(seen.curves.time.tolist())

    def body(one: "PlayedPass") -> Values:
        return tuple(y / unit.si if y == y else None for y in one.curves.nose[0].tolist())

    def tyres(one: "PlayedPass") -> Values:
        return tuple(max(0.0, y) / unit.si if y == y else None for y in one.curves.gap[0].tolist())

    stop = float(seen.outcome.car["front_bump"]) / unit.si
    # Words find their place in this order: where there is room for one, it is the stop's.
    levels = [Level(-stop, "THE STOP: all travel used", "danger")]
    if ring_m is not None and ring_m / unit.si < stop:
        levels.append(Level(-ring_m / unit.si, "O-ring", "measured"))
    levels.append(Level(0.0, say("tyres on the ground, body at rest", system), "label"))
    every = [seen, *before]
    heights = [
        y for one in every for line in (body(one), tyres(one)) for y in line if y is not None
    ]
    top = next((one for one in TOPS if one >= ABOVE * max(heights, default=0.0)), inf)
    lines = [
        DrawnLine(
            say("front tyres off the ground", system), times, tyres(seen), "double", "measured"
        ),
        DrawnLine("body over the front axle", times, body(seen)),
    ]
    if before:
        last = before[-1]
        name = say(f"pass {last.number}: front tyres", system)
        lines.append(
            DrawnLine(name, tuple(last.curves.time.tolist()), tyres(last), "dashed", "label")
        )
    low = BELOW * min(-stop, *heights)
    return Picture(
        f"PASS {seen.number}: FRONT HEIGHT, {unit.name}; seconds from the hit",
        tuple(lines),
        levels=tuple(levels),
        up=(low, float(top)) if top < inf else None,
    )
