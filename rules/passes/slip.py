"""A time slip, and what is asked back before a number on it is believed.

Bounds and shapes are common practice, no source, unless a line says otherwise. Times in seconds,
speeds in metres a second, distances in metres.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import pairwise
from math import isfinite
from typing import Literal

from rules.digits import Digits
from rules.passes.marks import SPOILING, Mark
from rules.units import FOOT_M, UNITS, Quantity, System
from rules.wording import plural

Lane = Literal["left", "right"]

BEAMS_M = {
    "sixty_s": 60 * FOOT_M,
    "three_thirty_s": 330 * FOOT_M,
    "eighth_s": 660 * FOOT_M,
    "thousand_s": 1000 * FOOT_M,
    "quarter_s": 1320 * FOOT_M,
}
SPEEDS_AT = {"eighth_speed_m_s": "eighth_s", "quarter_speed_m_s": "quarter_s"}
# A trap speed is the mean over the last 66 ft before the beam.
TRAP_M = 66 * FOOT_M
# Between which beams a time is held against what the setting ran before.
STRETCHES = {
    f"{early} to {late}": (early, late)
    for early, late in (
        ("sixty_s", "three_thirty_s"),
        ("sixty_s", "eighth_s"),
        ("three_thirty_s", "eighth_s"),
        ("eighth_s", "quarter_s"),
    )
}


@dataclass(frozen=True)
class Slip:
    """What the timing gives for one car; any number may be missing."""

    reaction_s: float | None = None
    sixty_s: float | None = None
    three_thirty_s: float | None = None
    eighth_s: float | None = None
    eighth_speed_m_s: float | None = None
    thousand_s: float | None = None
    quarter_s: float | None = None
    quarter_speed_m_s: float | None = None
    dial_in_s: float | None = None
    lane: Lane | None = None
    marks: frozenset[Mark] = frozenset()

    def times(self) -> dict[str, float]:
        """Return the elapsed times there are, in the order of the beams."""
        return {key: value for key in BEAMS_M if (value := getattr(self, key)) is not None}

    def stretch(self, key: str) -> float | None:
        """Return the time between the two beams of a stretch [s], where the slip has both."""
        early, late = (getattr(self, one) for one in STRETCHES[key])
        return None if early is None or late is None else round(late - early, 4)

    def numbers(self) -> dict[str, float]:
        """Return every number there is, by field."""
        return {key: value for key in FIELDS if (value := getattr(self, key)) is not None}


TIME = Digits()


@dataclass(frozen=True)
class SlipField:
    """A number of the slip, declared once for all who ask for it, read it or print it.

    name: in answers.  label: in sentences and tables.  line: on the slip as it is typed.
    possible, usual: where it can be and where it mostly is, in SI.  quantity: None for seconds.
    digits: how it is typed.
    """

    name: str
    label: str
    line: str
    possible: tuple[float, float]
    usual: tuple[float, float]
    quantity: Quantity | None = None
    digits: Digits = TIME

    def unit(self, system: System) -> str:
        """Return the printed unit."""
        return UNITS[self.quantity, system].name if self.quantity else "s"

    def size(self, system: System) -> float:
        """Return the crew's unit in SI."""
        return UNITS[self.quantity, system].si if self.quantity else 1.0


_LONG = partial(SlipField, digits=Digits(longer="12"))
_SPEED = partial(SlipField, quantity=Quantity.SPEED, digits=Digits(decimals=2, longer="12345"))
_SIGNED = Digits(signed=True)
# In the order of the slip; the dial-in is chalked on the car and comes after it.
FIELDS = {
    "reaction_s": SlipField(
        "reaction", "reaction", "Reaction", (-3.0, 20.0), (-0.3, 2.0), digits=_SIGNED
    ),
    "sixty_s": SlipField("sixty", "60-foot", "60 ft", (0.7, 10.0), (0.8, 3.5)),
    "three_thirty_s": SlipField("three_thirty", "330", "330 ft", (1.8, 25.0), (2.2, 9.0)),
    "eighth_s": _LONG("eighth", "eighth", "Eighth", (2.7, 40.0), (3.3, 13.0)),
    "eighth_speed_m_s": _SPEED(
        "eighth_speed", "eighth speed", "Eighth speed", (5.0, 150.0), (22.0, 110.0)
    ),
    "thousand_s": _LONG("thousand", "1000", "1000 ft", (3.3, 50.0), (3.6, 17.0)),
    "quarter_s": _LONG("quarter", "quarter", "Quarter", (3.9, 60.0), (4.3, 21.0)),
    "quarter_speed_m_s": _SPEED(
        "quarter_speed", "quarter speed", "Quarter speed", (5.0, 180.0), (27.0, 155.0)
    ),
    "dial_in_s": SlipField(
        "dial_in", "dial-in", "Dial-in", (2.7, 60.0), (3.3, 21.0), digits=Digits(2, 3, "12")
    ),
}
# Speed x time / distance: 1 at steady speed, 1.5 under constant power from rest (Fox, Am. J. Phys.
# 41, 311, 1973, from memory), 2 under constant acceleration; no car stays outside these.
SHAPE_LOW, SHAPE_HIGH = 1.1, 2.05
# How far a mean speed between beams may stand off the trap speeds around it.
SPEED_GIVE = 0.03


