"""What a pass showed, as the safety rules ask it: what was named, answered and measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rules.advice.safety.firm_landing import LANDING_FIRMED, ROOM_TO_LAND
from rules.book.facts import Fact
from rules.log.said import named_symptoms
from rules.log.state import Run, State

BIG_STAND_SYMPTOMS = frozenset(
    {"front-drops-hard", "front-carries", "front-rises-violently", "wheelie-bar-hits"}
)
TRAVEL_USED = "front travel used"
LEVERS_TRIED = "levers tried"
HALF = "half-or-less"
NEAR_THE_STOP = 0.9
"""Share of the front's bump travel past which a landing has no margin; common practice."""


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


def facts_of(state: State, run: Run) -> dict[str, Fact]:
    """Return what a pass tells beside its answers: every symptom named, travel as measured."""
    facts: dict[str, Fact] = {"also seen": frozenset(named_symptoms(state, run))}
    ring, car = run.measured.get("front ring"), state.car
    if ring is not None and car is not None and car.front.bump_travel_m is not None:
        facts[TRAVEL_USED] = (ring.value + ring.give) / car.front.bump_travel_m
    return facts
