"""What was foretold of a pass, and what came: inside or outside the range that was said.

A range is said to hold eight times in ten; only what was measured or timed is held against one.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.advice.timed_passes import is_counted
from rules.launch.proposed_change import Expected, Measure, Range
from rules.log.changes import Change
from rules.log.reading_bounds import was_braked
from rules.log.state import Run, State

# Which reading tells which number of a forecast.
READINGS = {
    "lift": "lift",
    "airborne": "air time",
    "front ring": "landing travel",
    "rear ring": "rear squat",
}
SIXTY = "60-foot"


@dataclass(frozen=True)
class Foretold:
    """One number that was foretold and then read [SI].

    number: of the pass it was read on.  give: how far off the reading may be.
    """

    number: int
    name: str
    measure: Measure
    range: Range
    found: float
    give: float

    @property
    def held(self) -> bool:
        """Whether the reading, with its give, meets the range."""
        return self.range.low - self.give <= self.found <= self.range.high + self.give


def foretold_of(state: State, change: Change) -> tuple[Foretold, ...]:
    """Return what was foretold of a change and read on its first pass that counts."""
    told = state.runs.find(change.run)
    given = told.followed if told else None
    first = next((run for run in state.runs_of(change) if is_counted(run)), None)
    whole = all(step.now == step.turn.after for step in change.steps)
    if given is None or given.expected is None or first is None or change.origin == "own":
        return ()
    if change.mixed or change.in_doubt or not whole:
        return ()
    return tuple(_read(given.expected, first))


def foretold_on(state: State, run: Run) -> tuple[Foretold, ...]:
    """Return what was foretold and then read on a pass."""
    change = state.changes.find(run.change)
    known = foretold_of(state, change) if change is not None else ()
    return tuple(one for one in known if one.number == run.number)


def forecasts(state: State) -> tuple[Foretold, ...]:
    """Return every number of the log that was foretold and then read, the oldest first."""
    changes = state.one_by_one(state.changes)
    return tuple(one for change in changes for one in foretold_of(state, change))


def _read(expected: Expected, run: Run) -> Iterator[Foretold]:
    readings = {
        READINGS[what]: (one.value, one.give)
        for what, one in run.measured.items()
        if what in READINGS and not was_braked(one.inputs)
    }
    if run.sixty_s is not None:
        readings[SIXTY] = (run.sixty_s, 0.0)
    for effect in expected.effects:
        if effect.name in readings:
            found, give = readings[effect.name]
            yield Foretold(run.number, effect.name, effect.measure, effect.after, found, give)
