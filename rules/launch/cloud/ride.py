"""How high the levers set the body on its axles, and what that does to a launch.

A ride height is told at the body. A preload at both springs of an axle is the same thing told at
the spring: under the same weight a spring keeps its length, so the body rises by what its seat was
moved, over the spring's motion ratio. That holds while the spring alone carries the axle; wound up
until the axle hangs on its droop stop, the spring pushes against the stop, and the launch has no
number for how hard. Preload on one side alone, or in a link, loads one rear tyre more than the
other: a matter of roll, which a car in the plane cannot judge, so it stays with the book.
"""

from collections.abc import Mapping

from rules.car.adjusters import Adjuster, adjusters
from rules.car.model import AxleEnd, Car
from rules.launch.cloud.on_paper import on_paper
from rules.launch.cloud.parameter_shift import ParameterShift
from rules.units import LENGTHS_M


def body_rise(car: Car, settings: Mapping[str, float], end: str) -> float:
    """Return how far the body stands above where the file has it, at an axle [m]."""
    return sum(
        rise
        for one in adjusters(car).values()
        if one.axle == end and (rise := rise_of(car, one, settings.get(one.id, one.start)))
    )


def rise_of(car: Car, one: Adjuster, value: float) -> float | None:
    """Return how far a lever raises its end [m]; None where it does not, or none can say."""
    length = LENGTHS_M.get(one.unit)
    if length is None or one.positions or one.axle not in ("front", "rear"):
        return None
    add = (value - one.start) * length
    if one.part == "ride height":
        return add
    at_springs = any(lever.id == one.id and lever.at_springs for lever in car.levers)
    return _at_springs(car, one, add) if one.part == "preload" and at_springs else None


def _at_springs(car: Car, one: Adjuster, add: float) -> float | None:
    end: AxleEnd = "front" if one.axle == "front" else "rear"
    _, ratio = car.spring_seat(end)
    if ratio is None or car.said(f"{end}.spring_rate") is None:
        return None
    rise, paper = add / ratio, on_paper(car).params
    return rise if -paper[f"{end}_bump"] < rise < paper[f"{end}_droop"] else None


def rise_moves(car: Car, one: Adjuster, rise: float) -> list[ParameterShift]:
    """Return what raising an end by `rise` [m] does, apart from the rear links."""
    end = one.axle
    return [
        ParameterShift(f"{end}_bump", one.id, add=rise),
        ParameterShift(f"{end}_droop", one.id, add=-rise),
        # The mass between the axles rises by about half of what one end does.
        ParameterShift("hs", one.id, add=rise / 2.0),
        *_bars_rise(car, one, rise),
    ]


def _bars_rise(car: Car, one: Adjuster, add: float) -> list[ParameterShift]:
    """Return how the wheelie bars rise with one end of the body [m]: it turns about the other."""
    paper = on_paper(car).params
    if "bar_height" not in paper:
        return []
    behind = paper["bar_behind"] / paper["L"]
    share = 1.0 + behind if one.axle == "rear" else -behind
    return [ParameterShift("bar_height", one.id, add=share * add)]
