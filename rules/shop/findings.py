"""What the shop finds, told the same way everywhere: a number, how serious it is, and words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from rules.units import UNITS, Quantity, System, from_si

Level = Literal["ok", "look", "stop", "unknown"]

GRAVEST_FIRST: tuple[Level, ...] = ("stop", "look", "unknown", "ok")
WORDS: dict[Level, str] = {"stop": "STOP", "look": "LOOK", "unknown": "open", "ok": "ok"}
# Decimals that a tape, a scale or a gauge can show.
_DECIMALS: dict[tuple[Quantity, System], int] = {
    (Quantity.LENGTH, "us"): 2,
    (Quantity.SPRING_RATE, "metric"): 1,
    (Quantity.PRESSURE, "us"): 1,
}


@dataclass(frozen=True)
class Finding:
    """One result of the shop.

    name: what was looked at, unique within its list.
    value: in SI, or a plain number where `quantity` is None; None where it is not known.
    level: "ok"; "look": think about it; "stop": metal meets metal or road, or a part is loose, and
    it blocks advice until it is put right; "unknown": a number is missing.
    says: for the crew, ASCII, with ``{US|metric}`` halves.
    """

    name: str
    value: float | None
    quantity: Quantity | None
    level: Level
    says: str

    @property
    def words(self) -> str:
        """What it says, beside a column that names its level."""
        return self.says.removeprefix("STOP: ")


def both(value: float, quantity: Quantity) -> str:
    """Write an SI value as ``{US|metric}``, to what a tape, a scale or a gauge can show."""
    return "{" + "|".join(_written(value, quantity, system) for system in ("us", "metric")) + "}"


def both_range(low: float, high: float, quantity: Quantity) -> str:
    """Write an SI range as ``{US|metric}``."""
    halves = (
        f"{_bare(low, quantity, system)} to {_written(high, quantity, system)}"
        for system in ("us", "metric")
    )
    return "{" + "|".join(halves) + "}"


def gravest_first(findings: Iterable[Finding]) -> list[Finding]:
    """Return findings in the order in which they are read."""
    return sorted(findings, key=lambda one: GRAVEST_FIRST.index(one.level))


def gravest(findings: Iterable[Finding]) -> Level:
    """Return the gravest level of all; "ok" of none."""
    levels = {one.level for one in findings}
    return next((level for level in GRAVEST_FIRST if level in levels), "ok")


def unknown(name: str, wants: str, quantity: Quantity | None = None) -> Finding:
    """Return a finding that cannot be made yet. wants: what it needs, in words."""
    return Finding(name, None, quantity, "unknown", f"Not known yet: it needs {wants}.")


def _bare(value: float, quantity: Quantity, system: System) -> str:
    decimals = _DECIMALS.get((quantity, system), 0)
    digits = f"{round(from_si(value, quantity, system), decimals) + 0.0:.{decimals}f}"
    return digits.rstrip("0").rstrip(".") if decimals else digits


def _written(value: float, quantity: Quantity, system: System) -> str:
    return f"{_bare(value, quantity, system)} {UNITS[quantity, system].name}"
