"""Questions that several sheets of the shop ask alike."""

from collections.abc import Callable
from math import inf

from rules.car.usual import FACTS, TYPICAL, typically
from rules.crew.sheets.sheet import SheetField
from rules.question import Choice, Given
from rules.typed import Wanted
from rules.units import Quantity
from rules.wording import capital

YES_NO = (Choice("yes", "Yes"), Choice("no", "No"))


def quantity(
    key: str, label: str, what: Quantity | None, low: float, high: float = inf, *,
    question: str = "", hint: str = "", typical: str = "", unit: str = "", unknown: bool = True,
    fault: Callable[[Given], str] = lambda value: "",
    doubt: Callable[[Given], str] = lambda value: "", stage: str = "", other: str = "",
) -> SheetField:  # fmt: skip
    """Ask for a number with its unit. low, high: SI.  typical: key of its usual range."""
    usual = typically(typical)
    texts = [hint, f"{capital(usual)}." if usual else ""]
    return SheetField(
        key,
        label,
        question or f"{label}?",
        wanted=Wanted(label, what, low, high, unit),
        hint=" ".join(text for text in texts if text),
        unknown=unknown,
        fault=fault,
        typical=typical,
        doubt=doubt,
        stage=stage,
        other=other,
    )


def weight(
    key: str, label: str, *, question: str = "", hint: str = "", typical: str = "",
    low: float = 20.0, high: float = 2500.0, fault: Callable[[Given], str] = lambda value: "",
) -> SheetField:  # fmt: skip
    """Ask for a weight; of one wheel or axle, if no bounds are given."""
    return quantity(
        key, label, Quantity.MASS, low, high,
        question=question, hint=hint, typical=typical, fault=fault,
    )  # fmt: skip


def length(
    key: str, label: str, *, question: str = "", hint: str = "", typical: str = "",
    low: float = 0.001, high: float = 10.0, fault: Callable[[Given], str] = lambda value: "",
    doubt: Callable[[Given], str] = lambda value: "", stage: str = "", other: str = "",
) -> SheetField:  # fmt: skip
    """Ask for a length."""
    return quantity(
        key, label, Quantity.LENGTH, low, high, question=question, hint=hint, typical=typical,
        fault=fault, doubt=doubt, stage=stage, other=other,
    )  # fmt: skip


def asked(key: str) -> tuple[float, float]:
    """Return within what a form takes a number of the car file, in SI."""
    return FACTS[key].asked or (-inf, inf)


def name_of(key: str) -> str:
    """Name a value of the car file: in words where there are any."""
    return TYPICAL[key].name if key in TYPICAL else key.replace(".", " ").replace("_", " ")