@dataclass(frozen=True)
class AskBack:
    """A number to be asked back. `impossible` is not stored as it stands; otherwise a yes does.

    `spoilt` says that a mark, lifted or spun, would explain it.
    """

    field: str
    found: float
    why: str
    offer: float | None = None
    impossible: bool = False
    spoilt: bool = False


@dataclass(frozen=True)
class Own:
    """What was run before: the middle of a number, how far is far, over how many passes.

    alike: on the same setting; else on others of the car.
    """

    middle: float
    far: float
    passes: int
    alike: bool = True

    @property
    def words(self) -> str:
        """Name the passes."""
        if self.alike:
            return f"the {plural(self.passes, 'pass')} of this setting"
        return f"the {plural(self.passes, 'pass')} before, on other settings"


@lru_cache(maxsize=4096)
def is_clean(slip: Slip) -> bool:
    """Tell whether a pass may enter the statistics: not spoilt, and nothing on it impossible."""
    impossible = any(one.impossible for check in (_bounds, _order) for one in check(slip))
    return not slip.marks & SPOILING and not impossible


def questions(slip: Slip, own: Mapping[str, Own] | None = None) -> list[AskBack]:
    """Return what to ask back, in the order of the slip, one question to a field.

    A slipped decimal is asked alone, because everything else follows from it.

    own: what this setting ran before, by field.
    """
    found = {one.field: one for one in _bounds(slip)}
    if not any(one.offer is not None for one in found.values()):
        for one in _order(slip):
            if one.field not in found or not found[one.field].impossible:
                found[one.field] = one
    if not found:
        own = own or {}
        for one in (*_shapes(slip), *_speeds(slip), *_far(slip, own), *_off_beside(slip, own)):
            found.setdefault(one.field, one)
    return [found[key] for key in FIELDS if key in found]


def _bounds(slip: Slip) -> Iterator[AskBack]:
    for key, value in slip.numbers().items():
        field = FIELDS[key]
        impossible = not isfinite(value) or not _within(value, field.possible)
        if impossible or not _within(value, field.usual):
            low, high = field.usual
            unit = "m/s" if field.quantity else "s"
            why = f"{field.label} {value:g}: usual is {low:g} to {high:g} {unit}"
            offer = _slipped_decimal(slip, key, value)
            if offer is not None:
                why = f"{field.label} {value:g} looks like a slipped decimal"
            yield AskBack(key, value, why, offer, impossible)


def _slipped_decimal(slip: Slip, key: str, value: float) -> float | None:
    """Return the value with its point moved, where just one place makes it usual and in order."""
    if key == "reaction_s" or not isfinite(value):
        return None
    field = FIELDS[key]
    fits = []
    for factor in (10.0, 100.0, 1000.0, 0.1, 0.01, 0.001):
        moved = round(value * factor, 4)
        tried = replace(slip, **{key: moved})  # type: ignore[arg-type]
        if _within(moved, field.usual) and not any(one.field == key for one in _order(tried)):
            fits.append(moved)
    return fits[0] if len(fits) == 1 else None


def _order(slip: Slip) -> Iterator[AskBack]:
    """Every beam is reached after the one before it."""
    times = slip.times()
    for (before, early), (after, late) in pairwise(times.items()):
        if late > early:
            continue
        swapped = replace(slip, **{before: late, after: early})  # type: ignore[arg-type]
        in_order = list(swapped.times().values())
        offer = early if all(a < b for a, b in pairwise(in_order)) else None
        why = f"{FIELDS[after].label} {late:.3f} is not after {FIELDS[before].label} {early:.3f}"
        if offer is not None:
            why += ": are the two swapped?"
        yield AskBack(after, late, why, offer, impossible=True)


