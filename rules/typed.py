"""What a crew types, read into SI: either unit by its suffix, fractions, feet and inches."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import inf, isfinite

from rules.faults import Fault
from rules.units import (
    FOOT_M,
    INCH_M,
    POUND_FORCE_N,
    POUND_KG,
    PSI_PA,
    STANDARD_GRAVITY_M_S2,
    UNITS,
    Quantity,
    System,
    from_si,
    plain,
)

LONGEST = 40
_DONT_KNOW = frozenset(
    {"don't know", "dont know", "do not know", "not known", "unknown", "no idea", "dk", "?"}
)
_PER_INCH = POUND_FORCE_N / INCH_M
_PER_MM = STANDARD_GRAVITY_M_S2 / 0.001
# Names that crews write, without blanks and in small letters, beside the printed ones.
_SUFFIXES: dict[Quantity, dict[str, float]] = {
    Quantity.LENGTH: {'"': INCH_M, "inch": INCH_M, "inches": INCH_M, "ins": INCH_M}
    | {"'": FOOT_M, "ft": FOOT_M, "foot": FOOT_M, "feet": FOOT_M, "cm": 0.01, "m": 1.0},
    Quantity.MASS: {"lbs": POUND_KG, "pound": POUND_KG, "pounds": POUND_KG, "kgs": 1.0},
    Quantity.SPRING_RATE: {"lbs/in": _PER_INCH, "lbf/in": _PER_INCH, "lb/inch": _PER_INCH}
    | {"lbs/inch": _PER_INCH, "kn/m": 1000.0, "n/m": 1.0, "kg/mm": _PER_MM, "kgf/mm": _PER_MM},
    Quantity.PRESSURE: {"lb/in2": PSI_PA, "bar": 1e5, "pa": 1.0},
    Quantity.INERTIA: {"lbft2": POUND_KG * FOOT_M**2, "kgm2": 1.0},
    Quantity.FORCE: {"lbs": POUND_FORCE_N, "lbf": POUND_FORCE_N, "kn": 1000.0},
    Quantity.POWER: {"w": 1.0},
    Quantity.PISTON_SPEED: {"m/s": 1.0, "cm/s": 0.01, "ft/s": FOOT_M},
}
_NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)*[.,]?|[.,][0-9]+)(?:e[+-]?[0-9]{1,3})?"
_FRACTION = r"(?:[0-9]+[ -]+)?[0-9]+ ?/ ?[0-9]+"
_AMOUNT = rf"{_FRACTION}|{_NUMBER}"
_PLAIN = re.compile(rf"(?P<sign>[+-]?) ?(?P<amount>{_AMOUNT}) ?(?P<unit>[a-z'\"%/][a-z0-9 /]*)?")
_FEET_INCHES = re.compile(
    rf"(?P<sign>[+-]?) ?(?P<feet>{_AMOUNT}) ?(?:'|ft|foot|feet)[ -]?"
    rf"(?P<inches>{_AMOUNT}) ?(?:\"|in|ins|inch|inches)?"
)
# Two digits of an exponent are more than any number of marks needs.
_PART = re.compile(
    r"[+-]?(?:[0-9]+/[0-9]+|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:e[+-]?[0-9]{1,2})?)", re.IGNORECASE
)
_AS_TYPED = str.maketrans({"’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "″": '"', "−": "-"})

OR_UNKNOWN = ", or don't know"
"""The end of what is wanted of a number; it is no answer where a number is needed."""


class UnreadableError(ValueError):
    """A typed value that cannot be used; `fault` names the field, what was found, what wanted."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


@dataclass(frozen=True)
class Wanted:
    """What a field takes.

    name: the field, as the crew reads it.  quantity: None for a plain number.
    low, high: bounds, in SI.  unit: the name of a plain number's unit, as "deg".
    """

    name: str
    quantity: Quantity | None = None
    low: float = -inf
    high: float = inf
    unit: str = ""

    @property
    def unbounded(self) -> "Wanted":
        """The same without bounds."""
        return Wanted(self.name, self.quantity, unit=self.unit)


@lru_cache(maxsize=4096)
def read(text: str, wanted: Wanted, system: System) -> float | None:
    """Return what was typed, in SI, or None for "don't know".

    Without a suffix the number is in the unit of `system`. A comma is a decimal sign; before
    exactly three digits it may be a thousands sign as well, and is taken only where the bounds
    leave one reading.

    Raises:
        UnreadableError: not a number, a unit of something else, out of bounds, or two readings.
    """
    typed = " ".join(text.translate(_AS_TYPED).replace("''", '"').lower().split())
    if typed in _DONT_KNOW:
        return None
    if len(typed) > LONGEST:
        raise _unreadable(wanted, f"{text[:LONGEST]!a} and more", system)
    readings = _readings(typed, wanted, system) if typed else ()
    if not readings or not all(isfinite(one) for one in readings):
        raise _unreadable(wanted, ascii(text) if typed else "nothing", system)
    within = [one for one in readings if _within(one, wanted)]
    if len(within) > 1:
        ways = " or ".join(written(one, wanted, system) for one in within)
        raise UnreadableError(Fault(wanted.name, f"{text!a}, which reads two ways", ways))
    if not within:
        raise _unreadable(wanted, ascii(text), system)
    return within[0]


