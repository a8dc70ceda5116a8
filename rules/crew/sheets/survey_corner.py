"""What the travel survey asks of one corner: its damper's lengths, wheel heights and spring."""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from statistics import fmean
from typing import TypeVar

from rules.car.body import Axle
from rules.car.model import LEAF_RATIO
from rules.crew.sheets.asking import length, quantity
from rules.crew.sheets.sheet import Filling, SheetField
from rules.crew.sheets.survey_leaf import leaf_of, leaf_side_fields
from rules.crew.sheets.survey_place import DOWN, OUT, Place, right_side
from rules.crew.sheets.survey_rows import (
    LONGEST_M,
    SHORTEST_M,
    columns_of,
    height_fields,
    rows_of,
)
from rules.question import Given
from rules.replaced import replace
from rules.shop.coil import Coil
from rules.shop.ratio import LEAST_HEIGHTS, MeasuredRatio, given_ratio, measured_ratio
from rules.shop.surveyed import CornerSurvey
from rules.shop.travel import Lengths
from rules.typed import Wanted, read
from rules.units import STANDARD_GRAVITY_M_S2, Quantity, show

_LENGTHS = {
    "ride": ("at ride height", 'Eye to eye: "{14 1/2 in|368 mm}".'),
    "shortest": ("fully closed", "The damper by itself, or the maker's figure."),
    "longest": ("fully open", "The damper by itself, or the maker's figure."),
    "full bump": ("at full bump", "Metal-solid, not at the rubber's first touch."),
    "full droop": ("at full droop", "Hanging on limiter or stop."),
}
_DAMPER_ORDER = ("shortest", "full bump", "ride", "full droop", "longest")
# A damper that is the stop itself is as short or as long as it gets.
_MAY_BE_ALIKE = ({"shortest", "full bump"}, {"full droop", "longest"})
_COIL_ORDER = ("spring solid", "spring at ride", "spring free")
_COIL = {
    "at ride": ("length at ride height", "Between its seats, before it comes out."),
    "free": ("free length", "Unloaded, off the car."),
    "solid": ("solid length", "All coils touching: wire thickness times coils, or the maker's."),
}
Measured = TypeVar("Measured")


def as_raced_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for what is measured with nothing apart: lengths at ride height, a leaf's rate."""
    yield _damper_length(now, at, "ride")
    if now.car.has_leaves(at.end):
        yield from leaf_side_fields(now, at)
    else:
        yield _coil_length(now, at, "at ride")


def springs_out_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for a coil off the car, then the damper through its travel, then the rows."""
    if not now.car.has_leaves(at.end):
        for key in ("free", "solid"):
            yield _coil_length(now, at, key)
        yield quantity(
            at.key("spring rate"), at.label("spring rate"), Quantity.SPRING_RATE, 500.0, 1e6,
            hint="Of one spring, off its mark or a tester.", typical=f"{at.end}.spring_rate",
            stage=OUT, other=at.other("spring rate"),
        )  # fmt: skip
    for key in ("shortest", "longest", "full bump", "full droop"):
        yield _damper_length(now, at, key)
    yield from height_fields(now, at)


def _damper_length(now: Filling, at: Place, key: str) -> SheetField:
    words, hint = _LENGTHS[key]
    asked = length(
        at.key(key), at.label(f"damper {words}"), low=SHORTEST_M, high=LONGEST_M,
        question=f"{at.corner.capitalize()} damper: how long is it {words}?",
        typical="survey.damper_length", fault=partial(_damper_fault, now, at, key),
        stage=DOWN if key == "ride" else OUT, other=at.other(key),
    )  # fmt: skip
    # What is usual doubts a slip of the pen; said at every length it would hide the hint.
    return replace(asked, hint=hint)


def _coil_length(now: Filling, at: Place, key: str) -> SheetField:
    words, hint = _COIL[key]
    return length(
        at.key(f"spring {key}"), at.label(f"spring {words.removeprefix('length ')}"),
        question=f"{at.corner.capitalize()} spring: {words}?", hint=hint, low=0.02, high=1.0,
        fault=partial(_order_fault, now, at, _COIL_ORDER, f"spring {key}"),
        stage=DOWN if key == "at ride" else OUT, other=at.other(f"spring {key}"),
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
    carries = _carries(now, at, spring)
    if now.car.has_leaves(at.end):
        corner = CornerSurvey(shafts, damper, spring, None, carries, leaf=leaf_of(now, at))
    else:
        coil = _fitting(lambda: _coil(now, at, shafts, damper, spring), misfits)
        corner = CornerSurvey(shafts, damper, spring, coil, carries)
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
    columns = columns_of(now, at)
    rows, others = (rows_of(now, at, width) for width in (columns, 5 - columns))
    if len(rows) >= LEAST_HEIGHTS:
        damper = _fitting(lambda: _ratio(rows, 1), misfits)
    else:
        damper = _fitting(lambda: _ratio(others, 1), [])
    spring = given_ratio(LEAF_RATIO) if now.car.has_leaves(at.end) else damper
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


def _damper_fault(now: Filling, at: Place, key: str, value: Given) -> str:
    """Say that a damper's length is out of order, or longer open than a shaft can reach."""
    if words := _order_fault(now, at, _DAMPER_ORDER, key, value):
        return words
    typed = read(str(value), Wanted(key, Quantity.LENGTH), now.system)
    closed, opened = (
        typed if key == one else now.si(at.key(one), Quantity.LENGTH)
        for one in ("shortest", "longest")
    )
    if key not in ("shortest", "longest") or closed is None or opened is None:
        return ""
    if opened < 2.0 * closed:
        return ""
    told = show(opened, Quantity.LENGTH, now.system), show(closed, Quantity.LENGTH, now.system)
    return f"found {told[0]} open and {told[1]} closed; wanted less than twice as long open"
