"""Arrays that begin on a cache line, which wide vector instructions read about twice as fast."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_LINE_BYTES = 64
# Columns in a multiple of this keep every row of an array on a cache line too.
COLUMNS = _LINE_BYTES // 8


def aligned(*shape: int) -> Array:
    """Return zeros of that shape, the first on a cache line."""
    size = int(np.prod(shape))
    room = np.zeros(size + COLUMNS)
    start = -room.ctypes.data % _LINE_BYTES // room.itemsize
    return room[start : start + size].reshape(shape)


def on_line(values: ArrayLike) -> Array:
    """Return a copy of the values, the first on a cache line."""
    source = np.asarray(values, dtype=np.float64)
    copy = aligned(*source.shape)
    copy[...] = source
    return copy
