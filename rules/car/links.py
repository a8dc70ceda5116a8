"""The links of the rear axle as the car file has them: where their ends are, seen from the side.

Attributes are SI and carry their unit, as in `rules.car.model`.
"""

from typing import Literal

from rules.car.body import CarPart, SignedLength
from rules.part import said

LinkEnd = Literal[
    "upper front", "upper rear", "lower front", "lower rear", "bar front", "instant centre"
]
FOUR_ENDS: tuple[LinkEnd, ...] = ("upper front", "upper rear", "lower front", "lower rear")
"""Front ends are on the body, rear ends on the axle."""


class LinkPlace(CarPart):
    """A place seen from the side, the car standing as raced."""

    ahead_m: SignedLength = said("Ahead of the rear axle's centre.", key="ahead")
    height_m: SignedLength = said("Above the ground.", key="height")


class RearLinks(CarPart):
    """Where the ends of the upper and lower links are; bolt centres, the car standing as raced.

    An end that a lever moves can be left to the lever.
    """

    upper_front: LinkPlace | None = said("Upper link, at the body.", default=None)
    upper_rear: LinkPlace | None = said("Upper link, at the axle.", default=None)
    lower_front: LinkPlace | None = said("Lower link, at the body.", default=None)
    lower_rear: LinkPlace | None = said("Lower link, at the axle.", default=None)

    def place(self, end: LinkEnd) -> LinkPlace | None:
        """Return where an end is, None where the file does not say it."""
        found: LinkPlace | None = getattr(self, end.replace(" ", "_"), None)
        return found
