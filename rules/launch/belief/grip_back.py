"""What the front does once grip comes back: the same cars with as much more grip as holds them."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.faults import (
    A_BLINK_S,
    LOST_LIFT_M,
    STAND_LINES_M,
    Launched,
    launched,
)
from rules.launch.belief.learning import coarse
from rules.launch.cloud.on_paper import Params
from rules.launch.effects import range_of
from rules.launch.mechanics.parameters import BOUNDS
from rules.launch.outlook import IfItHolds

Array = NDArray[np.float64]

# How many times the grip a tyre may come to hold with, the least that does: a judgement.
MORE_GRIP = (1.0, 1.15, 1.35, 1.6)
_BIG = 2


def if_it_holds(cars: Sequence[Params], seen: Launched, doubt: Array) -> IfItHolds:
    """Return how high the front goes where each car has the least grip that its tyres hold with.

    seen: the same cars on the last pass.  doubt: what the launch leaves out, as a factor, (n,).
    """
    most = BOUNDS["mu"][1]
    more = [{**car, "mu": min(most, car["mu"] * times)} for times in MORE_GRIP for car in cars]
    columns = launched(coarse(more), more).columns
    grips, every = len(MORE_GRIP), np.arange(len(cars))
    holds = columns["spin_s_after_0p1s"].reshape(grips, -1) < A_BLINK_S
    least = np.where(holds.any(axis=0), holds.argmax(axis=0), grips - 1)
    lift = columns["front_lift_max"].reshape(grips, -1)[least, every]
    before, after = (
        np.searchsorted(STAND_LINES_M, one) for one in (seen.columns["front_lift_max"], lift)
    )
    up = float(np.mean((after > before) & (after >= _BIG)))
    return IfItHolds(range_of(np.minimum(lift * doubt, LOST_LIFT_M)), up)
