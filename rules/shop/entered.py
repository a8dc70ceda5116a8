"""Numbers of the survey that are measured elsewhere and entered, and touches that are ticked."""

from collections.abc import Mapping

from rules.car.usual import TYPICAL
from rules.shop.findings import Finding, unknown
from rules.wording import both

# What to do about a number outside the usual, in the order in which it is shown.
_ADVICE = {
    "survey.front_limiters": "Set both limiters to the same length before anything else.",
    "survey.rear_limiters": "Set both limiters to the same length before anything else.",
    "survey.wheelie_bars": "Bars equal, square and free: a safety limit, not a lever.",
    "survey.bump_steer": "Toe that changes with travel steers the car as the nose rises.",
    "survey.toe": "Toe-out makes a car wander; toe-in far over this scrubs. After a hard landing a "
    "changed toe is the quickest sign of a bent part.",
    "survey.pinion_angle": "Less lets the joint pass straight and beyond under thrust; more wears "
    "joints. Leaf springs and soft bushings want more than links.",
    "survey.axle_square": "Measure both sides from the same points of the frame; set the links.",
    "survey.rollout_difference": "Measure round both tyres at race pressure: unequal ones steer.",
}
_MAGNITUDES = ("survey.bump_steer", "survey.axle_square")
TOUCHES = {
    "pan": "Oil pan and pickup at full bump",
    "crossmember": "Crossmember, headers and exhaust at full bump",
    "tyres": "Tyres clear of body and frame at full bump, steered lock to lock",
    "joints": "Ball joints and rod ends at full bump and full droop",
    "hoses": "Brake hoses at full droop, steered lock to lock",
    "damper": "Damper body, hose and reservoir through full travel",
    "driveshaft": "Driveshaft at full bump and full droop",
    "headers at droop": "Headers against the road side of the frame and steering at full droop",
}
TOUCH_LABELS = {
    "pan": "Oil pan, pickup at full bump",
    "crossmember": "Crossmember, exhaust at full bump",
    "tyres": "Tyres at full bump, lock to lock",
    "joints": "Ball joints, rod ends at both ends",
    "hoses": "Brake hoses at full droop",
    "damper": "Damper, hose and reservoir",
    "driveshaft": "Driveshaft at both ends",
    "headers at droop": "Headers at full droop",
}


def entered_findings(
    values: Mapping[str, float | None], without: frozenset[str] = frozenset()
) -> tuple[Finding, ...]:
    """Return a finding for each entered number, always in the same order.

    values: by the survey's keys in `rules.car.usual`, SI or degrees; missing is not known.
    without: of parts that the car has not; of them there is no finding.

    Raises:
        ValueError: a key that is not one of the survey's entered numbers.
    """
    if strange := sorted(set(values) - set(_ADVICE)):
        raise ValueError(f"found {strange[0]!r}, wanted one of {', '.join(_ADVICE)}")
    return tuple(_entered(key, values.get(key)) for key in _ADVICE if key not in without)


def touch_findings(touches: Mapping[str, bool | None]) -> tuple[Finding, ...]:
    """Return a finding for each place where something may touch, pull or bind.

    touches: by `TOUCHES`; True: it touches, pulls tight or binds; missing is not looked at.

    Raises:
        ValueError: a place that is not in `TOUCHES`.
    """
    if strange := sorted(set(touches) - set(TOUCHES)):
        raise ValueError(f"found {strange[0]!r}, wanted one of {', '.join(TOUCHES)}")
    return tuple(_touch(place, touches.get(place)) for place in TOUCHES)


def _entered(key: str, value: float | None) -> Finding:
    field = TYPICAL[key]
    if value is None:
        return unknown(field.name, "to be measured", field.quantity)
    size = abs(value) if key in _MAGNITUDES else value
    told = both(value, field.quantity) if field.quantity else f"{value:g} {field.unit}"
    if field.low - 1e-9 <= size <= field.high + 1e-9:
        return Finding(field.name, value, field.quantity, "ok", f"{told}; {field.says}.")
    says = f"{told}; {field.says}. {_ADVICE[key]}"
    return Finding(field.name, value, field.quantity, "look", says)


def _touch(place: str, touches: bool | None) -> Finding:
    if touches is None:
        return unknown(TOUCHES[place], "a look through the full travel, springs out, on stands")
    if touches:
        says = "STOP: something touches, pulls tight or binds. Make room before the car runs."
        return Finding(TOUCHES[place], None, None, "stop", says)
    return Finding(TOUCHES[place], None, None, "ok", "Clear and free.")
