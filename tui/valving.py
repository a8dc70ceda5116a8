"""`setdown crossover`: from old valving to new, off two dyno tables."""

import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rules.car.dyno_tables import SPEED_UNITS, DynoTableError
from rules.launch.mechanics.crossover import (
    HIGH_SPEED_M_S,
    LOW_SPEED_M_S,
    Crossover,
    EveryCount,
    Match,
    crossover,
)
from rules.launch.mechanics.dyno import DynoTable, read_dyno_csv
from rules.units import INCH_M, POUND_FORCE_N, System
from tui.visible import visible

_SPEED = re.compile(r"^\s*([0-9.eE+-]+)\s*([A-Za-z/]+)\s*$")
_MOST_BYTES = 4_000_000


class ValvingError(ValueError):
    """A count or a speed that cannot be used, in words for the crew."""


class TableError(ValueError):
    """A dyno table that cannot be used. The message holds every fault."""


@dataclass(frozen=True)
class Asked:
    """What was asked, and the answer.

    old, new: names of the tables.  count: setting on the old valving.
    beyond: the answers ("low", "high") whose speed lies past what either table measured.
    """

    old: str
    new: str
    count: float
    found: Crossover
    beyond: tuple[str, ...]


def read_speed(text: str) -> float:
    """Read a piston speed with its unit, such as 50mm/s or "2 in/s"; return it [m/s].

    Raises:
        ValvingError: saying what was found and what is wanted.
    """
    match = _SPEED.match(text)
    wanted = f"a speed with its unit, one of {', '.join(SPEED_UNITS)}, such as 50mm/s"
    try:
        value = float(match.group(1)) * SPEED_UNITS[match.group(2)] if match else 0.0
    except (ValueError, KeyError):
        value = 0.0
    if not 0.0 < value <= 20.0:
        raise ValvingError(f"speed: found {visible(text, 24)!r}; wanted {wanted}")
    return value


def read_table(path: Path) -> DynoTable:
    """Read a dyno table from a CSV file.

    Raises:
        TableError: with every fault of the table, or saying why the file cannot be read.
    """
    name = visible(path.name, 60)
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise TableError(f"{name}: larger than a dyno table can be")
        return read_dyno_csv(path.read_text("utf-8-sig"))
    except DynoTableError as error:
        faults = "\n".join(f"  {visible(fault)}" for fault in error.faults)
        raise TableError(f"{name}:\n{faults}") from None
    except (OSError, UnicodeError) as error:
        reason = getattr(error, "strerror", None) or "not saved as UTF-8 text"
        raise TableError(f"{name}: cannot be read ({reason})") from None


def ask(
    old: Path, new: Path, count: float, low: float = LOW_SPEED_M_S, high: float = HIGH_SPEED_M_S
) -> Asked:
    """Return the counts on the new valving that give the old one's force at both speeds [m/s].

    Raises:
        TableError: a table that cannot be used.
        ValvingError: a count that was not measured, or speeds the wrong way round.
    """
    if not low < high:
        raise ValvingError("speed: found the low one not below the high one; wanted LOW HIGH")
    before, after = read_table(old), read_table(new)
    try:
        top = min(float(before.speeds[-1]), float(after.speeds[-1]))
        found = crossover(before.curve(count), EveryCount(after), low, high, top)
    except ValueError as error:
        raise ValvingError(f"{visible(old.name, 60)}: {error}") from None
    beyond = tuple(end for end, v in (("low", low), ("high", high)) if v > top * (1.0 + 1e-9))
    return Asked(old.name, new.name, count, found, beyond)


def as_lines(asked: Asked, system: System) -> str:
    """Return the answers in words, low speed and high speed apart."""
    found = asked.found
    rows = [
        f"Old valving {visible(asked.old, 40)} at {asked.count:g}, "
        f"new valving {visible(asked.new, 40)}:",
        f"  low speed,  {_at(found.low, system)}{_noted(asked, 'low')}",
        f"  high speed, {_at(found.high, system)}{_noted(asked, 'high')}",
    ]
    if found.agrees:
        rows.append(f"Both answers are {found.low.setting:g}: that setting stands for the old one.")
    elif found.low.reachable and found.high.reachable:
        rows.append(
            "The answers differ: no one setting gives the old curve back. Take the low-speed one "
            "for the rise and the settle, the high-speed one for the landing."
        )
    elif any(one.measured_to is not None for one in (found.low, found.high)):
        rows.append("No answer is given so far past what was measured.")
        if found.low.measured_to is not None:
            rows.append("Is the unit of speed in the tables' heads the right one?")
    else:
        rows.append("Not reachable: no setting of the new valving gives the old force there.")
    rows.append("The new valving is one change with a step of its own; make a pass before another.")
    return "\n".join(rows)


def as_json(asked: Asked) -> str:
    """Return the answers as JSON, in SI."""

    def one(match: Match, end: str) -> dict[str, Any]:
        known = match.measured_to is None
        return {
            "speed_m_s": match.speed,
            "wanted_n": match.wanted if known else None,
            "reachable": match.reachable,
            "setting": match.setting,
            "exact": match.exact,
            "force_n": match.force if known else None,
            "off": match.off if known else None,
            "beyond_measured": end in asked.beyond,
            "measured_to_m_s": match.measured_to,
        }

    return json.dumps(
        {
            "format": 1,
            "old": asked.old,
            "new": asked.new,
            "count": asked.count,
            "low": one(asked.found.low, "low"),
            "high": one(asked.found.high, "high"),
            "agrees": asked.found.agrees,
        },
        indent=2,
    )


def _at(match: Match, system: System) -> str:
    if match.measured_to is not None:
        measured = f"{match.measured_to * 1000:.3g} mm/s"
        return f"{_speed(match.speed, system)}: no answer, measured only to {measured}"
    head = f"{_speed(match.speed, system)}: old force {_force(match.wanted, system)}; "
    if match.setting is None:
        return f"{head}not reachable, nearest end gives {_force(match.force, system)}"
    return (
        f"{head}set {match.setting:g} (exactly {match.exact:.1f}), "
        f"which gives {_force(match.force, system)}, {match.off:+.0%}"
    )


def _speed(m_s: float, system: System) -> str:
    return f"{m_s / INCH_M:.3g} in/s" if system == "us" else f"{m_s:.3g} m/s"


def _force(newtons: float, system: System) -> str:
    return f"{newtons / POUND_FORCE_N:,.0f} lb" if system == "us" else f"{newtons:,.0f} N"


def _noted(asked: Asked, end: str) -> str:
    match = asked.found.low if end == "low" else asked.found.high
    past = end in asked.beyond and match.measured_to is None
    return " (past the fastest point measured)" if past else ""
