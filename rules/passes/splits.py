"""Where the time of a pass is: between the beams, and launch against power.

Constant power after a grip-limited launch: G. T. Fox, "On the physics of drag racing", American
Journal of Physics 41, 311 (1973), from memory. Distances in metres from the line, times in seconds,
speeds in metres a second; `power` is power over mass [W/kg], wind and rolling losses inside it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cbrt, inf, sqrt

from rules.passes.slip import BEAMS_M, FIELDS, TRAP_M, Slip, is_clean

# How many of the best clean passes a pass is held against: common practice, no source.
BEST = 3
# Less than this between two stretches is not worth a word: common practice, no source.
WORTH_A_WORD_S = 0.005


@dataclass(frozen=True)
class FromRest:
    """A standing start to one distance."""

    time_s: float
    speed_m_s: float


def run_to(distance_m: float, power: float, grip_m_s2: float = inf) -> FromRest:
    """Return time and speed at a distance, acceleration capped by grip, then constant power.

    Without a cap t = (9 d^2 / 8 q)^(1/3) and v = (3 q d)^(1/3) with q the power over mass, so that
    t v = 1.5 d (Fox).

    Raises:
        ValueError: distance, power or grip not above zero.
    """
    if min(distance_m, power, grip_m_s2) <= 0.0:
        raise ValueError(
            f"distance, power, grip: found {distance_m:g}, {power:g}, {grip_m_s2:g}; wanted above 0"
        )
    if grip_m_s2 == inf:
        return FromRest(cbrt(9.0 * distance_m**2 / (8.0 * power)), cbrt(3.0 * power * distance_m))
    capped_speed = power / grip_m_s2
    capped_distance = capped_speed**2 / (2.0 * grip_m_s2)
    if distance_m <= capped_distance:
        return FromRest(sqrt(2.0 * distance_m / grip_m_s2), sqrt(2.0 * grip_m_s2 * distance_m))
    speed = cbrt(capped_speed**3 + 3.0 * power * (distance_m - capped_distance))
    return FromRest(capped_speed / grip_m_s2 + (speed**2 - capped_speed**2) / (2.0 * power), speed)


def effective_power(slip: Slip) -> float | None:
    """Return the power over mass [W/kg] that the later half shows, or None without a speed.

    From the two trap speeds, v2^3 - v1^3 = 3 q d (Fox), each at the middle of its trap; with one
    speed alone v = (3 q d)^(1/3), which reads a little low after a grip-limited launch.
    """
    half = TRAP_M / 2.0
    early, late = slip.eighth_speed_m_s, slip.quarter_speed_m_s
    if early is not None and late is not None and late > early:
        return (late**3 - early**3) / (3.0 * (BEAMS_M["quarter_s"] - BEAMS_M["eighth_s"]))
    for speed, beam in ((late, "quarter_s"), (early, "eighth_s")):
        if speed is not None:
            return speed**3 / (3.0 * (BEAMS_M[beam] - half))
    return None


def grip_from_sixty(sixty_s: float, power: float) -> float:
    """Return the launch's mean grip-limited acceleration [m/s2] that makes this 60-foot.

    Raises:
        ValueError: a 60-foot quicker than that power allows from rest.
    """
    distance = BEAMS_M["sixty_s"]
    quickest = run_to(distance, power).time_s
    if sixty_s <= quickest:
        raise ValueError(
            f"60-foot: found {sixty_s:g}; wanted more than {quickest:.3f}, "
            "which is all that this power gives"
        )
    low, high = 1e-3, 2.0 * distance / sixty_s**2
    while run_to(distance, power, high).time_s > sixty_s:
        high *= 2.0
    for _ in range(80):
        grip = (low + high) / 2.0
        if run_to(distance, power, grip).time_s > sixty_s:
            low = grip
        else:
            high = grip
    return (low + high) / 2.0


def stripe_cost(sixty_s: float, other_sixty_s: float, power: float, distance_m: float) -> float:
    """Return what going from one 60-foot to another adds at the stripe [s], power unchanged.

    Raises:
        ValueError: a 60-foot quicker than that power allows from rest.
    """
    then, now = (
        run_to(distance_m, power, grip_from_sixty(one, power)).time_s
        for one in (sixty_s, other_sixty_s)
    )
    return now - then


@dataclass(frozen=True)
class SplitTime:
    """The way from one beam, or the line, to the next: its time and mean speed."""

    start: str
    end: str
    time_s: float
    mean_speed_m_s: float

    @property
    def words(self) -> str:
        """Say which stretch it is."""
        end = FIELDS[self.end].label
        return f"to the {end}" if not self.start else f"{FIELDS[self.start].label} to {end}"


def stretches(slip: Slip) -> list[SplitTime]:
    """Return the stretches between the beams that the slip gives."""
    found, before, here, then = [], "", 0.0, 0.0
    for key, time in slip.times().items():
        there = BEAMS_M[key]
        found.append(SplitTime(before, key, time - then, (there - here) / (time - then)))
        before, here, then = key, there, time
    return found


@dataclass(frozen=True)
class Difference:
    """One stretch of a pass less the same stretch of the best clean ones; below zero is won."""

    stretch: SplitTime
    seconds: float
    against: int


def against_best(slip: Slip, others: Sequence[Slip]) -> list[Difference]:
    """Hold a pass against the best clean ones of the same setting, stretch by stretch.

    The best are the three quickest to the last beam of this pass; a stretch that fewer of them
    have is held against those. Empty where there are none.
    """
    times = slip.times()
    if not times:
        return []
    last = list(times)[-1]
    clean = [one for one in others if is_clean(one) and last in one.times()]
    best = sorted(clean, key=lambda one: one.times()[last])[:BEST]
    found = []
    for stretch in stretches(slip):
        theirs = [
            same.time_s
            for one in best
            for same in stretches(one)
            if (same.start, same.end) == (stretch.start, stretch.end)
        ]
        if theirs:
            mean = sum(theirs) / len(theirs)
            found.append(Difference(stretch, stretch.time_s - mean, len(theirs)))
    return found


def difference_words(differences: Sequence[Difference]) -> str:
    """Say where the time was lost and won, the largest first."""
    if not differences:
        return "No clean pass of this setting to hold it against yet."
    told = sorted(differences, key=lambda one: -abs(one.seconds))
    parts = [
        f"{abs(one.seconds):.3f} s {'lost' if one.seconds > 0 else 'won'} {one.stretch.words}"
        for one in told
        if abs(one.seconds) >= WORTH_A_WORD_S
    ]
    against = max(one.against for one in differences)
    best = "the best clean pass" if against == 1 else f"the mean of the {against} best clean passes"
    if not parts:
        return f"As {best} of this setting, within {WORTH_A_WORD_S:.3f} s everywhere."
    return f"Against {best} of this setting: {', '.join(parts)}."
