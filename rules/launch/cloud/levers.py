"""What the levers do to a launch's parameters: common practice, no source, and spread as such."""

import re
from math import e

from rules.car.adjusters import Adjuster
from rules.car.model import Car
from rules.car.valvings import rows_with, valving_on
from rules.launch.cloud.link_moves import link_move
from rules.launch.cloud.parameter_shift import ParameterShift
from rules.launch.cloud.ride import rise_moves, rise_of
from rules.launch.cloud.tyre_pressure import RATE_SPREAD, is_rear_pressure, rate_factor
from rules.units import LENGTHS_M

RPM_SPREAD = 0.4
_NUMBER = re.compile(r"\s*(\d+(?:\.\d+)?)")
_MOVEMENTS = ("compression", "rebound")


def lever_moves(car: Car, one: Adjuster, value: float) -> list[ParameterShift] | None:
    """Return what a lever does, or None where the model has nothing that it moves."""
    if one.part == "launch rpm" and one.start > 0.0:
        # Thrust in proportion to launch speed: common practice, no source, and widely spread.
        factor = max(value, 1.0) / one.start
        return [ParameterShift("F_launch", one.id, factor=factor, spread=RPM_SPREAD)]
    if is_rear_pressure(one):
        return _pressure_moves(one, value)
    if one.axle not in ("front", "rear"):
        return None
    end = one.axle
    if one.part == "valving":
        return [] if _both_known(car, end, one.show(value)) else None
    if one.part == "spring":
        rates = [_NUMBER.match(one.show(setting)) for setting in (one.start, value)]
        if rates[0] and rates[1] and float(rates[0][1]) > 0.0 < float(rates[1][1]):
            return [
                ParameterShift(f"k{end[0]}", one.id, factor=float(rates[1][1]) / float(rates[0][1]))
            ]
        return None
    if one.part == "link position":
        return link_move(car, one, value)
    rise = rise_of(car, one, value)
    if rise is not None:
        return rise_moves(car, one, rise)
    length = LENGTHS_M.get(one.unit)
    if length is None or one.positions or one.part != "travel limiter":
        return None
    return [ParameterShift(f"{end}_droop", one.id, add=(value - one.start) * length)]


def _pressure_moves(one: Adjuster, value: float) -> list[ParameterShift] | None:
    """Return what the rear tyres' gauge pressure does, see `rules.launch.cloud.tyre_pressure`."""
    if value <= 0.0:
        return None
    ratio = value / one.start
    rate = ParameterShift("ktr", one.id, factor=rate_factor(ratio), spread=RATE_SPREAD)
    return [rate, ParameterShift("mu", one.id, factor=e, pressure=ratio)]


def _both_known(car: Car, axle: str, valving: str) -> bool:
    """Tell whether each damper has a table of its valving and of another, in some one stroke."""
    names = (valving_on(car, {}, axle), valving)
    dampers = [damper for damper in car.dampers if damper.axle == axle]
    return bool(dampers) and all(
        any(
            all(rows_with(car, damper, knob, word, name) is not None for name in names)
            for knob in damper.knobs
            for word in _MOVEMENTS
            if knob.controls in (word, "both")
        )
        for damper in dampers
    )
