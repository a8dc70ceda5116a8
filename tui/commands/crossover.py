"""`setdown crossover`: from old valving to new, off two dyno tables."""

import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from profiles.reading import MOST_DYNO_BYTES, FileFaultError, read_text
from rules.car.dyno_tables import DynoTableError
from rules.faults import there
from rules.launch.kept_force import RISE_SPEED_M_S
from rules.launch.mechanics.crossover import (
    HIGH_SPEED_M_S,
    LOW_SPEED_M_S,
    Crossover,
    EveryCount,
    Match,
    crossover,
)
from rules.launch.mechanics.dyno import DynoTable, read_dyno_csv
from rules.units import INCH_M, POUND_FORCE_N, SPEED_UNITS, System
from tui.visible import visible

_SPEED = re.compile(r"^\s*([0-9.eE+-]+)\s*([A-Za-z/]+)\s*$")


class ValvingError(ValueError):
    """A count or a speed that cannot be used, in words for the crew."""


class TableError(ValueError):
    """A dyno table that cannot be used. The message holds every fault."""


@dataclass(frozen=True)
class CrossoverAnswer:
    """What was asked, and the answer.

    old, new: names of the tables.  count: setting on the old valving.
    rise: the answer at the speed of a launch's rise, None where other speeds were asked for.
    beyond: the answers ("low", "high", "rise") whose speed lies past what either table measured.
    system: of the old table's own units.
    """

    old: str
    new: str
    count: float
    found: Crossover
    rise: Match | None
    beyond: tuple[str, ...]
    system: System


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


def read_table(path: Path) -> tuple[DynoTable, System]:
    """Read a dyno table from a CSV file; return it with the system of its units of force.

    Raises:
        TableError: with every fault of the table, or saying why the file cannot be read.
    """
    name = visible(path.name, 60)
    try:
        text = read_text(path, MOST_DYNO_BYTES)
        return read_dyno_csv(text), _system(text)
    except DynoTableError as error:
        faults = "\n".join(f"  {visible(fault)}" for fault in error.faults)
        raise TableError(f"{name}:\n{faults}") from None
    except FileFaultError as error:
        raise TableError(f"{name}: {error.fault}") from None


def _system(text: str) -> System:
    """Return the system that the head of a table counts its force in."""
    units = re.findall(r"\[\s*([^\[\]]*?)\s*\]", text.strip().splitlines()[0])
    return "us" if units[-1] in ("lb", "lbf") else "metric"


def ask(
    old: Path, new: Path, count: float, low: float | None = None, high: float | None = None
) -> CrossoverAnswer:
    """Return the counts on the new valving that give the old one's force at both speeds [m/s].

    low, high: the usual ones where left out, and then the speed of the rise too.

    Raises:
        TableError: a table that cannot be used.
        ValvingError: a count that was not measured, or speeds the wrong way round.
    """
    slow, fast = low or LOW_SPEED_M_S, high or HIGH_SPEED_M_S
    if not slow < fast:
        raise ValvingError("speed: found the low one not below the high one; wanted LOW HIGH")
    (before, system), (after, _) = read_table(old), read_table(new)
    rise = None
    try:
        top = min(float(before.speeds[-1]), float(after.speeds[-1]))
        curve, every = before.curve(count), EveryCount(after)
        found = crossover(curve, every, slow, fast, top)
        if low is None and high is None:
            rise = crossover(curve, every, slow, RISE_SPEED_M_S, top).high
    except ValueError as error:
        raise ValvingError(f"{visible(old.name, 60)}: {error}") from None
    speeds = [("low", slow), ("high", fast), *([("rise", rise.speed)] if rise else [])]
    beyond = tuple(end for end, speed in speeds if speed > top * (1.0 + 1e-9))
    return CrossoverAnswer(old.name, new.name, count, found, rise, beyond, system)


def as_lines(asked: CrossoverAnswer, units: System | None = None) -> str:
    """Return the answers in words, each speed apart; in the units of the old table, or others."""
    found, system = asked.found, units or asked.system
    rows = [
        f"Old valving {visible(asked.old, 40)} at {asked.count:g}, "
        f"new valving {visible(asked.new, 40)}:",
        f"  low speed,  {_at(found.low, system)}{_noted(asked, 'low')}",
        f"  high speed, {_at(found.high, system)}{_noted(asked, 'high')}",
    ]
    if asked.rise is not None:
        rows.append(f"  the rise,   {_at(asked.rise, system)}{_noted(asked, 'rise')}")
    same = asked.rise is None or asked.rise.setting in (None, found.low.setting)
    if found.agrees and same:
        rows.append(f"Both answers are {found.low.setting:g}: that setting stands for the old one.")
    elif found.low.reachable and found.high.reachable:
        rows.append(
            "The answers differ: no one setting gives the old curve back. Take the low-speed one "
            "for the settle, the fastest one for the rise and the landing: a front rises at "
            + ("12 to 25 in/s." if system == "us" else "0.3 to 0.6 m/s.")
        )
    elif any(one.measured_to is not None for one in (found.low, found.high)):
        rows.append("No answer is given so far past what was measured.")
        if found.low.measured_to is not None:
            rows.append("Is the unit of speed in the tables' heads the right one?")
    else:
        rows.append("Not reachable: no setting of the new valving gives the old force there.")
    rows.append("The new valving is one change with a step of its own; make a pass before another.")
    return "\n".join(rows)


def as_json(asked: CrossoverAnswer) -> str:
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
            "rise": one(asked.rise, "rise") if asked.rise else None,
            "agrees": asked.found.agrees,
        },
        indent=2,
    )


def _at(match: Match, system: System) -> str:
    if match.measured_to is not None:
        measured = f"{match.measured_to * 1000:.3g} mm/s"
        if system == "us":
            measured += f" ({match.measured_to / INCH_M:.3g} in/s)"
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


def _noted(asked: CrossoverAnswer, end: str) -> str:
    found = {"low": asked.found.low, "high": asked.found.high, "rise": asked.rise}[end]
    match = there(found, f"a match at the {end} speed")
    past = end in asked.beyond and match.measured_to is None
    return " (past the fastest point measured)" if past else ""
