"""The dampers of a launch, solved implicitly for their own stroke (`rules.launch.motion`).

Within half a step a damper takes g F off the speed w that its stroke would else have had, so that
v + g F(v) = w. The family answers in closed form. For a dyno table the same equation is solved
beforehand on a grid of w, and what is kept there is the square root of its force over the
family's: near one where the family fits well, so that straight lines between the grid's points
lose next to nothing.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from rules.launch.mechanics.dyno import from_rest
from rules.launch.mechanics.measured_curve import Table
from rules.launch.mechanics.parameters import AXLES, STROKES, Array, Columns

CELLS = 256
FASTEST_M_S = 9.0
_FINE = 1500


class MeasuredRoots:
    """What measured curves make of sqrt(F), looked up in whole arrays; 1 for a car without one."""

    def __init__(self, table: Array, step_s: float) -> None:
        """Take the ratios, (2 strokes, 2 axles, n, CELLS + 1), and the step [s]."""
        n = table.shape[2]
        self._flat = table.ravel()
        self._per_cell = CELLS**2 / (FASTEST_M_S * step_s)
        self._rows = np.arange(2 * n).reshape(2, n) * (CELLS + 1)
        self._cell, self._opens = np.empty((2, n), dtype=np.intp), np.empty((2, n), dtype=bool)
        self._spot, self._next = np.empty((2, n)), np.empty((2, n))

    def ratios(self, w: Array, size: Array, out: Array) -> None:
        """Put the ratios at stroke speeds w in `out`; size is their magnitude, (2, n) each."""
        cell, spot, after = self._cell, self._spot, self._next
        np.multiply(size, self._per_cell, spot)
        np.sqrt(spot, spot)
        np.minimum(spot, CELLS - 1e-9, out=spot)
        np.copyto(cell, spot, casting="unsafe")
        np.subtract(spot, cell, spot)
        np.add(cell, self._rows, cell)
        np.less(w, 0.0, out=self._opens)
        np.add(cell, self._flat.size // 2, out=cell, where=self._opens)
        np.take(self._flat, cell, out=out, mode="clip")
        np.add(cell, 1, out=cell)
        np.take(self._flat, cell, out=after, mode="clip")
        np.subtract(after, out, after)
        np.multiply(after, spot, after)
        np.add(out, after, out)


def measured_roots(
    cars: Columns, closing: Array, opening: Array, give: Array, step_s: float
) -> MeasuredRoots | None:
    """Return the look-up of the cars' dyno tables; None where no car has any.

    closing, opening: the family's constants by stroke, see `family_constants`.
    give: what a newton takes off a stroke's speed within half a step [m/s per N s], (2, n).
    """
    if not any(table for rows in cars.tables.values() for table in rows):
        return None
    at = _nodes()[:, None] * step_s
    found = np.empty((2, 2, cars.n, CELLS + 1))
    for (stroke, axle), tables in cars.tables.items():
        row = AXLES.index(axle)
        scale, offset, shift = (closing if stroke == "comp" else opening)[:, :, row]
        branches = [np.sqrt(scale[b] * at + offset[b]) - shift[b] for b in (0, 1)]
        family = np.maximum(np.minimum(*branches), 1e-300)
        found[STROKES.index(stroke), row] = _root_ratios(tables, family, give[row], step_s)
    return MeasuredRoots(found, step_s)


def _root_ratios(
    tables: Sequence[Table | None], family: Array, give: Array, step_s: float
) -> Array:
    """Return sqrt(force) of each car's table over the family's, (n, CELLS + 1); 1 without one.

    At the speeds `nodes`, which the stroke would have without its damper.
    family: sqrt(force) of the family there, in step units, (CELLS + 1, n).
    give: what a newton takes off the stroke's speed within half a step [m/s per N s], (n,).
    """
    found = np.ones((len(tables), CELLS + 1))
    alike: dict[tuple[float, ...], list[int]] = {}
    for car, table in enumerate(tables):
        if table is not None:
            alike.setdefault(table[0], []).append(car)
    fine = FASTEST_M_S * np.linspace(0.0, 1.0, _FINE) ** 2
    wanted = _nodes()
    for speeds, cars in alike.items():
        forces = np.array([tables[car][1] for car in cars])  # type: ignore[index]
        every = np.maximum(from_rest(np.array(speeds), forces)(fine), 0.0)
        for car, force in zip(cars, every, strict=True):
            root = np.interp(wanted, fine + give[car] * step_s * force, np.sqrt(force) * step_s)
            found[car, 1:] = root[1:] / family[1:, car]
    found[:, 0] = found[:, 1]
    return found


def _nodes() -> Array:
    """Return the grid of w [m/s], evenly spaced in their square root, (CELLS + 1,)."""
    return np.asarray(FASTEST_M_S * np.linspace(0.0, 1.0, CELLS + 1) ** 2)


def family_constants(numbers: Mapping[str, Array], give: Array, step_s: float) -> Array:
    """Return the constants of the damper's closed form, (3, 2 branches, 2 axles, n).

    For a force F the speed is sqrt(F/kb) + max(0, (F - F0)/chs), and within half a step the
    damper takes `give` F off the speed w it would else have had. Each branch is a quadratic in
    sqrt(F), A F + B sqrt(F) = w + C; the lesser of the two roots holds:
    sqrt(F) = sqrt(w/A + C/A + (B/2A)^2) - B/2A.
    """
    bleed, slope = 1 / np.sqrt(numbers["kb"]), 1 / (numbers["chs"] * step_s)
    linear = np.array([give, give + slope])
    half = bleed / (2 * linear)
    opening = np.array([np.zeros_like(slope), numbers["F0"] * step_s**2 * slope])
    return np.array([1 / linear, opening / linear + half**2, half])
