"""A practice day in a crew's words: what was seen and measured of a pass, and the truth at the end.

Every page begins with the mark, so that none of it is taken for a real pass.
"""

from collections.abc import Mapping

from rules.car.model import Car
from rules.practice.eyes import Readings, readings
from rules.practice.outcome import Outcome
from rules.practice.played_pass import PlayedPass
from rules.practice.truth import Truth
from rules.units import FOOT_M, Quantity
from rules.wording import both, listed

SIMULATED = "SIMULATED: no such car, no such pass."
_SIGHTS: Mapping[str, str] = {
    "front-drops-hard": "The front came down with a thud.",
    "front-bounces": "The front tyres left the track again after the landing.",
    "front-carries": "The front stayed up long, or stood high.",
    "wheelie-bar-hits": "The wheelie bars hit.",
    "front-rises-violently": "A jerk was heard as the front reached the top.",
    "front-slow-to-rise": "The front hardly came up at the hit.",
    "nose-stays-high": "Down track the nose stayed up, long after the landing.",
    "rear-tops-out": "The rear reached the end of its droop.",
    "squats-and-drags": "The rear squatted far down on the tyres.",
    "spins-at-hit": "The rear tyres spun at the hit.",
    "unloads-after-hit": "It hooked, then the rear tyres let go.",
}
_FAULTS: Mapping[str, str] = {
    "front-drops-hard": "the front drops hard",
    "front-bounces": "the front bounces",
    "front-carries": "the front carries too high or too long",
    "wheelie-bar-hits": "the wheelie bars hit",
    "front-rises-violently": "the front tops out with a jerk",
    "front-slow-to-rise": "the front is slow to rise",
    "nose-stays-high": "the nose stays high",
    "rear-tops-out": "the rear tops out",
    "squats-and-drags": "the rear squats and drags",
    "spins-at-hit": "the tyres spin at the hit",
    "unloads-after-hit": "the tyres unload after the hit",
}


def seen_lines(seen: PlayedPass, file: Car) -> list[str]:
    """Return what a crew that has this car file saw and read of a pass."""
    if seen.outcome.over:
        return ["It went over backwards. On a real day nobody drives this car again today."]
    sights = [_SIGHTS[one] for one in seen.outcome.faults] or ["It left straight and landed soft."]
    return [*sights, *_read(readings(seen), file.front.bump_travel_m)]


def _read(read: Readings, travel_m: float | None) -> list[str]:
    rows = []
    if read.lift_m is not None:
        where = "" if read.down_at_m is None else f", down again at {_feet(read.down_at_m)}"
        rows.append(f"Front tyres {both(read.lift_m, Quantity.LENGTH)} up{where}.")
    else:
        rows.append("The front tyres stayed down.")
    if read.ring_m is not None:
        used = both(read.ring_m, Quantity.LENGTH)
        stop = f"; the stop is at {both(travel_m, Quantity.LENGTH)}" if travel_m else ""
        if travel_m and read.ring_m >= travel_m:
            stop += ": all of it, and the stop squashed"
        rows.append(f"O-ring: {used} of front travel used{stop}.")
    rows.append("60-foot: " + ("none" if read.sixty_s is None else f"{read.sixty_s:.3f} s") + ".")
    return rows


def truth_lines(told: Truth) -> list[str]:
    """Return the truth of the day, told when it is over."""
    good = f"the last {told.good} without a fault" if told.good else "the last one with a fault"
    rows = [
        SIMULATED,
        "",
        f"Passes run: {told.passes}, {good}." if told.passes else "No pass was run yet.",
        "",
        "WHAT WAS WRONG",
        f"  On the first pass {_faults(told.first)}.",
        "",
        "WHAT THE CAR FILE DOES NOT KNOW",
        *(f"  {words}: {_off(ratio)} the car file" for words, ratio in told.off.items()),
        "",
        "WHAT EACH CHANGE DID, in the same air",
    ]
    if not told.turns:
        rows.append("  Nothing was changed.")
    for one in told.turns:
        rows += [
            f"  {one.title}",
            f"    before: {_told(one.before)}",
            f"    after:  {_told(one.after)}",
        ]
    rows += ["", "WHAT AN ALL-KNOWING CREW WOULD HAVE CHANGED, one at a time"]
    for reached in told.best[1:]:
        if reached.turn is not None:
            rows += [f"  {reached.turn.title}", f"    after:  {_told(reached.outcome)}"]
    if len(told.best) == 1:
        rows.append("  Nothing: no single turn is better.")
    return [
        *rows,
        "",
        "It knew every number, looked at the launch alone and asked no rulebook. On a real car "
        "the lists, the makers and qualified people come first.",
    ]


def _told(outcome: Outcome) -> str:
    lift = both(outcome.columns["front_lift_max"], Quantity.LENGTH)
    return f"{_faults(outcome)}; front tyres {lift} up, 60-foot {outcome.sixty_s:.3f} s"


def _faults(outcome: Outcome) -> str:
    if outcome.over:
        return "it went over backwards"
    return listed(_FAULTS[one] for one in outcome.faults) if outcome.faults else "nothing is wrong"


def _off(ratio: float) -> str:
    return f"{abs(ratio - 1.0) * 100.0:.0f} % {'more' if ratio > 1.0 else 'less'} than in"


def _feet(metres: float) -> str:
    return f"{{{metres / FOOT_M:.0f} ft|{metres:.0f} m}}"
