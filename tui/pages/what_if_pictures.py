"""The pictures of a what-if: damper curves, front height, the landing and rear load over time.

Today is a single line, proposed a double one, the baseline is dashed; a range holds 8 in 10 cars.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from rules.faults import there
from rules.units import UNITS, Quantity, System
from rules.wording import say
from tui.drawn.picture import (
    DrawnLine,
    How,
    KeyEntry,
    Level,
    Mark,
    Picture,
    RangeBand,
    RangeBar,
    Values,
)  # fmt: skip

if TYPE_CHECKING:
    from rules.launch.what_if import Trace, WhatIf

HOW: Mapping[str, How] = {"today": "single", "proposed": "double", "baseline": "dashed"}
ROLES = {"today": "", "proposed": "forecast", "baseline": "label"}
SIGNS = {"baseline": "b", "today": "o", "proposed": "x"}
RANGE = "8 in 10 cars"
FRONT = "front, into bump"
BEFORE_TOUCHDOWN_S = 0.3
STOP = "━━"
BESIDE = 0.24
"""How far apart the settings of one travel stand, in travels."""
ROOM_FOR_KEY = 1.4
"""How far the axis goes on above the highest bar, so that the key stands over all of them."""


def drawn_names(found: "WhatIf") -> list[str]:
    """Return the sets of settings that differ, in the order they are drawn."""
    settings = found.settings
    names = ["baseline"] if settings.get("baseline", settings["today"]) != settings["today"] else []
    names.append("today")
    return [*names, "proposed"] if settings["proposed"] != settings["today"] else names


def damper_pictures(
    found: "WhatIf", counts: Mapping[str, str], system: System
) -> tuple[Picture, ...]:
    """Return force against speed of every stroke the knob moves; none where it is no damper's."""
    speed, force = (UNITS[one, system].name for one in (Quantity.PISTON_SPEED, Quantity.FORCE))
    return tuple(
        Picture(
            f"{say(curve.stroke, system).upper()}: {force} at the wheels; {speed}",
            tuple(
                DrawnLine(
                    _called(name, counts),
                    _scaled(curve.speed, Quantity.PISTON_SPEED, system),
                    _scaled(curve.force[name], Quantity.FORCE, system),
                    HOW[name],
                    ROLES[name],
                    SIGNS[name],
                )
                for name in drawn_names(found)
            ),
        )
        for curve in found.curves
    )


def height_picture(
    found: "WhatIf", counts: Mapping[str, str], system: System, levels: Sequence[Level] = ()
) -> Picture:
    """Return the height of the front over standing still, the whole launch."""
    unit = UNITS[Quantity.LENGTH, system].name
    traces = there(found.front, "the front's height")
    title = f"FRONT HEIGHT, {unit}; seconds from the hit"
    return _over_time(found, traces, Quantity.LENGTH, title, counts, system, levels)


def landing_picture(
    found: "WhatIf",
    counts: Mapping[str, str],
    system: System,
    ring_m: float | None = None,
    clearance_m: float | None = None,
) -> Picture:
    """Return the landing: height of the front with the stop, the O-ring and the ground.

    ring_m: front travel the ring last showed, at the wheel [m].  clearance_m: under the lowest part
    at rest, taken to stand at the front axle [m].
    """
    picture = height_picture(
        found, counts, system, landing_levels(found, system, ring_m, clearance_m)
    )
    start, end = _landing(found)
    return replace(picture, across=(start, end))


def landing_levels(
    found: "WhatIf", system: System, ring_m: float | None, clearance_m: float | None
) -> tuple[Level, ...]:
    """Return where the front's travel ends, where the ring stood, and where metal meets the road.

    By the height of the body with the tyres on the ground, their own give left out.
    """
    size, unit = UNITS[Quantity.LENGTH, system].si, UNITS[Quantity.LENGTH, system].name

    def told(metres: float) -> str:
        places = 2 if unit == "in" else 0
        return f"−{metres / size:.{places}f} {unit}"

    levels = []
    stop = next(
        (one.there_by["proposed"].middle for one in found.travel if one.name == FRONT), None
    )
    if stop is not None:
        levels.append(Level(-stop / size, f"THE STOP, {told(stop)}: all travel used", "danger"))
    if ring_m is not None:
        levels.append(Level(-ring_m / size, f"O-ring, last pass {told(ring_m)}", "measured"))
    if clearance_m is not None:
        words = f"THE GROUND, {told(clearance_m)}: lowest part"
        levels.append(Level(-clearance_m / size, words, "danger"))
    return tuple(levels)


