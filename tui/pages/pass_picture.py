"""A simulated pass as a picture: how high the front stood, with the stop and the O-ring."""

from typing import TYPE_CHECKING

from rules.units import UNITS, Quantity, System
from rules.wording import say
from tui.drawn.picture import DrawnLine, Level, Picture, Values

if TYPE_CHECKING:
    from rules.practice.played_pass import PlayedPass


def pass_picture(seen: "PlayedPass", ring_m: float | None, system: System) -> Picture:
    """Return the front over the first seconds: its tyres off the ground, and its body over rest.

    ring_m: front travel that the O-ring showed, at the wheel [m].
    """
    unit = UNITS[Quantity.LENGTH, system]
    times = tuple(seen.curves.time.tolist())

    def line(metres: list[float]) -> Values:
        return tuple(one / unit.si if one == one else None for one in metres)

    gap = [max(0.0, one) for one in seen.curves.gap[0].tolist()]
    body = seen.curves.nose[0].tolist()
    tyres = say("front tyres off the ground", system)
    stop = float(seen.outcome.car["front_bump"])
    levels = [Level(-stop / unit.si, "THE STOP: all travel used", "danger")]
    if ring_m is not None and ring_m < stop:
        levels.append(Level(-ring_m / unit.si, "O-ring", "measured"))
    return Picture(
        f"FRONT HEIGHT, {unit.name}; seconds from the hit",
        (
            DrawnLine(tyres, times, line(gap), "double", "measured"),
            DrawnLine("body over the front axle", times, line(body), "single"),
        ),
        levels=tuple(levels),
    )
