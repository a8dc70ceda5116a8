"""One lever's effect on one parameter of a launch."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class ParameterShift:
    """One lever's effect on one parameter: times `factor`, plus `add` [SI].

    name: the parameter, dampers as ``damper.front.comp.kb``.
    lever: the adjuster that does it; a pair goes by its axle and name.
    factor: one number, or for a damper's table one per row.
    spread: one standard deviation of the effect's own size, as a share [-].
    pressure: the rear tyres' pressure over the one at the start [-], where each car's own window
    decides the size of the effect; with `factor` e that size is the logarithm of what it does.
    """

    name: str
    lever: str
    factor: float | Array = 1.0
    add: float = 0.0
    spread: float = 0.0
    pressure: float | None = None
