"""Which levers are known to answer for one another, so that two changes cannot be told apart.

Common practice, no source. A lever is named by its axle and part in words: "front rebound".
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations


@dataclass(frozen=True)
class Interaction:
    """Two levers and why the one changes what the other does."""

    one: str
    other: str
    why: str


INTERACTIONS = (
    Interaction(
        "front rebound", "front limiter", "both decide how far and how fast the front rises"
    ),
    Interaction("front rebound", "launch", "thrust lifts the front, rebound slows it"),
    Interaction("front rebound", "front spring", "the spring pushes what rebound holds back"),
    Interaction("front rebound", "front compression", "what rises higher lands harder"),
    Interaction("front limiter", "launch", "thrust decides whether the limiter is reached"),
    Interaction("front limiter", "front spring", "both decide when the front wheels leave"),
    Interaction("rear rebound", "rear compression", "one car separates or squats, not both"),
    Interaction("rear rebound", "instant centre", "both decide how hard the rear tyre is hit"),
    Interaction("rear compression", "instant centre", "both decide how hard the rear tyre is hit"),
    Interaction("rear tyre pressure", "launch", "the tyre carries what the launch asks of it"),
    Interaction("rear tyre pressure", "rear rebound", "both soften or harden the hit"),
    Interaction("rear tyre pressure", "rear compression", "both soften or harden the hit"),
    Interaction("launch", "instant centre", "both decide how hard the rear tyre is hit"),
    Interaction("chassis preload", "anti-roll bar", "both share load between left and right"),
)
SAME_DAMPER = "two knobs of one damper: one bleed often feeds both ways"

_KNOWN = {frozenset((one.one, one.other)): one for one in INTERACTIONS}
_ENDS = ("front", "rear")


def interacting(levers: Iterable[str]) -> list[Interaction]:
    """Return the pairs among the levers changed within the compared passes that interact."""
    found = []
    for one, other in combinations(sorted(set(levers)), 2):
        known = _KNOWN.get(frozenset((one, other)))
        if known is not None:
            found.append(known)
        elif _damper(one) and _damper(one) == _damper(other):
            found.append(Interaction(one, other, SAME_DAMPER))
    return found


def _damper(lever: str) -> str:
    """Return the axle of a damper knob, or nothing for another lever."""
    axle, _, part = lever.partition(" ")
    knob = "compression" in part or "rebound" in part
    return axle if axle in _ENDS and knob else ""


def flagged(found: Iterable[Interaction]) -> str:
    """Say which levers cannot be credited apart; empty where none."""
    parts = [f"{one.one} and {one.other} ({one.why})" for one in found]
    if not parts:
        return ""
    return f"Changed together: {'; '.join(parts)}. Credit neither alone."
