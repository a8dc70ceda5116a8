"""What the shop finds, told the same way everywhere: a number, how serious it is, and words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from rules.units import Quantity

Level = Literal["ok", "look", "stop", "unknown"]

GRAVEST_FIRST: tuple[Level, ...] = ("stop", "look", "unknown", "ok")
WORDS: dict[Level, str] = {"stop": "STOP", "look": "LOOK", "unknown": "open", "ok": "ok"}


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
