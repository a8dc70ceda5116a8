"""Wheelie bars: a spring and damper under the body behind the rear axle, that only pushes.

The bar's wheel is a point fixed to the body, `bar_behind` behind the rear axle and `bar_height`
above the ground at static; it rolls without friction. While it is below the ground by a depth p,
the ground pushes straight up on the body with

  (1) N = max(0, k p + c p')

so what the bars carry comes off the rear tyres through the rear suspension. Bars on the axle
housing, which push on the axle instead, are not modelled apart. Within a step a contact counts for
its share of it, as the stops do: equation (13) of `rules.launch.mechanics.motion`.
"""

import numpy as np

from rules.launch.mechanics.aligned import aligned, on_line
from rules.launch.mechanics.parameters import Array, Columns

FORCE, DEPTH, RATE = range(3)
# The least distance over which a contact is spread [m]; a power of two keeps rest exact.
AT_REST = 2.0**-20


class Bars:
    """The bars of a batch of cars under way; a car without any has a rate of nothing.

    kept: force, depth and its rate, in step units, (rows, 3, n); row 0 ends the stretch before.
    """

    def __init__(self, cars: Columns, step_s: float, most: int) -> None:
        """Make room for `most` steps at a time."""
        of, n = cars.of, cars.n
        self._arm = on_line(of["a"] - of["L"] - of["bar_behind"])
        self._above = on_line(of["bar_height"] - of["hs"])
        self._half_rate = on_line(of["bar_rate"] * step_s**2 / 2)
        self._damping = on_line(of["bar_damping"] * step_s)
        self.kept = aligned(most + 1, 3, n)
        self.kept[0, DEPTH] = -of["bar_height"]
        self._work = aligned(4, n)

    def carry_on(self, last: int) -> None:
        """Begin the next stretch where row `last` ended the one before."""
        self.kept[0] = self.kept[last]

    def push(
        self, row: int, z: Array, s: Array, c: Array, vz: Array, spin: Array, fz: Array, turn: Array
    ) -> None:
        """Add one step's push to the force up on the body `fz` and the moment `turn`, in place.

        z, vz: height of the sprung centre and its speed; s, c: of pitch; spin: its rate.
        """
        force, depth, rate = self.kept[row]
        lever, size, end, begin = self._work
        np.multiply(self._arm, c, lever)
        np.multiply(self._above, s, size)
        np.subtract(lever, size, lever)
        np.multiply(self._arm, s, depth)
        np.multiply(self._above, c, size)
        np.add(depth, size, depth)
        np.add(depth, z, depth)
        np.negative(depth, depth)
        np.multiply(spin, lever, rate)
        np.add(rate, vz, rate)
        np.negative(rate, rate)
        np.absolute(rate, size)
        np.add(size, AT_REST, size)
        np.multiply(size, 0.5, begin)
        np.add(depth, begin, end)
        np.maximum(end, 0.0, out=end)
        np.subtract(depth, begin, begin)
        np.maximum(begin, 0.0, out=begin)
        np.add(end, begin, force)
        np.subtract(end, begin, end)
        np.divide(end, size, end)
        np.multiply(force, self._half_rate, force)
        np.multiply(self._damping, rate, size)
        np.add(force, size, force)
        np.multiply(force, end, force)
        np.maximum(force, 0.0, out=force)
        np.add(fz, force, fz)
        np.multiply(force, lever, size)
        np.add(turn, size, turn)
