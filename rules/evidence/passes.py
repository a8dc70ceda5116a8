"""The passes of a day as the statistics take them."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

from rules.faults import Fault

LANES = ("left", "right")


@dataclass(frozen=True)
class PassTime:
    """One time of one pass.

    `order` counts the passes of the day, spoilt ones too; `setting` names all that the crew set;
    `value_s` is the time judged; `clean` is false where it was lifted, aborted or spun;
    `air_density` is dry [kg/m3]; `meeting` is where it was run.

    Raises:
        ValueError: a time or a density that is no number above zero, or a strange lane.
    """

    order: int
    setting: str
    value_s: float
    clean: bool = True
    air_density: float | None = None
    lane: str | None = None
    meeting: str = ""

    def __post_init__(self) -> None:
        for field, value in (("time", self.value_s), ("air density", self.air_density)):
            if value is not None and not (isfinite(value) and value > 0.0):
                raise ValueError(
                    str(Fault(f"{field} of pass {self.order}", f"{value}", "a number above 0"))
                )
        if self.lane is not None and self.lane not in LANES:
            raise ValueError(
                str(Fault(f"lane of pass {self.order}", self.lane, " or ".join(LANES)))
            )


def counted(passes: Iterable[PassTime]) -> tuple[PassTime, ...]:
    """Return the clean passes in the order they were run: only these enter the statistics."""
    return tuple(sorted((one for one in passes if one.clean), key=lambda one: one.order))


def count_of(passes: Iterable[PassTime], setting: str) -> int:
    """Return how many clean passes were run on a setting."""
    return sum(one.clean and one.setting == setting for one in passes)
