"""The numbers of a launch as a crew reads them: with what it leaves out, and by their clock."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.likelihood import CLOCK_S
from rules.launch.cloud.on_paper import Params
from rules.launch.effects import effect_of
from rules.launch.goals import numbers_of
from rules.launch.mechanics.run import Launches
from rules.launch.proposed_change import Effect

Array = NDArray[np.float64]

FORETOLD = (
    "landing travel",
    "travel left",
    "lift",
    "air time",
    "carry",
    "landing load",
    "bounce",
    "top-out force",
    "front rise",
    "nose at 3 s",
    "rear droop used",
    "rear squat",
    "least rear load",
    "60-foot",
)
# What the launch leaves out moves a number by about this share; a judgement, see the virtual days.
DOUBTS = {
    "landing travel": 0.08,
    "lift": 0.3,
    "air time": 0.15,
    "carry": 0.2,
    "landing load": 0.1,
    "bounce": 0.4,
    "front rise": 0.15,
    "nose at 3 s": 0.1,
    "rear droop used": 0.15,
    "rear squat": 0.15,
}


def as_read(
    run: Launches, cars: Sequence[Params], clock: Array, doubt: Array
) -> Mapping[str, Array]:
    """Return the numbers as they will be read, (n,) by name.

    clock: what each car's clock reads too much [s], (n,).  doubt: standard normal, (n,).
    """
    numbers = numbers_of(run, cars)
    numbers["60-foot"] = numbers["60-foot"] + clock + CLOCK_S * doubt
    return {name: numbers[name] * np.exp(DOUBTS.get(name, 0.0) * doubt) for name in FORETOLD}


def effects(numbers: Mapping[str, Array], today: slice, after: slice) -> tuple[Effect, ...]:
    """Return what a way does to each number that some car has, from today's cars to its own."""
    found = (effect_of(name, column[today], column[after]) for name, column in numbers.items())
    return tuple(one for one in found if one is not None)
