"""Short sentences put together from rules and adjusters, in the book's own wording."""

from collections.abc import Iterable, Mapping

from rules.adjusters import Adjuster
from rules.advice import AdviceKind, Turn
from rules.book.schema import KnobLever, RuleText

KIND_TITLES: dict[AdviceKind, str] = {
    "leave": "Change nothing",
    "inspect": "Inspect first, turn nothing yet",
    "control": "Make a control pass: change nothing",
    "stop": "Stop: no knob cures this",
}

KEEPS = " to keep the {} force"

CONFOUNDERS = {
    "nothing": "Nothing else",
    "tyre-pressure": "Tyre pressure",
    "launch-rpm": "Launch rpm, two-step, converter or clutch",
    "burnout": "Burnout",
    "shift-point": "Shift point",
    "driver-lifted": "The driver lifted with the front in the air",
    "staging-or-car": "Staged deep, crept; tyres, ballast or crosswind",
    "lane-or-air": "Only the lane or the air",
}


def confounder(key: str) -> str:
    """Return the words for something else that changed."""
    words = CONFOUNDERS.get(key, key)
    return words[0].lower() + words[1:]


def marked(marks: Iterable[str]) -> str:
    """Say for which marks of its slip a pass says nothing of its change: Lifted: ..."""
    return f"{listed(marks).capitalize()}: the pass says nothing of the change"


def listed(words: Iterable[str]) -> str:
    """Join words: a, b and c."""
    *first, last = list(words)
    return f"{', '.join(first)} and {last}" if first else last


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


def turn_title(turns: tuple[Turn, ...], fitted: Mapping[str, Adjuster]) -> str:
    """Name a change: Front rebound, both sides: 2 clicks firmer."""
    ones = [fitted[turn.adjuster] for turn in turns]
    first = ones[0]
    if first.part == "valving" and len(ones) > 1:
        return valving_title(turns, fitted)
    if first.part == "knob":
        same_name = first.name
        name = same_name if same_name.startswith(first.axle) else f"{first.axle} {same_name}"
        side = "both sides" if len(ones) > 1 else f"{first.place.split()[0]} side only"
        name = f"{name}, {side}"
    else:
        name = first.name
    distance = turns[0].after - turns[0].before
    way = first.direction_word(distance * first.up(True) > 0)
    return f"{name[0].upper()}{name[1:]}: {first.show_steps(distance / first.step)} {way}"


def valving_title(turns: tuple[Turn, ...], fitted: Mapping[str, Adjuster]) -> str:
    """Name a change of valving: Front valving: stack 2 to stack 3, rebound 8 to 11."""
    lever, turn = fitted[turns[0].adjuster], turns[0]
    title = f"{lever.label}: {lever.show(turn.before)} to {lever.show(turn.after)}"
    counts = counts_words(turns[1:], fitted)
    title = f"{title}, {counts}" if counts else title
    return title[0].upper() + title[1:]


def counts_words(turns: Iterable[Turn], fitted: Mapping[str, Adjuster]) -> str:
    """Say from which count to which each knob goes; sides that do the same are said once."""
    said: dict[str, list[Adjuster]] = {}
    for turn in turns:
        one = fitted[turn.adjuster]
        way = f"{one.name} {one.show(turn.before)} to {one.show(turn.after)}"
        said.setdefault(way, []).append(one)
    return ", ".join(
        way if len(ones) > 1 or ones[0].partner is None else f"{ones[0].place.split()[0]} {way}"
        for way, ones in said.items()
    )


def own_title(turns: tuple[Turn, ...], fitted: Mapping[str, Adjuster]) -> str:
    """Name a change that the crew made without the tool."""
    return f"Own change: {turn_title(turns, fitted)}"
