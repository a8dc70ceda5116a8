"""What is never turned after what was seen, one entry for each "never" of the trade.

Common practice, no source. The gates hold every advised turn and every rung of a ladder against
this table, whoever asks for it: the book, a crew's own page, half back, put back. An order of
inspections ("a damper before links and joints") is kept by the book's own checks instead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from rules.advice.safety.moves import Move, takes_clearance
from rules.advice.safety.pass_facts import LEVERS_TRIED, TRAVEL_USED, PassFacts

GRIP_LEVERS = frozenset({"launch rpm", "tyre pressure"})


@dataclass(frozen=True)
class Never:
    """One thing that is never turned. `back`: not even to put a change back where it was."""

    id: str
    says: str
    forbids: Callable[[Move, PassFacts], bool]
    back: bool = True


def _harder_hit(move: Move) -> bool:
    rear_firmer = move.sets("rear", "compression", upward=True)
    rear_free = move.part == "knob" and move.sets("rear", "rebound", upward=False)
    more_bite = move.part == "tyre pressure" and move.axle == "rear" and not move.upward
    return rear_firmer or rear_free or more_bite or (move.part == "link position" and move.upward)


def _leaves_the_good_alone(move: Move, seen: PassFacts) -> bool:
    if not seen.named("front-slow-to-rise") or seen.said("hooked") != "yes":
        return False
    return move.lifts or seen.symptoms <= {"front-slow-to-rise", "it-is-good"}


NEVERS: tuple[Never, ...] = (
    Never(
        "lift",
        "never lets the front rise more on a big or hard-landing wheelie",
        lambda move, seen: move.lifts and seen.stood_big,
    ),
    Never(
        "lift-unknown",
        "never lets the front rise by more than one step with the wheelie unknown",
        lambda move, seen: (
            move.lifts
            and move.steps > 1
            and not move.keeps_force
            and seen.said("stand") not in ("none", "small")
        ),
    ),
    Never(
        "stop",
        "never takes travel from a landing at or near the stop",
        lambda move, seen: (
            (takes_clearance(move) and seen.near_stop)
            or (seen.at_stop and move.sets("front", "compression", upward=False))
        ),
    ),
    Never(
        "landing-unknown",
        "never a softer landing for the nose unless the wheelie was none or small",
        lambda move, seen: (
            move.sets("front", "compression", upward=False)
            and move.speed != "low"
            and seen.named("nose-stays-high")
            and seen.said("stand") not in ("none", "small")
        ),
        back=False,
    ),
    Never(
        "contradiction",
        "never a softer landing where a high front was named and the tyres stayed down",
        lambda move, seen: (
            move.sets("front", "compression", upward=False)
            and seen.said("stand") == "none"
            and seen.named("front-carries", "front-rises-violently", "wheelie-bar-hits")
        ),
    ),
    Never(
        "travel-unknown",
        "never takes front travel before the O-ring was read",
        lambda move, seen: (
            takes_clearance(move)
            and seen.said("front-travel") not in ("short-soft", "short-harsh")
            and TRAVEL_USED not in seen.facts
        ),
        back=False,
    ),
    Never(
        "short-limiter",
        "never a shorter front limiter on a small wheelie: the landing gets harder",
        lambda move, seen: (
            move.part == "travel limiter"
            and move.axle != "rear"
            and not move.upward
            and seen.said("stand") not in ("big", "dangerous")
        ),
        back=False,
    ),
    Never(
        "hold-by-compression",
        "never compression to hold the front down",
        lambda move, seen: (
            move.part == "knob"
            and move.axle == "front"
            and move.controls == "compression"
            and move.upward
            and seen.named("front-carries")
            and not seen.near_stop
        ),
    ),
    Never(
        "hooks",
        "never turned on a nose that stays low while the car hooks",
        _leaves_the_good_alone,
    ),
    Never(
        "firm-landing",
        "never undoes the firm landing to bring the nose down",
        lambda move, seen: (
            seen.named("nose-stays-high")
            and move.speed != "low"
            and move.sets("front", "compression", upward=False)
            and seen.landing_is_firm
        ),
    ),
    Never(
        "wanders",
        "never a damper on a car that wanders",
        lambda move, seen: move.damper and seen.named("wanders-at-speed"),
    ),
    Never(
        "squat-rebound",
        "never rear rebound softer on a car that squats",
        lambda move, seen: move.sets("rear", "rebound", upward=False) and seen.squats,
    ),
    Never(
        "squat-by-rebound",
        "never rear rebound for a squat",
        lambda move, seen: (
            move.part == "knob"
            and move.sets("rear", "rebound")
            and move.controls == "rebound"
            and seen.named("squats-and-drags")
            and seen.said("rear-travel") != "most"
        ),
        back=False,
    ),
    Never(
        "droop-left",
        "never rear rebound firmer while the rear has droop left",
        lambda move, seen: (
            move.part == "knob"
            and move.sets("rear", "rebound", upward=True)
            and move.controls == "rebound"
            and seen.named("spins-at-hit", "unloads-after-hit", "unloads-at-gear-change")
            and seen.said("rear-travel") != "most"
        ),
        back=False,
    ),
    Never(
        "tops-out",
        "never rear rebound softer on a rear that tops out",
        lambda move, seen: (
            move.sets("rear", "rebound", upward=False)
            and (seen.named("rear-tops-out") or seen.said("rear-travel") == "most")
        ),
        back=False,
    ),
    Never(
        "shake",
        "never a damper first for a tyre that shakes",
        lambda move, seen: (
            move.damper
            and seen.named("tyre-shake")
            and not GRIP_LEVERS & frozenset(_words(seen.facts.get(LEVERS_TRIED)))
        ),
        back=False,
    ),
    Never(
        "more-hit",
        "never more hit on a car that bogs",
        lambda move, seen: seen.named("bogs") and _harder_hit(move),
    ),
    Never(
        "split",
        "never one side alone before both sides were compared",
        lambda move, seen: move.one_side and seen.named("rolls-to-one-side", "sudden-drift"),
        back=False,
    ),
    Never(
        "heat",
        "never a turn against heat or cold",
        lambda move, seen: seen.faded and not (move.part == "launch rpm" and not move.upward),
    ),
    Never(
        "mushy",
        "never clicks out a mushy damper",
        lambda move, seen: move.damper and seen.named("mushy-damper", "knob-sticks"),
    ),
    Never(
        "bind",
        "never a click before the bind is found",
        lambda move, seen: move.damper and seen.named("ride-height-differs"),
    ),
    Never(
        "damaged",
        "never a knob on a damaged car",
        lambda move, seen: move.damper and seen.named("damage-found"),
    ),
    Never(
        "scatter",
        "never a click to chase one time slip",
        lambda move, seen: move.damper and seen.symptoms == {"sixty-foot-varies"},
        back=False,
    ),
    Never(
        "good",
        "never one more turn on a good car",
        lambda move, seen: seen.only_good,
        back=False,
    ),
)
TWO_KNOBS = "never two knobs at once"


def _words(value: object) -> Iterable[str]:
    return value if isinstance(value, frozenset) else ()


def forbidden(moved: Iterable[Move], facts: Mapping[str, object], *, back: bool = False) -> str:
    """Return the first thing that is never done, of these moves after what was seen, or nothing.

    back: the moves put a change back where it was.
    """
    made, seen = list(moved), PassFacts(facts)
    for never in NEVERS:
        if back and not never.back:
            continue
        for move in made:
            if never.forbids(move, seen):
                return never.says
    return TWO_KNOBS if _two_knobs(made) and not back else ""


def _two_knobs(made: list[Move]) -> bool:
    """Tell whether more than one knob moves beside those that keep a valving's force."""
    knobs = [move for move in made if move.part == "knob" and not move.keeps_force]
    return len({move.axle for move in knobs}) > 1 or len({m.place for m in knobs}) < len(knobs)
