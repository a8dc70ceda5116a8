"""How likely a car of the cloud is to have done what the crew saw, measured and timed on a pass.

Every sighting keeps a floor: one word or reading in ten is taken to be wrong, so that no single
one throws a car out, and measuring more never leaves the cloud empty.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.faults import (
    EYE,
    FAULTS,
    HIGH_NOSE,
    SLOW_NOSE,
    STAND_LINES_M,
    Launched,
    below,
    of_symptom,
)
from rules.launch.belief.how_bad import said_of
from rules.launch.goals import MEASURED, STOPS
from rules.launch.mechanics.scalars import SIXTY_FEET_M
from rules.launch.proposed_change import Seen
from rules.passes.reading_ends import bounds

Array = NDArray[np.float64]

WRONG = 0.1
SLIP_OF_THE_PEN = 0.001
CLOCK_S = 0.012
GOOD = "it-is-good"
# From pass to pass a reading of the same car scatters by this much [SI]; a judgement.
SCATTER = {
    "lift": 0.03,
    "airborne": 0.06,
    "touchdown": 0.2,
    "front ring": 0.004,
    "rear ring": 0.004,
}
_SAYS_SAME = 0.15
NOTICED_BESIDE = 0.5
# On the first pass that is taken in, faults beside those named are rarer by this share, whoever
# looks: a car has one fault or two, not all that its open numbers would allow. A judgement.
SELDOM_BESIDE = 0.5
# One word in ten is wrong, and there are some twenty to choose from.
NAMED_WRONGLY = WRONG / 20.0
_BLURRED = 0.2


@dataclass(frozen=True)
class Crew:
    """Where a crew draws its lines, car by car of the cloud.

    faults: the logarithm of its line over the common one, (n, faults).
    stand: the same of the three lines between stands, (n, 3).
    clock: what its clock reads beyond the launch's own time [s], (n,).
    """

    faults: Array
    stand: Array
    clock: Array


def log_likelihood(
    run: Launched,
    index: Array,
    crew: Crew,
    seen: Seen,
    before: Array | None,
    *,
    first: bool = False,
) -> Array:
    """Return the logarithm of how likely each car is to show what was seen, (n,).

    index: of the faults on this pass, (n, faults), see `indices`.
    before: the same on the pass that a verdict compares with; None where there was none.
    first: whether no pass was taken in before.
    """
    beyond = index - crew.faults
    over = below(beyond / EYE)
    words = {**said(run, crew, over), **said_of(beyond)}
    total = _words(words, seen) + _symptoms(over, seen, first) + _readings(run, crew, seen)
    if before is not None:
        total += _verdict(index - before, before - crew.faults, seen)
    return np.asarray(total)


def clear_of(over: Array) -> Array:
    """Return how likely each car is to show none of the faults, (n,), from (n, faults)."""
    return np.asarray(np.prod(1.0 - over, axis=1))


def there(over: Array) -> dict[str, Array]:
    """Return how likely each car is to show each symptom, (n,) by symptom, from (n, faults)."""
    return {
        symptom: 1.0 - np.prod(1.0 - over[:, of_symptom(symptom)], axis=1)
        for symptom in dict.fromkeys(kind.symptom for kind in FAULTS)
    }


def _symptoms(over: Array, seen: Seen, first: bool) -> Array:
    """Weigh what was named; with one fault named the others may have been passed over."""
    total = np.zeros(len(over))
    if not seen.symptoms:
        return total
    noticed = 1.0 - WRONG if GOOD in seen.symptoms else NOTICED_BESIDE
    none_beside = np.ones(len(over))
    for symptom, present in there(over).items():
        if symptom in seen.symptoms:
            total += np.log(NAMED_WRONGLY + (1.0 - WRONG) * present)
        else:
            total += np.log(1.0 - noticed * present)
            none_beside *= 1.0 - present
    if first:
        total += np.log(1.0 - SELDOM_BESIDE * (1.0 - none_beside))
    return total


def _verdict(moved: Array, had: Array, seen: Seen) -> Array:
    """Weigh "better", "same", "worse" by how the treated fault's index moved.

    Of several causes by one name the crew looks at the one that was worst on each car.
    moved: every fault's index, (n, faults).  had: how far each was over its line.
    """
    places = of_symptom(seen.treated)
    if not places or seen.verdict not in ("better", "same", "worse", "gone"):
        return np.zeros(len(moved))
    worst = had[:, places].argmax(axis=1)
    by = moved[:, places][np.arange(len(moved)), worst]
    better, same, worse = says(by)
    said = {"better": better, "gone": better, "worse": worse}.get(seen.verdict, same)
    return np.asarray(np.log(0.7 * said + WRONG))


def says(by: Array) -> tuple[Array, Array, Array]:
    """Return how likely a crew calls a fault better, the same or worse, by how its index moved."""
    better, worse = below((-_SAYS_SAME - by) / _BLURRED), below((by - _SAYS_SAME) / _BLURRED)
    return better, np.maximum(1.0 - better - worse, 0.0), worse


def _words(words: Mapping[str, Mapping[str, Array]], seen: Seen) -> Array:
    facts = dict(seen.facts)
    total = np.zeros(len(words["stand"]["none"]))
    for prompt, shares in words.items():
        word = facts.get(prompt)
        if isinstance(word, str) and word in shares:
            total += np.log((1.0 - WRONG) * shares[word] + WRONG / len(shares))
    return total


def said(run: Launched, crew: Crew, over: Array) -> Mapping[str, Mapping[str, Array]]:
    """Return how likely a crew is to give each answer, by prompt and word."""
    columns = run.columns
    lift = np.log(np.maximum(columns["front_lift_max"], 1e-3))
    edges = [np.log(line) + crew.stand[:, n] for n, line in enumerate(STAND_LINES_M)]
    passed = [below((lift - edge) / _BLURRED) for edge in edges]
    left = run.of("front_bump") - columns["front_comp_max_after_td"]
    at_stop = below((0.003 - left) / 0.004)
    near = below((0.02 - left) / 0.005) * (1.0 - at_stop)
    harsh = over[:, of_symptom("front-drops-hard")[1]]
    half = below((0.5 - columns["front_comp_max_after_td"] / run.of("front_bump")) / 0.1)
    far = below((np.log(np.maximum(columns["touchdown_x"], 0.1)) - np.log(SIXTY_FEET_M)) / _BLURRED)
    sep = columns["rear_sep_0p1s"]
    rises, squats = below((sep - 0.004) / 0.003), below((-0.004 - sep) / 0.003)
    used = columns["rear_ext_max_0p3s"] / np.maximum(run.of("rear_droop"), 1e-3)
    most = below((used - 0.6) / 0.1)
    spun = over[:, of_symptom("spins-at-hit")[0]]
    hit = over[:, of_symptom("wheelie-bar-hits")[0]]
    touched = np.where(run.has_bars, run.columns["bar_force_max"] > 0.0, hit > 0.2) * (1.0 - hit)
    bang = over[:, of_symptom("front-rises-violently")[0]]
    # After a big wheelie a nose that is still up is on its way down, whatever holds it.
    sinks = np.maximum(over[:, SLOW_NOSE], over[:, HIGH_NOSE] * passed[1])
    return {
        "stand": {
            "none": 1.0 - passed[0],
            "small": passed[0] * (1.0 - passed[1]),
            "big": passed[1] * (1.0 - passed[2]),
            "dangerous": passed[2],
        },
        "front-travel": {
            "at-stop": at_stop,
            "near-stop": near,
            "short-harsh": (1.0 - at_stop) * harsh,
            "short-soft": (1.0 - at_stop) * (1.0 - harsh),
        },
        "travel-share": {"half-or-less": half, "more": 1.0 - half},
        "carry": {"short": 1.0 - far, "long": far},
        "rear-motion": {
            "separates": rises,
            "squats": squats,
            "neither": np.maximum(1.0 - rises - squats, 0.0),
        },
        "rear-travel": {"most": most, "some": 1.0 - most},
        "hooked": {"yes": 1.0 - spun, "spun": spun, "lazy": 1.0 - spun},
        "bars": {
            "clear": np.maximum(1.0 - hit - touched, 0.0),
            "touched": touched,
            "hit": hit,
        },
        "top-out": {"bang": bang, "no": 1.0 - bang},
        "on-lift": {"sinks": sinks, "at-once": 1.0 - sinks},
    }


def _readings(run: Launched, crew: Crew, seen: Seen) -> Array:
    """Weigh what was measured, at an end of its reach as a bound, and the 60-foot."""
    columns = run.columns
    total = np.zeros(len(run.lost))
    for what, (value, give) in seen.measured:
        if what not in MEASURED:
            continue
        stop = run.of(STOPS[what]) if what in STOPS else [None] * len(run.lost)
        reach = [bounds(what, value, give, one, seen.braked) for one in stop]
        low, high = np.array(reach).T
        total += tailed(outside(MEASURED[what](columns), low, high), SCATTER[what])
    if seen.sixty_s is not None:
        timed = columns["t_60ft"] + crew.clock
        off = np.where(np.isfinite(timed), timed - seen.sixty_s, 0.0)
        total += tailed(off, CLOCK_S)
    return total


def outside(values: Array, low: Array, high: Array) -> Array:
    return np.asarray(np.maximum(np.maximum(low - values, values - high), 0.0))


def tailed(off: Array | Sequence[float], about: float) -> Array:
    """Return a normal's logarithm with a tail: one reading in ten counts a sixth as sharp.

    One in a thousand is a slip of the pen and says nothing, which is the floor.
    """
    square = (np.asarray(off) / about) ** 2
    wide = WRONG / 6.0 * np.exp(-square / 72.0)
    return np.asarray(np.log((1.0 - WRONG) * np.exp(-square / 2.0) + wide + SLIP_OF_THE_PEN))
