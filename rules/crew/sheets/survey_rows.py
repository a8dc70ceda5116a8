"""The survey's rows of wheel height and lengths: asked, read, refused and doubted."""

import re
from collections.abc import Iterator
from functools import lru_cache, partial

from rules.crew.sheets.sheet import KEEP, KEPT, Filling, SheetField
from rules.crew.sheets.survey_place import OUT, Place
from rules.question import Given
from rules.shop.odd_rows import odd_row
from rules.shop.ratio import LEAST_HEIGHTS, LIKELY
from rules.straight_line import parabola, straight
from rules.typed import Wanted, read
from rules.units import INCH_M, Quantity, System, show

SHORTEST_M, LONGEST_M = 0.1, 1.0
"""Between which a damper of a car is long, eye to eye; common practice, no source."""
_SPRING_M = (0.02, 1.0)
# A length told twice, its wheel found again by a mark: odd over the first, contradicted over the
# second; common practice, no source.
_SAME_M, _OTHER_M = INCH_M / 4, INCH_M / 2
# Nearer to ride height than this, a row says nothing of a slope.
_AT_RIDE_M = INCH_M / 4
_PAIR = re.compile(r"\s+/\s+|\s*;\s*")
# Rows with a column for a spring off the damper are kept apart from those without.
_KEPT_APART = {2: "", 3: " with spring"}
# A row of another slope than this is more likely a slip of the tape; common practice, no source.
_SLOPE_WITHIN = 0.30
_SAMPLES = {
    2: '"{-2 in / 15 1/4 in|-50 mm / 387 mm}"',
    3: '"{-2 in / 15 1/4 in / 12 in|-50 mm / 387 mm / 305 mm}"',
}
_COLUMNS = (("damper", "ride", 1), ("spring", "spring at ride", 2))
_WIDTHS = {2: "wheel / damper", 3: "wheel / damper / spring"}


def height_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for the lengths at each wheel height."""
    columns = columns_of(now, at)
    for number in range(1, LEAST_HEIGHTS + 1):
        yield SheetField(
            _row_key(at, number, columns), at.label(f"height {number}"),
            f"{at.corner.capitalize()}, height {number} of {LEAST_HEIGHTS}: {_WIDTHS[columns]}?",
            "text", stage=OUT, other=at.other(f"height {number}{_KEPT_APART[columns]}"),
            hint=f"Wheel from ride height, up is plus, then the lengths: {_SAMPLES[columns]}.",
            fault=partial(_height_fault, now, at, number),
            doubt=partial(_height_doubt, now, at, number),
        )  # fmt: skip


def columns_of(now: Filling, at: Place) -> int:
    """Return how many lengths a row has: three where a coil is off the damper."""
    if now.car.has_leaves(at.end):
        return 2
    return 3 if now.said(f"{at.end} coil-over") == "no" else 2


def rows_of(now: Filling, at: Place, columns: int) -> dict[int, tuple[float, ...]]:
    """Return the rows by their number: wheel height, damper's and spring's length there [m].

    A row that cannot be read, or of another width, is not measured.
    """
    rows = {}
    for number in range(1, LEAST_HEIGHTS + 1):
        row = _row(now.said(_row_key(at, number, columns)), now.system)
        if len(row) == columns:
            rows[number] = row
    return rows


def _row_key(at: Place, number: int, columns: int) -> str:
    return at.key(f"height {number}{_KEPT_APART[columns]}")


@lru_cache(maxsize=256)
def _row(typed: str, system: System) -> tuple[float, ...]:
    """Return the lengths of a row; none where it cannot be read."""
    try:
        return _height(typed, system)
    except ValueError:
        return ()


def _height(typed: str, system: System) -> tuple[float, ...]:
    wheel, *lengths = _PAIR.split(typed.strip())
    values = [read(wheel, Wanted("wheel height", Quantity.LENGTH, -0.6, 0.6), system)]
    for place, one in enumerate(lengths):
        name, low, high = (
            ("damper", SHORTEST_M, LONGEST_M) if place == 0 else ("spring", *_SPRING_M)
        )
        values.append(read(one, Wanted(f"{name} length", Quantity.LENGTH, low, high), system))
    if any(value is None for value in values):
        raise ValueError(f"found {typed!r}; wanted every length")
    return tuple(float(value or 0.0) for value in values)


def _height_fault(now: Filling, at: Place, number: int, value: Given) -> str:
    """Say that a row of lengths is none, or contradicts what else was said of the corner."""
    columns = columns_of(now, at)
    try:
        values = _height(str(value), now.system)
    except ValueError as error:
        return str(error)
    if len(values) != columns:
        return f"found {len(values)} lengths; wanted {_WIDTHS[columns]}, with blanks round each /"
    for row in _before(now, at, number):
        for before, after in zip(row[1:], values[1:], strict=True):
            if row[0] == values[0] or (after < before) != (values[0] > row[0]):
                height = show(row[0], Quantity.LENGTH, now.system)
                return f"found {value}; wanted shorter with the wheel higher, against {height}"
    for name, key, column in _COLUMNS[: columns - 1]:
        ride = now.si(at.key(key), Quantity.LENGTH)
        if ride is not None and (
            words := _against_ride(now, name, ride, values[0], values[column])
        ):
            return words
    return _beyond(now, at, values[1]) or _one_sided(now, at, number, values[0])


def _against_ride(now: Filling, name: str, ride: float, wheel: float, length: float) -> str:
    """Say that a row contradicts the length at ride height."""
    told = show(ride, Quantity.LENGTH, now.system)
    found = f"found {show(length, Quantity.LENGTH, now.system)} of {name}"
    if abs(wheel) < 0.0005:
        if abs(length - ride) <= _OTHER_M:
            return ""
        return f"{found} with the wheel at ride height; wanted {told}, as said at ride height"
    shorter = wheel > 0.0
    if (length - ride) * (-1.0 if shorter else 1.0) >= -_SAME_M:
        return ""
    side = "less" if shorter else "more"
    where = "above" if shorter else "below"
    return f"{found} with the wheel {where} ride height; wanted {side} than at ride height, {told}"


def _beyond(now: Filling, at: Place, damper: float) -> str:
    """Say that a row lies beyond the damper's length at full bump or full droop."""
    for key, way in (("full bump", 1.0), ("full droop", -1.0)):
        end = now.si(at.key(key), Quantity.LENGTH)
        if end is None or (end - damper) * way <= _SAME_M:
            continue
        told, found = (show(one, Quantity.LENGTH, now.system) for one in (end, damper))
        side = "at least" if way > 0.0 else "at most"
        return f"found {found} of damper; wanted {side} its length at {key}, {told}"
    return ""