def amount(parts: Sequence[str]) -> Fraction:
    """Return marks of a knob as somebody wrote them, its parts added: 12, 0.25, 3/8, 1 and 1/2.

    Raises:
        ValueError: it is no number, or more than any knob has.
    """
    if not parts or sum(map(len, parts)) > LONGEST or not all(map(_PART.fullmatch, parts)):
        raise ValueError(f"found {' '.join(parts)[:LONGEST]!a}; wanted a number")
    try:
        return sum(map(Fraction, parts), Fraction(0))
    except ZeroDivisionError:
        raise ValueError("found a fraction over 0; wanted a number") from None


def written(value: float, wanted: Wanted, system: System) -> str:
    """Write an SI value in the crew's unit to six figures, never with an exponent.

    `read` takes it back; `rules.units.show` rounds to four figures and is meant for texts.
    """
    digits = f"{float(f'{_bare(value, wanted, system):.6g}'):.12f}".rstrip("0").rstrip(".")
    unit = UNITS[wanted.quantity, system].name if wanted.quantity else wanted.unit
    return f"{digits} {unit}".strip()


def _bare(value: float, wanted: Wanted, system: System) -> float:
    return from_si(value, wanted.quantity, system) if wanted.quantity else value


def _within(value: float, wanted: Wanted) -> bool:
    """Tell whether a value is within bounds, up to the rounding of a unit's factor."""
    slack = 1e-9 * abs(value)
    return wanted.low - slack <= value <= wanted.high + slack


def _readings(typed: str, wanted: Wanted, system: System) -> tuple[float, ...]:
    if wanted.quantity is Quantity.LENGTH and (both := _FEET_INCHES.fullmatch(typed)):
        sign = -1.0 if both["sign"] == "-" else 1.0
        return tuple(
            sign * (feet * FOOT_M + inches * INCH_M)
            for feet in _amounts(both["feet"])
            for inches in _amounts(both["inches"])
        )
    plain = _PLAIN.fullmatch(typed)
    if plain is None:
        return ()
    size = _size((plain["unit"] or "").replace(" ", ""), wanted, system)
    sign = -1.0 if plain["sign"] == "-" else 1.0
    return () if size is None else tuple(sign * one * size for one in _amounts(plain["amount"]))


def _size(unit: str, wanted: Wanted, system: System) -> float | None:
    """Return the SI size of a suffix; None for one that measures something else."""
    if wanted.quantity is None:
        plain = {"", wanted.unit, f"{wanted.unit}s"} | (
            {"deg", "degs", "degree", "degrees"} if wanted.unit == "deg" else set()
        )
        return 1.0 if unit in plain else None
    if not unit:
        return UNITS[wanted.quantity, system].si
    for either in ("us", "metric"):
        printed = UNITS[wanted.quantity, either]
        if unit == printed.name.lower().replace(" ", ""):
            return printed.si
    return _SUFFIXES[wanted.quantity].get(unit)


def _amounts(text: str) -> tuple[float, ...]:
    """Return every way to read an amount: none, one, or two where a comma leaves it open."""
    if "/" not in text:
        return _numbers(text)
    before, under = text.rsplit("/", 1)
    *whole, over = re.split(r"[ -]+", before.strip())
    if float(under) == 0.0:
        return ()
    return (sum(float(one) for one in whole) + float(over) / float(under),)


def _numbers(text: str) -> tuple[float, ...]:
    digits, e, power = text.partition("e")
    exponent = f"{e}{power}"
    signs = [one for one in digits if one in ".,"]
    if not signs or signs == ["."]:
        return (float(digits + exponent),)
    *groups, last = re.split(r"[.,]", digits)
    in_thousands = (
        groups[0][:1] not in ("", "0")
        and len(groups[0]) <= 3
        and all(len(one) == 3 for one in groups[1:])
    )
    decimal = float("".join(groups) + "." + (last or "0") + exponent)
    thousands = float("".join(groups) + (last or "0") + exponent)
    if len(signs) == 1:
        return (decimal, thousands) if in_thousands and len(last) == 3 else (decimal,)
    if not in_thousands or len(set(signs[:-1])) != 1:
        return ()
    if signs[-1] != signs[0]:
        return (decimal,)
    return (thousands,) if len(last) == 3 else ()


def _unreadable(wanted: Wanted, found: str, system: System) -> UnreadableError:
    return UnreadableError(Fault(wanted.name, found, f"{_range(wanted, system)}{OR_UNKNOWN}"))


def _range(wanted: Wanted, system: System) -> str:
    other: System = "metric" if system == "us" else "us"
    systems = (system, other) if wanted.quantity else (system,)
    spans = dict.fromkeys(_span(wanted, one) for one in systems)
    return f"a number {' or '.join(spans)}".rstrip()


def _span(wanted: Wanted, system: System) -> str:
    unit = UNITS[wanted.quantity, system].name if wanted.quantity else wanted.unit
    bounds = [
        f"{word} {plain(_bare(end, wanted, system))}"
        for word, end in (("from", wanted.low), ("to", wanted.high))
        if isfinite(end)
    ]
    return " ".join([*bounds, unit] if bounds or not unit else ["in", unit]).strip()
