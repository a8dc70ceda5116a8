"""What door cars mostly have, number by number: for prompts and for doubt, never used as a value.

A number of the car file declares it where it stands, in `rules.car.body`; the survey's own are
here. All ranges are common practice, no source, from memory.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from rules.car.fact import Fact, fact_of, quantity_of
from rules.car.model import TABLES, Car
from rules.units import Quantity, to_si
from rules.wording import both_range

LABEL = "common practice, no source"


@dataclass(frozen=True)
class Typical:
    """One field's usual range.

    key: of the car file, or of the survey (``survey.toe``).  name: what it is, in words.
    low, high: SI, or plain numbers in `unit` where there is no quantity.
    """

    key: str
    name: str
    quantity: Quantity | None
    low: float
    high: float
    unit: str = ""

    @cached_property
    def says(self) -> str:
        """The range in words."""
        if self.quantity is not None:
            span = both_range(self.low, self.high, self.quantity)
        else:
            span = f"{self.low:g} to {self.high:g} {self.unit}".rstrip()
        return f"mostly {span} ({LABEL})"


def _declared() -> Iterator[tuple[str, Fact, Quantity | None]]:
    for table in TABLES:
        for field in Car.fields[table].default.fields.values():
            if (fact := fact_of(field)) is None:
                continue
            if table in ("front", "rear"):
                fact = fact.at(table, field.key.replace("_", " "))
            yield f"{table}.{field.key}", fact, quantity_of(field)


_FOUND = tuple(_declared())
FACTS: Mapping[str, Fact] = MappingProxyType({key: fact for key, fact, _ in _FOUND})
"""What the numbers of the car file declare of themselves, by key; an axle's as of its end."""
QUANTITIES: Mapping[str, Quantity | None] = MappingProxyType({key: what for key, _, what in _FOUND})
"""What each of them measures; None for a plain number."""
_SURVEY: dict[str, tuple[Quantity | None, Fact]] = {
    **{f"survey.{key}": (Quantity.LENGTH, fact) for key, fact in {
        "damper_length": Fact("damper, eye to eye", usual=(8, 28)),
        "toe": Fact("front toe-in, both sides together", usual=(0, 0.1875)),
        "bump_steer": Fact("toe change of one wheel over its travel", usual=(0, 0.0625)),
        "axle_square": Fact("rear axle out of square, side to side", usual=(0, 0.0625)),
        "rollout_difference": Fact("rollout of right rear less left rear", usual=(-0.5, 0.5)),
        "front_limiters": Fact("front limiters, right less left", usual=(-0.0625, 0.0625)),
        "rear_limiters": Fact("rear limiters, right less left", usual=(-0.0625, 0.0625)),
        "wheelie_bars": Fact("wheelie bar heights, right less left", usual=(-0.125, 0.125)),
    }.items()},
    **{f"survey.{key}": (Quantity.PRESSURE, fact) for key, fact in {
        "slick_pressure": Fact("rear slick pressure", usual=(5, 15)),
        "radial_pressure": Fact("rear radial pressure", usual=(10, 24)),
        "rear_pressure": Fact("rear tyre pressure", usual=(5, 24)),
        "front_pressure": Fact("front tyre pressure", usual=(22, 50)),
    }.items()},
    **{f"survey.{key}": (None, fact) for key, fact in {
        "pinion_angle": Fact(
            "pinion nose down against the driveshaft", usual=(1, 7), unit="deg"
        ),
        "front_frequency": Fact("front ride frequency", usual=(1.0, 1.8), unit="Hz"),
        "rear_frequency": Fact("rear ride frequency", usual=(1.1, 2.0), unit="Hz"),
    }.items()},
}  # fmt: skip


def _typical() -> Iterator[Typical]:
    survey = ((key, fact, what) for key, (what, fact) in _SURVEY.items())
    for key, fact, what in (*_FOUND, *survey):
        if fact.usual is not None:
            low, high = (to_si(one, what, "us") if what else float(one) for one in fact.usual)
            yield Typical(key, fact.name, what, low, high, fact.unit)


TYPICAL: Mapping[str, Typical] = MappingProxyType({one.key: one for one in _typical()})


def typically(key: str) -> str:
    """Return a field's usual range in words, "" for one that has none."""
    return TYPICAL[key].says if key in TYPICAL else ""
