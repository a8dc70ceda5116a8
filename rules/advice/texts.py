"""Short sentences put together from rules and adjusters, in the book's own wording."""

from rules.book.schema import KnobLever, RuleText
from rules.car.adjusters import Adjuster
from rules.log.advice import AdviceKind

KIND_TITLES: dict[AdviceKind, str] = {
    "leave": "Change nothing",
    "inspect": "Inspect first, turn nothing yet",
    "control": "Make a control pass: change nothing",
    "stop": "Stop: no knob cures this",
}


def lever_name(rule: RuleText) -> str:
    """Name the lever of a rule without a car: front rebound, rear tyre pressure."""
    lever = rule.lever
    if lever is None:
        return ""
    if isinstance(lever, KnobLever):
        speed = "" if lever.speed == "any" else f"{lever.speed}-speed "
        return f"{lever.axle} {speed}{lever.controls}"
    return lever.part if lever.axle == "car" else f"{lever.axle} {lever.part}"


def what(rule: RuleText) -> str:
    """Say in a few words what a rule would do."""
    if rule.do == "turn":
        return f"{lever_name(rule)} {rule.direction}"
    return {
        "inspect": "inspect first",
        "leave": "change nothing",
        "control": "control pass",
        "stop": "stop, no knob",
    }[rule.do]


def moves_all_speeds(rule: RuleText, levers: list[Adjuster]) -> bool:
    """Tell whether a knob that moves all speeds stands in for a high-speed one."""
    lever = rule.lever
    return (
        isinstance(lever, KnobLever)
        and lever.speed == "high"
        and any(one.speed in ("all", "unknown") for one in levers)
    )
