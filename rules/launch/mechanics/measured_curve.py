"""A dyno table among the parameters of a launch: checked, and read into plain rows."""

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from rules.car.dyno_tables import MOST_ROWS

Array = NDArray[np.float64]
# Speeds [m/s] and forces [N] of one stroke of an axle, both dampers, at the wheel.
Table = tuple[tuple[float, ...], tuple[float, ...]]

_MOST_FORCE_N = 1e7


def table_faults(path: str, table: object) -> Iterator[str]:
    """Yield what is wrong with a table of a launch's parameters, in words."""
    if not isinstance(table, Mapping) or set(table) != {"speed", "force"}:
        yield f"{path}: found {str(table)[:37]}, wanted 'speed' [m/s] and 'force' [N]"
        return
    rows: list[Array] = []
    for name in ("speed", "force"):
        try:
            row = np.asarray(table[name], dtype=np.float64)
        except (TypeError, ValueError):
            row = np.zeros(0)
        if row.ndim != 1 or not 2 <= len(row) <= MOST_ROWS or not np.isfinite(row).all():
            yield f"{path}.{name}: found no row of numbers, wanted 2 to {MOST_ROWS} of them"
            return
        rows.append(row)
    speed, force = rows
    if len(speed) != len(force):
        yield f"{path}: found {len(speed)} speeds and {len(force)} forces, wanted as many"
        return
    if speed[0] < 0.0 or not np.all(np.diff(speed) > 0.0):
        yield f"{path}.speed: wanted speeds that rise, none below 0"
    if force[-1] > _MOST_FORCE_N:
        yield f"{path}.force: found {force[-1]:g} N, wanted at most {_MOST_FORCE_N:g}"
    elif force[0] < 0.0 or not force[-1] > 0.0 or not np.all(np.diff(force) >= 0.0):
        yield f"{path}.force: wanted forces that do not fall, none below 0, some above"


def table_of(stroke: Mapping[str, object]) -> Table | None:
    """Return the checked table of a stroke's parameters, or None where it has none."""
    table = stroke.get("table")
    if not isinstance(table, Mapping):
        return None
    return tuple(map(float, table["speed"])), tuple(map(float, table["force"]))
