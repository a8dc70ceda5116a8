"""What a form was answered so far, and the ends it may come to beside an action."""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.question import Given

Filled = Mapping[str, Given]


@dataclass(frozen=True)
class OpenSlip:
    """The form ends at the slip of a pass."""

    number: int


@dataclass(frozen=True)
class LeftAsItStands:
    """The crew was told what an order leads to, and left all as it stands."""

    says: str = "Nothing was ordered: the car stays as it stands."
