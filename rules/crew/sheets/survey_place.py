"""A corner on the travel survey: its keys and labels, and whether its axle's right is measured."""

from dataclasses import dataclass
from typing import Literal

from rules.car.model import AxleEnd, Corner
from rules.crew.sheets.sheet import KEPT, Filling

DOWN = "Car down, as raced, springs in"
OUT = "On stands, springs out"
_CORNERS: dict[tuple[str, AxleEnd], Corner] = {
    ("left", "front"): "left front", ("right", "front"): "right front",
    ("left", "rear"): "left rear", ("right", "rear"): "right rear",
}  # fmt: skip


@dataclass(frozen=True)
class Place:
    """One corner on the sheet: the left is an axle's first, the right is asked where it differs."""

    side: Literal["left", "right"]
    end: AxleEnd

    @property
    def corner(self) -> Corner:
        """Its name."""
        return _CORNERS[self.side, self.end]

    def key(self, what: str) -> str:
        """Return the key of one of its answers."""
        return f"{self.end} {what}" if self.side == "left" else f"{self.corner} {what}"

    def other(self, what: str) -> str:
        """Return the key of the right side's own answer; empty on the right itself."""
        return Place("right", self.end).key(what) if self.side == "left" else ""

    def label(self, what: str) -> str:
        """Return the label of one of its fields."""
        return self.key(what).capitalize()


def right_side(now: Filling, end: AxleEnd) -> Literal["measured", "as left", ""]:
    """Return how an axle's right side stands: measured where it is to be or was; "" if not said."""
    said = now.said(f"{end} alike")
    if said == "no" or right_was_measured(now, end):
        return "measured"
    return "as left" if said == "yes" else ""


def right_was_measured(now: Filling, end: AxleEnd) -> bool:
    """Tell whether any number of an axle's right side stands."""
    there = f"right {end} "
    return any(
        key.startswith(there) and not key.endswith(KEPT) and now.said(key) for key in now.answers
    )
