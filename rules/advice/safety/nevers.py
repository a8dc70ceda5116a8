"""What is never turned after what was seen, one entry for each "never" of the trade.

Common practice, no source. The gates hold every advised turn and every rung of a ladder against
this table, whoever asks for it: the book, a crew's own page, half back, put back. An order of
inspections ("a damper before links and joints") is kept by the book's own checks instead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from rules.advice.safety.firm_landing import LANDING_FIRMED, ROOM_TO_LAND
from rules.book.facts import Fact
from rules.car.adjusters import Adjuster, Turn
from rules.car.steps import lets_front_rise, link_lifts, trade_step
from rules.log.said import named_symptoms
from rules.log.state import Run, State

BIG_STAND_SYMPTOMS = frozenset(
    {"front-drops-hard", "front-carries", "front-rises-violently", "wheelie-bar-hits"}
)
GRIP_LEVERS = frozenset({"launch rpm", "tyre pressure"})
TRAVEL_USED = "front travel used"
LEVERS_TRIED = "levers tried"
HALF = "half-or-less"
NEAR_THE_STOP = 0.9
"""Share of the front's bump travel past which a landing has no margin; common practice."""


@dataclass(frozen=True)
class Move:
    """One way to set one thing. `steps` counts the trade's first steps.

    `keeps_force` says that a knob follows a valving that is changed with it.
    """

    part: str
    axle: str
    upward: bool
    controls: str = ""
    speed: str = ""
    steps: float = 1.0
    place: str = ""
    one_side: bool = False
    keeps_force: bool = False
    lifts: bool = False

    @property
    def damper(self) -> bool:
        """Whether a damper is set: a knob or its valving."""
        return self.part in ("knob", "valving")

    def sets(self, axle: str, stroke: str, upward: bool | None = None) -> bool:
        """Tell whether it sets a stroke of an axle's dampers, that way where one is named."""
        strokes = (stroke, "both") if self.part == "knob" else (stroke, "")
        return (
            self.damper
            and self.axle == axle
            and self.controls in strokes
            and upward in (None, self.upward)
        )


@dataclass(frozen=True)
class PassFacts:
    """What was seen on a pass: the symptoms named, the answers given, what was measured."""

    facts: Mapping[str, object]

    @property
    def symptoms(self) -> frozenset[str]:
        """Every symptom that was named."""
        named = self.facts.get("also seen")
        return named if isinstance(named, frozenset) else frozenset()

    def said(self, prompt: str) -> str:
        """Return an answer; empty where it was not asked."""
        return str(self.facts.get(prompt, ""))

    def named(self, *symptoms: str) -> bool:
        """Tell whether one of these symptoms was named."""
        return not self.symptoms.isdisjoint(symptoms)

    @property
    def only_good(self) -> bool:
        """Whether the pass was good and nothing else was named."""
        return self.symptoms == {"it-is-good"}

    @property
    def at_stop(self) -> bool:
        """Whether the landing used all the travel."""
        return self.said("front-travel") == "at-stop"

    @property
    def near_stop(self) -> bool:
        """Whether the landing left no margin, by the answer or by what was measured."""
        used = self.facts.get(TRAVEL_USED)
        measured = isinstance(used, float) and used >= NEAR_THE_STOP
        return measured or self.said("front-travel") in ("at-stop", "near-stop")

    @property
    def stood_high(self) -> bool:
        """Whether the wheelie was big, long on a car without bars, or hit the bars."""
        long = self.said("carry") == "long" and self.said("wheelie bars") == "no"
        hit = self.said("bars") == "hit" or self.named("wheelie-bar-hits")
        return self.said("stand") in ("big", "dangerous") or hit or long

    @property
    def landing_is_firm(self) -> bool:
        """Whether a softer landing would undo a firm one.

        Not where it lands harshly with travel left; nor where no bleed can open, the ring says in
        a number or by half that there is room to spare, and nobody firmed the landing before.
        """
        used = self.facts.get(TRAVEL_USED)
        read = (
            used <= ROOM_TO_LAND if isinstance(used, float) else self.said("travel-share") == HALF
        )
        spare = (
            read
            and self.said("front bleed") in ("open", "not fitted")
            and self.facts.get(LANDING_FIRMED) == "no"
        )
        return not spare and self.said("front-travel") != "short-harsh"

    @property
    def stood_big(self) -> bool:
        """Whether the stand was big, or what it did to the car was."""
        return (
            self.said("stand") in ("big", "dangerous")
            or self.said("bars") == "hit"
            or self.said("top-out") == "bang"
            or self.at_stop
            or self.named(*BIG_STAND_SYMPTOMS)
        )

    @property
    def squats(self) -> bool:
        """Whether the rear squatted."""
        return self.said("rear-motion") == "squats" or self.named("squats-and-drags")

    @property
    def faded(self) -> bool:
        """Whether heat or cold may be what changed; warm dampers that did not weaken are not."""
        warm = self.said("body-temperature") == "warm"
        steady = warm and self.said("day-change") in ("stiff-first", "other")
        return self.named("changed-through-day") and not steady


@dataclass(frozen=True)
class Never:
    """One thing that is never turned. `back`: not even to put a change back where it was."""

    id: str
    says: str
    forbids: Callable[[Move, PassFacts], bool]
    back: bool = True


def takes_clearance(move: Move) -> bool:
    """Tell whether a move leaves the front less travel at a landing; a bleed hardly acts there."""
    softer = not move.upward and move.axle in ("front", "car")
    if move.damper:
        return softer and move.controls != "rebound" and move.speed != "low"
    return softer and move.part in ("ride height", "spring", "preload")


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


def moves(turns: Iterable[Turn], fitted: Mapping[str, Adjuster]) -> list[Move]:
    """Return turns of adjusters as moves."""
    told = tuple(turns)
    by = {turn.adjuster: turn.after - turn.before for turn in told}
    made = [_move(fitted[turn.adjuster], turn, by) for turn in told if turn.after != turn.before]
    valved = any(move.part == "valving" for move in made)
    if not valved:
        return made
    return [replace(one, keeps_force=True) if one.part == "knob" else one for one in made]


def _move(one: Adjuster, turn: Turn, by: Mapping[str, float]) -> Move:
    distance = turn.after - turn.before
    upward = distance * one.up(True) > 0
    return Move(
        part=one.part,
        axle=one.axle,
        upward=upward,
        controls=one.controls or "",
        speed=one.speed if one.controls else "",
        place=one.place,
        steps=abs(distance) / one.step / trade_step(one),
        one_side=one.partner is not None and by.get(one.partner) != distance,
        lifts=lets_front_rise(one, upward) or link_lifts(one, upward),
    )


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


def facts_of(state: State, run: Run) -> dict[str, Fact]:
    """Return what a pass tells beside its answers: every symptom named, travel as measured."""
    facts: dict[str, Fact] = {"also seen": frozenset(named_symptoms(state, run))}
    ring, car = run.measured.get("front ring"), state.car
    if ring is not None and car is not None and car.front.bump_travel_m is not None:
        facts[TRAVEL_USED] = (ring.value + ring.give) / car.front.bump_travel_m
    return facts