def _shapes(slip: Slip) -> Iterator[AskBack]:
    """A speed at a beam against the time it took to get there."""
    if slip.marks & SPOILING:
        return
    for speed_key, time_key in SPEEDS_AT.items():
        speed, time = getattr(slip, speed_key), getattr(slip, time_key)
        if speed is None or time is None:
            continue
        shape = speed * time / BEAMS_M[time_key]
        if not SHAPE_LOW <= shape <= SHAPE_HIGH:
            way = "slow" if shape < SHAPE_LOW else "fast"
            why = f"{FIELDS[speed_key].label} is too {way} for {FIELDS[time_key].label} {time:g}"
            yield AskBack(speed_key, speed, why)


def _speeds(slip: Slip) -> Iterator[AskBack]:
    """Between beams a car under power goes no faster than at the later trap, and ever faster."""
    if slip.marks & SPOILING:
        return
    eighth, quarter = slip.eighth_speed_m_s, slip.quarter_speed_m_s
    if eighth is not None and quarter is not None and quarter < eighth:
        yield AskBack(
            "quarter_speed_m_s", quarter, "slower at the quarter than at the eighth: lifted?"
        )
    means = list(_mean_speeds(slip))
    for (_, slower), (key, faster) in pairwise(means):
        if faster < slower * (1.0 - SPEED_GIVE):
            yield AskBack(
                key,
                getattr(slip, key),
                f"slower on the way to {FIELDS[key].label} than before it: lifted, or a slip?",
            )
    for speed_key, time_key in SPEEDS_AT.items():
        trap = getattr(slip, speed_key)
        mean = dict(means).get(time_key)
        if trap is not None and mean is not None and mean > trap * (1.0 + SPEED_GIVE):
            yield AskBack(
                speed_key,
                trap,
                f"{FIELDS[speed_key].label} is below the mean speed on the way to it: lifted?",
            )
    for key, mean in means:
        if key in ("thousand_s", "quarter_s") and eighth and mean < eighth * (1.0 - SPEED_GIVE):
            yield AskBack(
                key,
                getattr(slip, key),
                f"slower on the way to {FIELDS[key].label} than at the eighth: lifted, or a slip?",
            )


def _far(slip: Slip, own: Mapping[str, Own]) -> Iterator[AskBack]:
    """A number far from what the same setting ran before; a spoilt pass owes it nothing."""
    if slip.marks & SPOILING:
        return
    for key, value in slip.numbers().items():
        before = own.get(key)
        if before is None or abs(value - before.middle) <= before.far:
            continue
        field = FIELDS[key]
        ran = f" ({before.middle:.3f})" if field.quantity is None else ""
        why = f"{field.label} {value:.3f} is far from {before.words}{ran}"
        yield AskBack(key, value, f"{why}: spun, lifted, or a slip of the finger?", spoilt=True)


def _off_beside(slip: Slip, own: Mapping[str, Own]) -> Iterator[AskBack]:
    """A time that does not go with the one at the next beam: a digit moves one, a slow launch both.

    Of the two the one is asked that is farther from what the setting ran before.
    """
    if slip.marks & SPOILING:
        return
    for key, (early, late) in STRETCHES.items():
        before, took = own.get(key), slip.stretch(key)
        if before is None or took is None or abs(took - before.middle) <= before.far:
            continue
        odd, beside = sorted((late, early), key=lambda one: _distance(slip, own, one), reverse=True)
        off = abs(took - before.middle)
        why = (
            f"{FIELDS[odd].label} {getattr(slip, odd):.3f} is {off:.3f} s off "
            f"beside the {FIELDS[beside].label}, by {before.words}"
        )
        found: float = getattr(slip, odd)
        yield AskBack(odd, found, f"{why}: a slip of the finger, or lifted?", spoilt=True)


def _distance(slip: Slip, own: Mapping[str, Own], key: str) -> float:
    """Return how far a time is from what its setting ran before, 1 at far; 0 where unknown."""
    before = own.get(key)
    return abs(getattr(slip, key) - before.middle) / before.far if before else 0.0


def _mean_speeds(slip: Slip) -> Iterator[tuple[str, float]]:
    """Mean speed over each stretch, by the beam it ends at."""
    here, then = 0.0, 0.0
    for key, time in slip.times().items():
        yield key, (BEAMS_M[key] - here) / (time - then)
        here, then = BEAMS_M[key], time


def _within(value: float, bounds: tuple[float, float]) -> bool:
    return bounds[0] <= value <= bounds[1]
