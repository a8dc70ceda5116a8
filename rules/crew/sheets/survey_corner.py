"""What the travel survey asks of one corner: its damper's lengths, wheel heights and spring."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from statistics import fmean
from typing import Literal, TypeVar

from rules.car.body import Axle
from rules.car.model import AxleEnd, Corner
from rules.crew.sheets.asking import length, quantity
from rules.crew.sheets.sheet import KEPT, Filling, SheetField
from rules.question import Given
from rules.shop.coil import Coil
from rules.shop.ratio import LEAST_HEIGHTS, MeasuredRatio, given_ratio, measured_ratio
from rules.shop.surveyed import CornerSurvey
from rules.shop.travel import Lengths
from rules.straight_line import straight
from rules.typed import Wanted, read
from rules.units import STANDARD_GRAVITY_M_S2, Quantity, System, show

_LENGTHS = {
    "ride": ("at ride height", 'In the car, eye to eye: "14 1/2 in" or "368 mm".'),
    "full bump": ("at full bump", "Metal-solid, not at the rubber's first touch."),
    "full droop": ("at full droop", "Hanging on limiter or stop."),
    "shortest": ("fully closed", "The damper by itself, or the maker's figure."),
    "longest": ("fully open", "The damper by itself, or the maker's figure."),
}
_DAMPER_ORDER = ("shortest", "full bump", "ride", "full droop", "longest")
# A damper that is the stop itself is as short or as long as it gets.
_MAY_BE_ALIKE = ({"shortest", "full bump"}, {"full droop", "longest"})
_COIL_ORDER = ("spring solid", "spring at ride", "spring free")
_COIL = {
    "at ride": ("length at ride height", "With the car down, between its seats."),
    "free": ("free length", "Unloaded, off the car."),
    "solid": ("solid length", "All coils touching: wire thickness times coils, or the maker's."),
}
Measured = TypeVar("Measured")
_PAIR = re.compile(r"\s+/\s+|\s*;\s*")
_CORNERS: dict[tuple[str, AxleEnd], Corner] = {
    ("left", "front"): "left front", ("right", "front"): "right front",
    ("left", "rear"): "left rear", ("right", "rear"): "right rear",
}  # fmt: skip
# Rows with a column for a spring off the damper are kept apart from those without.
_KEPT_APART = {2: "", 3: " with spring"}
# A row of another slope than this is more likely a slip of the tape; common practice, no source.
_SLOPE_WITHIN = 0.30


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


def length_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for a damper's lengths, eye to eye."""
    for key, (words, hint) in _LENGTHS.items():
        yield length(
            at.key(key), at.label(f"damper {words}"), low=0.05, high=1.5,
            question=f"{at.corner.capitalize()} damper: how long is it {words}?", hint=hint,
            fault=partial(_order_fault, now, at, _DAMPER_ORDER, key),
        )  # fmt: skip


def height_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for the lengths at each wheel height."""
    columns = _columns(now, at)
    what = "wheel / damper / spring" if columns == 3 else "wheel / damper"
    sample = '"-2 in / 15 1/4 in / 12 in"' if columns == 3 else '"-2 in / 15 1/4 in"'
    for number in range(1, LEAST_HEIGHTS + 1):
        yield SheetField(
            _row_key(at, number, columns), at.label(f"height {number}"),
            f"{at.corner.capitalize()}, height {number} of {LEAST_HEIGHTS}: {what}?", "text",
            hint=f"Wheel from ride height, up is plus, then the lengths there: {sample}.",
            fault=partial(_height_fault, now, at, number),
            doubt=partial(_height_doubt, now, at, number),
        )  # fmt: skip


def coil_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for a spring's lengths and its rate; a leaf has no lengths of a coil."""
    for key, (words, hint) in ({} if now.car.has_leaves(at.end) else _COIL).items():
        label = at.label(f"spring {words.removeprefix('length ')}")
        yield length(
            at.key(f"spring {key}"), label, low=0.02, high=1.0,
            question=f"{at.corner.capitalize()} spring: {words}?", hint=hint,
            fault=partial(_order_fault, now, at, _COIL_ORDER, f"spring {key}"),
        )  # fmt: skip
    yield quantity(
        at.key("spring rate"), at.label("spring rate"), Quantity.SPRING_RATE, 500.0, 1e6,
        hint="Of one spring, off its mark or a tester.", typical=f"{at.end}.spring_rate",
    )  # fmt: skip


