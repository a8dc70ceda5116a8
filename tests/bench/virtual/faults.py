"""What a crew would call a fault, in the true numbers of a launch.

Every line here is common practice, no source: written from memory, chosen before any result.
"""

from collections.abc import Callable, Mapping

from tests.bench.virtual.truth import SIXTY_FEET_M, Outcome

AT_STOP_M = 0.001
HARSH = 3.0
STAND_M = 0.3
SLOW_M = 0.09
HELD_M = 0.025
TOUCHED_N, HIT_N = 50.0, 1500.0


def _drops(o: Outcome) -> float:
    """The ring at the stop, or a touch of three times the load at rest: it thuds and skips."""
    stop = 1.0 + (o.ring - o.bump) / 0.01 if o.ring >= o.bump - AT_STOP_M else 0.0
    return max(stop, 0.5 + (o.load - HARSH) if o.load > HARSH else 0.0)


def _carries(o: Outcome) -> float:
    """Over 0.3 m a landing is no longer soft, past 60 ft the car is not steered."""
    high = 0.5 + (o.lift - STAND_M) / 0.15 if o.lift > STAND_M else 0.0
    far = o.down_at - SIXTY_FEET_M if o.lift > 0.02 else 0.0
    return max(high, 0.5 + far / 10.0 if far > 0.0 else 0.0)


def _slow(o: Outcome) -> float:
    """Less than a hand's breadth in 0.4 s: from the side it did not come up."""
    return 0.5 + (SLOW_M - o.rise) / 0.05 if o.rise < SLOW_M else 0.0


def _stays_high(o: Outcome) -> float:
    """Two and a half seconds out the nose sits clearly above what thrust and spring hold."""
    above = max(o.nose - o.held - HELD_M, 0.6 * (o.nose - 0.13))
    return 0.4 + above / 0.02 if above > 0.0 else 0.0


def _bounces(o: Outcome) -> float:
    """One bounce is normal; two, or one of a hand's breadth, are not."""
    if o.hops >= 2:
        return 0.5 + o.hop / 0.05
    return 0.5 + (o.hop - 0.06) / 0.05 if o.hop > 0.06 else 0.0


def _squats(o: Outcome) -> float:
    """Within a seventh of the stop the tyre or the exhaust is met."""
    return 0.4 + (o.squat - 0.85) / 0.2 if o.squat > 0.85 else 0.0


def _tops_out(o: Outcome) -> float:
    """The rear at its droop stop: it can push the tyre no more."""
    return 0.5 + (o.rear_droop - 0.97) / 0.1 if o.rear_droop > 0.97 else 0.0


def _spins(o: Outcome) -> float:
    """A twentieth of a second past the peak of grip is heard and seen on the tyre."""
    return 0.5 + (o.spin_hit - 0.06) / 0.1 if o.spin_hit > 0.06 else 0.0


def _unloads(o: Outcome) -> float:
    """It hooked at first, and let go for more than a blink later on."""
    late = o.spin_late > 0.1 and o.spin_hit <= 0.06
    return 0.5 + (o.spin_late - 0.1) / 0.2 if late else 0.0


def _bars(o: Outcome) -> float:
    """More than a knock on the bars' wheels: the tyres have lost as much."""
    return 0.8 + (o.bars - HIT_N) / 3000.0 if o.bars > HIT_N else 0.0


FAULTS: Mapping[str, Callable[[Outcome], float]] = {
    "front-drops-hard": _drops,
    "wheelie-bar-hits": _bars,
    "front-carries": _carries,
    "front-bounces": _bounces,
    "spins-at-hit": _spins,
    "unloads-after-hit": _unloads,
    "rear-tops-out": _tops_out,
    "squats-and-drags": _squats,
    "nose-stays-high": _stays_high,
    "front-slow-to-rise": _slow,
}
"""Each symptom by the book's name: how bad it is, 0 where it is not there, about 1 plainly."""


# Of a car that goes over nothing else can be said.
FALLS_HARD = ("front-drops-hard", "wheelie-bar-hits", "front-carries")


GEAR_CHANGE = "unloads-at-gear-change"


def fault_of(symptom: str) -> str:
    """Return the fault that a symptom names: a car that lets go at the shift has unloaded."""
    return "unloads-after-hit" if symptom == GEAR_CHANGE else symptom


def faults_of(outcome: Outcome) -> dict[str, float]:
    """Return the faults of a launch and how bad each is, the worst first."""
    kinds = FALLS_HARD if outcome.over else FAULTS
    found = {name: FAULTS[name](outcome) for name in kinds}
    there = {name: how for name, how in found.items() if how > 0.0}
    return dict(sorted(there.items(), key=lambda one: -one[1]))


def badness(outcome: Outcome) -> float:
    """Return how bad a launch is in all: 0 where it is good."""
    return sum(1.0 + min(how, 5.0) for how in faults_of(outcome).values())


BANDS = (("none", 0.02), ("small", 0.3), ("big", 0.6), ("dangerous", 99.0))


def stand(lift: float) -> int:
    """Return the band of a stand: 0 none, 1 small, 2 big, 3 dangerous."""
    return next(place for place, (_, top) in enumerate(BANDS) if lift < top)


def clearly_worse(before: Outcome, after: Outcome) -> bool:
    """Tell whether a danger came or grew: a band of stand, the ring at the stop, the bars hit."""
    return (
        (stand(after.lift) > stand(before.lift) and after.lift > STAND_M)
        or (after.ring >= after.bump - AT_STOP_M and before.ring < before.bump - AT_STOP_M)
        or (after.bars > HIT_N and before.bars <= HIT_N)
    )
