"""What "a little", "plainly" and "badly" say of a launch: how far over its line a fault is."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from rules.book.facts import Fact
from rules.launch.belief.faults import EYE, FAULTS, below, of_symptom
from rules.launch.severity import WORDS, how_bad

Array = NDArray[np.float64]

EDGES: Mapping[str, tuple[tuple[float, float], ...]] = {
    "front-drops-hard": ((1.03, 1.07), (1.3, 1.8)),
    "front-bounces": ((1.7, 3.3),),
    "front-carries": ((1.25, 1.67),),
    "wheelie-bar-hits": ((1.5, 2.5),),
    "front-rises-violently": ((1.5, 2.5),),
    "front-slow-to-rise": ((1.4, 3.0),),
    "nose-stays-high": ((1.12, 1.82), (1.4, 1.8)),
    "rear-tops-out": ((1.07, 1.13),),
    "squats-and-drags": ((1.2, 1.4),),
    "spins-at-hit": ((2.0, 4.0),),
    "unloads-after-hit": ((2.0, 4.0),),
}
"""From where a fault is plain and from where it is bad, as index over its line, in the order of
`FAULTS`. Each is what the question's words say, in the fault's own number: on the stop, and 4 % of
the travel into it; 4.5 and 6 times the load at rest; 50 and 100 mm of bounce; 15 and 20 in of lift
or 75 and 100 ft; a front that rises 28 and 13 mm in 0.2 s; a nose of which 25 and 50 mm of 150 are
left, 1.6 s over ln 6 and ln 3, or 48 and 96 mm over its line; a rear 4 % short of its droop stop,
and 2 % into it; at 0.85 of its bump, and all but on the stop; two blinks of spin, and four. Bars
and bang: half as hard again, and two and a half times as hard.
Common practice, no source."""


def said_of(over: Array) -> Mapping[str, Mapping[str, Array]]:
    """Return how likely a crew is to give each word, by prompt and word, each (n,).

    over: the logarithm of each fault's index over the crew's own line, (n, faults).
    """
    return {
        how_bad(symptom): _shares(over[:, of_symptom(symptom)], EDGES[symptom]) for symptom in EDGES
    }


def middle_of(place: int, facts: Mapping[str, Fact]) -> tuple[float, float] | None:
    """Return the middle of the band that a fault was said to be in, and half the band's width.

    Both in the logarithm of its index over its line; a bad one is as far past its edge as one in
    the middle band is. None where nobody said it.
    """
    symptom = FAULTS[place].symptom
    word = facts.get(how_bad(symptom))
    if word not in WORDS:
        return None
    plain, bad = np.log(EDGES[symptom][of_symptom(symptom).index(place)])
    half = (bad - plain) / 2.0
    middles = dict(zip(WORDS, (plain / 2.0, plain + half, bad + half), strict=True))
    return float(middles[str(word)]), float(max(half, EYE))


def _shares(over: Array, edges: tuple[tuple[float, float], ...]) -> Mapping[str, Array]:
    """Return how likely each word is; of several faults by one name the worst is spoken of."""
    plain, bad = np.log(edges).T
    # Words are told apart about as sharply as half the band between them is wide.
    blurred = (bad - plain) / 2.0
    passed = [below((over - edge) / blurred).max(axis=1) for edge in (plain, bad)]
    shares = (1.0 - passed[0], passed[0] - passed[1], passed[1])
    return dict(zip(WORDS, shares, strict=True))
