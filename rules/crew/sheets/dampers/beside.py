"""A new valving's force beside today's, for every stroke that was changed, at the job's corners."""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.car.damper_record import Stroke
from rules.crew.sheets.dampers.places import corners, strokes_of
from rules.crew.sheets.sheet import Filling
from rules.launch.side_by_side import AtSpeed, side_by_side
from rules.log.state import State


@dataclass(frozen=True)
class Beside:
    """A stroke, the knob that the new valving's table counts, and the forces at each speed."""

    stroke: Stroke
    key: str
    rows: tuple[AtSpeed, ...]


def beside(now: Filling, state: State, valving: str) -> Iterator[Beside]:
    """Yield for each stroke that changed the forces, from the counts that the job's side had."""
    for stroke in strokes_of(now):
        one = next(_of_stroke(now, state, stroke, valving), None)
        if one is not None:
            yield one


def _of_stroke(now: Filling, state: State, stroke: Stroke, valving: str) -> Iterator[Beside]:
    here = corners(now)
    for damper in (one for one in now.car.dampers if one.corner in here):
        for knob in (one for one in damper.knobs if one.controls in (stroke, "both")):
            rows = side_by_side(now.car, state.settings, damper, knob, stroke, valving)
            if rows:
                yield Beside(stroke, f"{damper.corner} {knob.id}", rows)


def keeps(now: Filling, one: Beside) -> str:
    """Say which counts keep the force, each with its piston speed."""
    counts = {f"{row.count if row.count is not None else row.nearest:g}": row for row in one.rows}
    said = (
        f"{count} ({row.name}{'' if row.count is not None else ', nearest end'})"
        for count, row in counts.items()
    )
    return f"{now.state.fitted[one.key].name.capitalize()} that keeps the force: {', '.join(said)}."


def told(every: tuple[Beside, ...]) -> list[str]:
    """Say the forces line by line, with their stroke where there are two."""
    return [
        f"{f'{one.stroke.capitalize()}, ' if len(every) > 1 else ''}{row.says}."
        for one in every
        for row in one.rows
    ]
