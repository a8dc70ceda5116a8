"""How far to turn. Common practice, no source, except where a line says otherwise."""

from math import ceil, floor

from rules.car.adjusters import Adjuster
from rules.units import PSI_IN

SHUT_ZONE_CLICKS = 3
NEEDLE_ZONE = 1 / 3
"""The share of a needle's range, from shut, in which a click does most."""
RADIAL = frozenset({"radial", "drag radial"})


def trade_step(one: Adjuster) -> int:
    """Return the first step of an adjuster, in its own steps.

    Range of 6 clicks or more: a sixth, never over 4; fewer: one. Without detents: an eighth of
    the range, witness-marked. Levers: one step of their own; the pressure of a radial a whole
    psi.
    """
    if one.part != "knob":
        return _radial_step(one) if one.tyre in RADIAL else 1
    share = one.marks / (8 if one.unit == "turns" else 6)
    most = one.marks if one.unit == "turns" else 4
    return int(max(1, min(most, floor(share + 0.5))))


def _radial_step(one: Adjuster) -> int:
    """Return the steps of a pressure lever in one psi, at least one."""
    return max(1, round(PSI_IN.get(one.unit.casefold(), 0.0) / one.step))


def cut(one: Adjuster, value: float, upward: bool, steps: int, opens_further: bool = False) -> int:
    """Cut a step to the room left, and to one click at a time within three of shut.

    A needle does most of its work near shut, so there it is its last third.
    opens_further: whether a knob that nobody calls a needle may be opened from there by more,
    because the mechanics of this car size the turn.
    """
    steps = int(min(steps, one.room(value, upward)))
    if one.part != "knob" or steps <= 1:
        return steps
    zone = shut_zone(one)
    to_shut = int(one.room(value, upward=True))
    opens = opens_further and not upward and one.curve != "needle"
    if to_shut <= zone and not opens:
        return 1
    return min(steps, to_shut - zone) if upward else steps


def shut_zone(one: Adjuster) -> int:
    """Return from how many clicks of shut on a knob is turned one at a time."""
    zone = SHUT_ZONE_CLICKS if one.unit == "clicks" else max(1, int(one.marks // 8))
    return max(zone, ceil(one.marks * NEEDLE_ZONE)) if one.curve == "needle" else zone


def is_near_shut(one: Adjuster, value: float) -> bool:
    """Tell whether a knob stands where it is turned one click at a time."""
    return one.part == "knob" and one.room(value, upward=True) <= shut_zone(one)


def lets_front_rise(one: Adjuster, upward: bool) -> bool:
    """Tell whether setting the adjuster that way lets the front of the car go higher."""
    if one.part == "launch rpm":
        return upward
    if one.axle == "rear":
        return False
    if one.part in ("knob", "valving"):
        return one.controls != "compression" and not upward
    return {"spring": not upward, "travel limiter": upward}.get(one.part, False)


def link_lifts(one: Adjuster, upward: bool) -> bool:
    """Tell whether a link goes up: more anti-squat lifts the front.

    Apart from `lets_front_rise`, because a link that goes down proves no gentler car.
    """
    return one.part == "link position" and upward


def moved(one: Adjuster, value: float, upward: bool, steps: int) -> float:
    """Return the setting after `steps` steps from `value`."""
    return round(value + one.up(upward) * steps * one.step, 6)
