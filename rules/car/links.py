"""The links of the rear axle as the car file has them: where their ends are, seen from the side.

Attributes are SI and carry their unit, as in `rules.car.model`.
"""

from typing import Literal

from pydantic import Field

from rules.car.body import CarPart, SignedLength

LinkEnd = Literal[
    "upper front", "upper rear", "lower front", "lower rear", "bar front", "instant centre"
]
FOUR_ENDS: tuple[LinkEnd, ...] = ("upper front", "upper rear", "lower front", "lower rear")
"""Front ends are on the body, rear ends on the axle."""


class LinkPlace(CarPart):
    """A place seen from the side, the car standing as raced."""

    ahead_m: SignedLength = Field(alias="ahead", description="Ahead of the rear axle's centre.")
    height_m: SignedLength = Field(alias="height", description="Above the ground.")


class RearLinks(CarPart):
    """Where the ends of the upper and lower links are; bolt centres, the car standing as raced.

    An end that a lever moves can be left to the lever.
    """

    upper_front: LinkPlace | None = Field(None, description="Upper link, at the body.")
    upper_rear: LinkPlace | None = Field(None, description="Upper link, at the axle.")
    lower_front: LinkPlace | None = Field(None, description="Lower link, at the body.")
    lower_rear: LinkPlace | None = Field(None, description="Lower link, at the axle.")

    def place(self, end: LinkEnd) -> LinkPlace | None:
        """Return where an end is, None where the file does not say it."""
        found: LinkPlace | None = getattr(self, end.replace(" ", "_"), None)
        return found