def _one_sided(now: Filling, at: Place, number: int, wheel: float) -> str:
    """Say that no row is on the other side of ride height, once the last one is there."""
    wheels = [wheel, *(row[0] for row in _before(now, at, number))]
    if number < LEAST_HEIGHTS or len(wheels) < LEAST_HEIGHTS or min(wheels) < 0.0 < max(wheels):
        return ""
    side, other = ("below", "above") if max(wheels) <= 0.0 else ("above", "below")
    return f"found every height at or {side} ride height; wanted one {other} it as well"


def _height_doubt(now: Filling, at: Place, number: int, value: Given) -> str:
    """Doubt a row that is off what all others say, off the slope so far, or off ride height."""
    rows, values = _before(now, at, number), _row(str(value), now.system)
    columns = columns_of(now, at)
    if len(values) != columns or values[0] in [row[0] for row in rows]:
        return ""
    for name, key, column in _COLUMNS[: columns - 1]:
        ride = now.si(at.key(key), Quantity.LENGTH)
        pairs = [(row[0], row[column]) for row in rows]
        here = (values[0], values[column])
        words = (
            (_odd(now, at, name, [*pairs, here]) if len(rows) == LEAST_HEIGHTS - 1 else "")
            or (_off_slope(name, pairs, here) if 2 <= len(rows) < LEAST_HEIGHTS - 1 else "")
            or _off_ride(now, name, ride, here)
        )
        if words:
            return words
    return ""


def _off_ride(now: Filling, name: str, ride: float | None, here: tuple[float, float]) -> str:
    """Doubt a row by the length at ride height: another one there, or an unlikely ratio from it."""
    if ride is None:
        return ""
    wheel, length = here
    told = show(ride, Quantity.LENGTH, now.system)
    if abs(wheel) < 0.0005:
        odd = abs(length - ride) > _SAME_M
        return f"At ride height the {name} was said to be {told}." if odd else ""
    ratio = (ride - length) / wheel
    low, high = LIKELY
    if abs(wheel) < _AT_RIDE_M or low <= ratio <= high:
        return ""
    return (
        f"From ride height, {told}, the {name} would move {ratio:.2f} for 1 of wheel; mostly "
        f"{low:g} to {high:g} (common practice, no source)."
    )


def _odd(now: Filling, at: Place, name: str, pairs: list[tuple[float, float]]) -> str:
    """Doubt the row that does not go with the other four, unless it was kept before."""
    odd = odd_row([wheel for wheel, _ in pairs], [length for _, length in pairs])
    if odd is None:
        return ""
    if now.said(f"{_row_key(at, odd.place + 1, columns_of(now, at))}{KEPT}") == KEEP:
        return ""
    found, wanted = (show(one, Quantity.LENGTH, now.system) for one in (odd.found, odd.wanted))
    wheel = show(pairs[odd.place][0], Quantity.LENGTH, now.system)
    return (
        f"With the wheel at {wheel}, the {name} was found {found} long; by the other heights it "
        f"is about {wanted}. One may be a slip of the tape."
    )


def _off_slope(name: str, pairs: list[tuple[float, float]], here: tuple[float, float]) -> str:
    """Doubt a row whose slope against the row before is far off the slope of the rows so far."""
    wheels, lengths = [wheel for wheel, _ in pairs], [length for _, length in pairs]
    (last, at_last), (wheel, length) = pairs[-1], here
    # From three rows on a ratio that rises or falls is followed where it goes.
    if len(set(wheels)) < min(3, len(pairs)):
        return ""  # Two rows at one height draw no line; that they are alike is said elsewhere.
    fitted = straight(wheels, lengths) if len(pairs) < 3 else parabola(wheels, lengths)
    so_far = -fitted.slope_at((last + wheel) / 2.0)
    slope = (at_last - length) / (wheel - last)
    if so_far > 0.0 and abs(slope - so_far) <= _SLOPE_WITHIN * so_far:
        return ""
    return (
        f"From the row before, the {name} moves {slope:.2f} for 1 of wheel; by the rows so far "
        f"{so_far:.2f}. One of them may be a slip of the tape."
    )


def _before(now: Filling, at: Place, number: int) -> list[tuple[float, ...]]:
    rows = rows_of(now, at, columns_of(now, at))
    return [row for other, row in rows.items() if other < number]