def load_picture(found: "WhatIf", counts: Mapping[str, str], system: System) -> Picture:
    """Return the load on the rear tyres over the first seconds."""
    unit = UNITS[Quantity.FORCE, system].name
    title = say(f"REAR TYRE LOAD, {unit}; seconds from the hit", system)
    traces = there(found.rear_load, "the rear load")
    return _over_time(found, traces, Quantity.FORCE, title, counts, system, ())


def travel_picture(found: "WhatIf", counts: Mapping[str, str], system: System) -> Picture:
    """Return travel used against travel there is, of each axle into bump and into droop."""
    size, unit = UNITS[Quantity.LENGTH, system].si, UNITS[Quantity.LENGTH, system].name
    names = drawn_names(found)
    spans, marks = [], []
    for place, travel in enumerate(found.travel):
        for at, name in enumerate(names):
            x = place + (at - (len(names) - 1) / 2) * BESIDE
            used, most = travel.used[name], travel.there_by[name].middle
            if used.low is not None and used.high is not None:
                filled = name == "proposed"
                spans.append(RangeBar(x, used.low / size, used.high / size, ROLES[name], filled))
            if most is not None:
                last = name == names[-1]
                words = f"{most / size:.{1 if unit == 'in' else 0}f}" if last else ""
                marks.append(Mark(x, most / size, STOP, "danger", words))
    shown = {"today": "⠸⠸", "proposed": "⣿⣿", "baseline": "⠸⠸"}
    highest = max([*(mark.y for mark in marks), *(span.high for span in spans)], default=1.0)
    return Picture(
        f"TRAVEL USED, {unit}; {RANGE}",
        spans=tuple(spans),
        marks=tuple(marks),
        across=(-0.5, len(found.travel) - 0.5),
        up=(0.0, highest * ROOM_FOR_KEY),
        named=tuple(
            (float(n), one.name.replace(", into", "")) for n, one in enumerate(found.travel)
        ),
        key=(
            *(KeyEntry(shown[name], _called(name, counts), ROLES[name]) for name in names),
            KeyEntry(STOP, "all there is: the stop", "danger"),
        ),
    )


def _over_time(
    found: "WhatIf",
    traces: "Mapping[str, Trace]",
    quantity: Quantity,
    title: str,
    counts: Mapping[str, str],
    system: System,
    levels: Sequence[Level],
) -> Picture:
    def line(values: Values) -> Values:
        return _scaled(values, quantity, system)

    names = drawn_names(found)
    ranged = [name for name in names if name != "baseline"]
    return Picture(
        title,
        tuple(
            DrawnLine(
                _called(name, counts), found.time, line(traces[name].middle),
                HOW[name], ROLES[name], SIGNS[name],
            )
            for name in names
        ),
        tuple(
            RangeBand(
                RANGE, found.time, line(traces[name].low), line(traces[name].high),
                filled=name == "proposed", role=ROLES[name],
            )
            for name in ranged
        ),
        tuple(levels),
    )  # fmt: skip


def _landing(found: "WhatIf") -> tuple[float, float]:
    """Return the seconds around the touchdown: from shortly before it to the end."""
    middle = there(found.front, "the front's height")["today"].middle
    known = [(t, y) for t, y in zip(found.time, middle, strict=True) if None not in (t, y)]
    points = [(t, y) for t, y in known if t is not None and y is not None]
    if not points:
        return 0.0, 1.0
    top = max(points, key=lambda one: one[1])
    down = next((t for t, y in points if t > top[0] and y <= top[1] / 4), top[0])
    start = max(points[0][0], round(down - BEFORE_TOUCHDOWN_S, 1))
    return start, points[-1][0]


def _called(name: str, counts: Mapping[str, str]) -> str:
    return f"{name}, {counts[name]}" if counts.get(name) else name


def _scaled(line: Values, quantity: Quantity, system: System) -> Values:
    size = UNITS[quantity, system].si
    return tuple(None if value is None else value / size for value in line)