def corner_of(
    now: Filling, at: Place, other: CornerSurvey | None = None
) -> tuple[CornerSurvey, tuple[str, ...]]:
    """Return what was measured at a corner, and what of it does not go together, in words.

    other: the axle's other side, whose measured ratios stand in where this side's heights were
    not measured; without it the car file's do. What does not go together is not measured.
    """
    misfits: list[str] = []
    damper, spring = _ratios(now, at, other, misfits)
    shafts = _fitting(lambda: _shafts(now, at), misfits)
    coil = _fitting(lambda: _coil(now, at, shafts, damper, spring), misfits)
    corner = CornerSurvey(shafts, damper, spring, coil, _carries(now, at, spring))
    return corner, tuple(f"{at.corner}, {one}" for one in dict.fromkeys(misfits))


def _fitting(measured: Callable[[], Measured | None], misfits: list[str]) -> Measured | None:
    """Return what was measured; where it does not go together nothing, and say why."""
    try:
        return measured()
    except ValueError as error:
        misfits.append(str(error))
        return None


def _ratios(
    now: Filling, at: Place, other: CornerSurvey | None, misfits: list[str]
) -> tuple[MeasuredRatio | None, MeasuredRatio | None]:
    """Return the damper's and the spring's ratio.

    The damper's own lengths hold wherever the spring sits: rows of the other width stand in for
    it as long as there are not enough of the width that is asked now.
    """
    columns = _columns(now, at)
    rows, others = (_rows(now, at, width) for width in (columns, 5 - columns))
    if len(rows) >= LEAST_HEIGHTS:
        damper = _fitting(lambda: _ratio(rows, 1), misfits)
    else:
        damper = _fitting(lambda: _ratio(others, 1), [])
    spring = None if now.car.has_leaves(at.end) else damper
    if columns == 3:
        spring = _fitting(lambda: _ratio(rows, 2), misfits)
    if damper is not None and spring is not None:
        return damper, spring
    stands_in = _of_other_side(other) if other is not None else _of_file(now, at, columns)
    return damper or stands_in[0], spring or stands_in[1]


def _ratio(rows: Mapping[int, tuple[float, ...]], column: int) -> MeasuredRatio | None:
    """Return the ratio by one column of rows; None while there are too few of them."""
    if len(rows) < LEAST_HEIGHTS:
        return None
    return measured_ratio([(row[0], row[column]) for row in rows.values()])


def _of_other_side(other: CornerSurvey) -> tuple[MeasuredRatio | None, MeasuredRatio | None]:
    return _as_given(other.damper_ratio), _as_given(other.spring_ratio)


def _of_file(
    now: Filling, at: Place, columns: int
) -> tuple[MeasuredRatio | None, MeasuredRatio | None]:
    """Return the ratios of the car file; none of a spring off the damper that it tells none of."""
    axle: Axle = getattr(now.car, at.end)
    spring = axle.spring_motion_ratio if columns == 3 else now.car.spring_seat(at.end)[1]
    of_damper, of_spring = (
        None if one is None else given_ratio(one) for one in (axle.damper_ratio, spring)
    )
    return of_damper, of_spring


def _as_given(ratio: MeasuredRatio | None) -> MeasuredRatio | None:
    return None if ratio is None else replace(ratio, error=None, local=())


def _shafts(now: Filling, at: Place) -> Lengths | None:
    lengths = {key: now.si(at.key(key), Quantity.LENGTH) for key in _LENGTHS}
    ride = lengths.pop("ride")
    named = {key.replace(" ", "_"): value for key, value in lengths.items()}
    return Lengths(ride, **named) if ride is not None else None


def _coil(
    now: Filling, at: Place, shafts: Lengths | None, damper: MeasuredRatio | None,
    spring: MeasuredRatio | None,
) -> Coil | None:  # fmt: skip
    at_ride = now.si(at.key("spring at ride"), Quantity.LENGTH)
    if at_ride is None:
        return None
    share = 1.0
    if damper is not None and spring is not None:
        share = spring.ratio / damper.ratio
    bump, droop = (shafts.bump, shafts.droop) if shafts else (None, None)
    return Coil(
        at_ride,
        free=now.si(at.key("spring free"), Quantity.LENGTH),
        solid=now.si(at.key("spring solid"), Quantity.LENGTH),
        rate=now.si(at.key("spring rate"), Quantity.SPRING_RATE),
        bump=None if bump is None else bump * share,
        droop=None if droop is None else droop * share,
    )


def _carries(now: Filling, at: Place, spring: MeasuredRatio | None) -> float | None:
    """Return what one spring carries by the scales: its corner's sprung weight, over MR [N].

    Half the axle's unsprung mass is each side's; where the right stands as the left, so is half of
    what both carry.
    """
    masses = now.car.masses
    alike = right_side(now, at.end) == "as left"
    sides = ("left", "right") if alike else (at.side,)
    on_scales = [getattr(masses, f"{side}_{at.end}_kg") for side in sides]
    unsprung = getattr(masses, f"{at.end}_unsprung_kg")
    if spring is None or None in on_scales or unsprung is None:
        return None
    sprung = float(fmean(on_scales) - unsprung / 2.0)
    return sprung * STANDARD_GRAVITY_M_S2 / spring.at_ride if sprung > 0.0 else None


