"""What a travel survey measured: each corner, each axle, and what may meet the road. SI."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite

from rules.car.model import AxleEnd, Corner
from rules.shop.coil import Coil
from rules.shop.leaf import Leaf, WindUp
from rules.shop.ratio import MeasuredRatio
from rules.shop.travel import Lengths


@dataclass(frozen=True)
class LowPart:
    """Something that may meet the road.

    clearance: under it at ride height [m].  ahead: of the front axle, negative behind it [m].
    """

    name: str
    clearance: float
    ahead: float

    def __post_init__(self) -> None:
        if not (isfinite(self.clearance) and self.clearance > 0.0):
            raise ValueError(
                f"clearance under {self.name}: found {self.clearance}, wanted a height above 0"
            )
        if not isfinite(self.ahead):
            raise ValueError(f"place of {self.name}: found {self.ahead}, wanted a length")


@dataclass(frozen=True)
class AxleTravel:
    """One axle's travel at the wheel [m]; None where it is not known.

    bump, droop: from ride height.  squash: further tyre deflection at the peak load, see
    `rules.chassis.tyre_squash`.
    """

    bump: float | None = None
    droop: float | None = None
    squash: float | None = None


@dataclass(frozen=True)
class CornerSurvey:
    """What was measured at one corner.

    carries: as in `rules.shop.coil.coil_findings` [N].
    as_other_side: taken as the axle's other side, not measured.
    leaf: the leaf that carries it, on an axle of `Survey.leaves`.
    """

    lengths: Lengths | None = None
    damper_ratio: MeasuredRatio | None = None
    spring_ratio: MeasuredRatio | None = None
    coil: Coil | None = None
    carries: float | None = None
    as_other_side: bool = False
    leaf: Leaf | None = None


@dataclass(frozen=True)
class Survey:
    """Everything measured so far.

    at_wheel: travel measured at the wheel itself, and the tyres' squash; used where the dampers'
    lengths do not say it.  entered, touches: by the keys of `rules.shop.entered`.
    leaves: what winds up each axle that stands on leaf springs.  without: entered numbers of parts
    that this car has not.
    """

    corners: Mapping[Corner, CornerSurvey] = field(default_factory=dict)
    base: float | None = None
    parts: tuple[LowPart, ...] = ()
    at_wheel: Mapping[AxleEnd, AxleTravel] = field(default_factory=dict)
    entered: Mapping[str, float | None] = field(default_factory=dict)
    touches: Mapping[str, bool | None] = field(default_factory=dict)
    leaves: Mapping[AxleEnd, WindUp] = field(default_factory=dict)
    without: frozenset[str] = frozenset()
