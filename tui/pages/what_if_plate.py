"""The plate of a what-if: from which count to which, and the one number that decides a page."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from textual.content import Content

from rules.advice.by_mechanics.words import tenths
from rules.units import System
from rules.wording import say
from tui.drawn.figures import from_to
from tui.pages.drawings import range_shown, shown, unit_of
from tui.pages.what_if import DAMPER
from tui.pages.what_if_pictures import FRONT, RANGE

if TYPE_CHECKING:
    from rules.launch.what_if import NumberRange, WhatIf

FIGURES, MARGIN, GAP = 26, 1, 3
SQUARES = 10
NAMES = ("today", "proposed")
LOAD, SIXTY = "least rear tyre load", "60-foot time"


def plate(
    found: "WhatIf | None", page: int, counts: Mapping[str, str], system: System, width: int
) -> Content:
    """Return the three rows of the plate; the figures take what room the words leave."""
    words = ["", "", ""] if found is None or found.missing else told(found, page, system)
    room = width - MARGIN - GAP - max(map(len, words))
    figures = _figures(counts["today"], counts["proposed"], room)
    wide = max(len(row) for row in figures)
    wide += GAP if wide else 0
    rows = zip(figures, words, strict=True)
    return Content("\n").join(
        Content(f" {figure:<{wide}}{line}"[:width].ljust(width)) for figure, line in rows
    )


def _figures(before: str, after: str, room: int) -> list[str]:
    """Return from which count to which in three rows, as large as there is room."""
    small = f"{before} → {after}"
    large = from_to(before, after, min(FIGURES, room))
    return large or ["", small if len(small) <= room else "", ""]


def told(found: "WhatIf", page: int, system: System) -> list[str]:
    """Return a heading, today and proposed, for what a page is about."""
    if page in (0, 1, 4):
        return _stop(found, system)
    if page == DAMPER and found.curves:
        return _force(found, system)
    return _number(found, LOAD if page == 2 else SIXTY, system)


def squares(chance: float) -> str:
    """Return a chance as ten squares."""
    full = round(SQUARES * chance)
    return "■" * full + "□" * (SQUARES - full)


def _stop(found: "WhatIf", system: System) -> list[str]:
    bump = next((one for one in found.travel if one.name == FRONT), None)
    if bump is None or None in (bump.meets[name] for name in NAMES):
        return _number(found, SIXTY, system)
    clear = {name: 1.0 - (bump.meets[name] or 0.0) for name in NAMES}
    wide = max(len(tenths(one)) for one in clear.values())
    return [
        f"FRONT CLEARS THE STOP, {RANGE} use",
        *(
            f"{name:<9}{tenths(clear[name]):<{wide}} {squares(clear[name])} "
            f"{_range(bump.used[name], 'length', system)}"
            for name in NAMES
        ),
    ]


def _force(found: "WhatIf", system: System) -> list[str]:
    curve = found.curves[0]
    at = len(curve.speed) // 2
    speed = shown(curve.speed[at] or 0.0, "speed", system)
    rows = [say(f"{curve.stroke.upper()} AT {speed} {unit_of('speed', system)}", system)]
    for name in NAMES:
        force = shown(curve.force[name][at] or 0.0, "force", system)
        rows.append(f"{name:<9}{force} {unit_of('force', system)} at the wheels")
    return rows


def _number(found: "WhatIf", name: str, system: System) -> list[str]:
    number = next((one for one in found.numbers if one.name == name), None)
    if number is None:
        return ["", "", ""]
    rows = [say(name, system).upper()]
    return rows + [f"{by:<9}{_range(number.by[by], number.kind, system)}" for by in NAMES]


def _range(one: "NumberRange", kind: str, system: System) -> str:
    if one.low is None or one.high is None:
        return "no number"
    return f"{range_shown(one.low, one.high, kind, system)} {unit_of(kind, system)}"