def _columns(now: Filling, at: Place) -> int:
    """Return how many lengths a row has: three where a coil is off the damper."""
    if now.car.has_leaves(at.end):
        return 2
    return 3 if now.said(f"{at.end} coil-over") == "no" else 2


def _row_key(at: Place, number: int, columns: int) -> str:
    return at.key(f"height {number}{_KEPT_APART[columns]}")


def _rows(now: Filling, at: Place, columns: int) -> dict[int, tuple[float, ...]]:
    """Return the rows by their number: wheel height, damper's and spring's length there [m].

    A row that cannot be read, or of another width, is not measured.
    """
    rows = {}
    for number in range(1, LEAST_HEIGHTS + 1):
        row = _row(now.said(_row_key(at, number, columns)), now.system)
        if len(row) == columns:
            rows[number] = row
    return rows


@lru_cache(maxsize=256)
def _row(typed: str, system: System) -> tuple[float, ...]:
    """Return the lengths of a row; none where it cannot be read."""
    try:
        return _height(typed, system)
    except ValueError:
        return ()


def _height(typed: str, system: System) -> tuple[float, ...]:
    wheel, *lengths = _PAIR.split(typed.strip())
    first = read(wheel, Wanted("wheel height", Quantity.LENGTH, -0.6, 0.6), system)
    others = [read(one, Wanted("length", Quantity.LENGTH, 0.02, 1.5), system) for one in lengths]
    values = [first, *others]
    if any(value is None for value in values):
        raise ValueError(f"found {typed!r}; wanted every length")
    return tuple(float(value or 0.0) for value in values)


def _order_fault(now: Filling, at: Place, order: tuple[str, ...], key: str, value: Given) -> str:
    """Say that a length is on the wrong side of one that was said before."""
    typed = read(str(value), Wanted(key, Quantity.LENGTH), now.system)
    place = order.index(key)
    for rank, other in enumerate(order):
        said = now.si(at.key(other), Quantity.LENGTH)
        if said is None or typed is None or rank == place:
            continue
        if typed == said and {key, other} in _MAY_BE_ALIKE:
            continue
        if typed == said or (typed > said) != (place > rank):
            side = "more" if place > rank else "less"
            words = show(said, Quantity.LENGTH, now.system)
            return f"found {value}; wanted {side} than {other.removeprefix('spring ')}, {words}"
    return ""


def _height_fault(now: Filling, at: Place, number: int, value: Given) -> str:
    """Say that a row of lengths is none, or does not shorten as the wheel goes up."""
    columns = _columns(now, at)
    wanted = "wheel / damper / spring" if columns == 3 else "wheel / damper"
    try:
        values = _height(str(value), now.system)
    except ValueError as error:
        return str(error)
    if len(values) != columns:
        return f"found {len(values)} lengths; wanted {wanted}, with blanks round each /"
    for row in _before(now, at, number):
        for before, after in zip(row[1:], values[1:], strict=True):
            if row[0] == values[0] or (after < before) != (values[0] > row[0]):
                height = show(row[0], Quantity.LENGTH, now.system)
                return f"found {value}; wanted shorter with the wheel higher, against {height}"
    return ""


def _height_doubt(now: Filling, at: Place, number: int, value: Given) -> str:
    """Doubt a row whose slope against the row before is far off the slope of the rows so far."""
    rows, values = _before(now, at, number), _row(str(value), now.system)
    wheels = [row[0] for row in rows]
    columns = _columns(now, at)
    if len(values) != columns or len(rows) < 2 or len({*wheels, values[0]}) <= len(rows):
        return ""
    for what, column in (("damper", 1), ("spring", 2))[: columns - 1]:
        so_far = -straight(wheels, [row[column] for row in rows]).slope
        here = (rows[-1][column] - values[column]) / (values[0] - wheels[-1])
        if abs(here - so_far) > _SLOPE_WITHIN * so_far:
            return (
                f"From the row before, the {what} moves {here:.2f} for 1 of wheel; in the rows so "
                f"far {so_far:.2f}. One of them may be a slip of the tape."
            )
    return ""


def _before(now: Filling, at: Place, number: int) -> list[tuple[float, ...]]:
    rows = _rows(now, at, _columns(now, at))
    return [row for other, row in rows.items() if other < number]
