"""Which passes of a log say something about the car, and what: for the launch model."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache, partial
from itertools import chain
from operator import attrgetter

from rules.growing_sequence import digest
from rules.launch.pass_conditions import NOT_NOTED, PassConditions
from rules.launch.passes_kept import first_kept
from rules.launch.proposed_change import Seen
from rules.launch.severity import PROMPTS
from rules.log.engine import breathing_of
from rules.log.grip import Grip, grip_coming, grip_of
from rules.log.other_parts import parts_looked_at, same_parts
from rules.log.reading_bounds import was_braked
from rules.log.said import VERDICT, confounders, named_symptoms
from rules.log.state import Run, State
from rules.log.two_passes import Doubt, doubts
from rules.passes.breathing import Breathing
from rules.passes.marks import SPOILING
from rules.question import UNKNOWN

SEEN = ("hooked", "top-out", "bars", "on-lift")
TELLING = ("stand", "front-travel", "carry", "rear-motion", "rear-travel")
MOST = 6


def seen_on(run: Run) -> Seen:
    """Return what was seen and measured on a pass, with the settings it was made with."""
    facts = {
        prompt: value
        for prompt in TELLING
        if isinstance(value := run.answers.get(prompt), str) and value != UNKNOWN
    }
    return Seen(
        tuple(sorted(run.settings.items())),
        tuple(sorted(facts.items())),
        tuple(sorted((what, (one.value, one.give)) for what, one in run.measured.items())),
        ring_was_braked(run),
    )


def ring_was_braked(run: Run) -> bool:
    """Tell whether the front ring of a pass was read after hard braking."""
    ring = run.measured.get("front ring")
    return ring is not None and was_braked(ring.inputs)


def passes_that_speak(state: State, before: int | None = None) -> tuple[Seen, ...]:
    """Return the latest passes that say something of the car as it is described now.

    before: only those with a lower number.  The latest first.
    Left out: what else had changed, lifted, aborted or spun, a violent shake (pedalled or aborted),
    counts in doubt after a recount, another description of the car, other dampers or springs,
    nothing seen; and what was seen before the launch was told to learn this car afresh.
    """
    asked = _Asked(state, "speaks of the car", partial(_speaks_of_something, state))
    return tuple(map(seen_on, asked.latest(None if before is None else before - 1, MOST)))


def sightings(state: State, of: Run) -> tuple[Seen, ...]:
    """Return what the launch takes in of the passes up to one, the oldest first, that one last.

    Empty where that pass itself says nothing. Beside `passes_that_speak`: what was named, what was
    said of the change, the time, and lane, air and track.
    """
    return teaching(state, of.number) if teaches(state, of) else ()


def teaching(state: State, last: int | None = None, coming: int = 0) -> tuple[Seen, ...]:
    """Return what the passes showed of which the launch learns this car, the oldest first.

    last: none with a higher number.  coming: how many passes more there will be beside them.
    """
    asked = _asked_of_teaching(state)
    many = asked.how_many(last)
    runs = asked.latest(last, many - first_kept(many + coming))[::-1]
    meetings = tuple(dict.fromkeys(run.meeting or "" for run in runs))
    doubted, noted = doubts(state, meetings), _conditions(state, meetings)
    return tuple(
        replace(_sighting(state, run), noted=noted[run.id], weight=doubt.weight, apart=doubt.apart)
        for run in runs
        for doubt in (doubted.get(run.id, Doubt()),)
    )


def passes_taught(state: State, last: int) -> int:
    """Return how many passes teach the launch this car, none with a higher number than `last`."""
    return _asked_of_teaching(state).how_many(last)


def _asked_of_teaching(state: State) -> "_Asked":
    return _Asked(state, "teaches the launch", partial(teaches, state))


class _Asked:
    """A question of every pass that looks at nothing else but what `_speaks` looks at."""

    def __init__(self, state: State, question: str, test: Callable[[Run], bool]) -> None:
        self._runs, self._test = state.runs, test
        self._question = f"{question}, {_looked_at(state)}"

    def how_many(self, last: int | None) -> int:
        """Return how many passes it is true of, none with a higher number than `last`."""
        every = self._runs.how_many(self._question, self._test)
        return every - sum(map(self._test, self._beyond(last)))

    def latest(self, last: int | None, most: int) -> list[Run]:
        """Return the latest of them, at most so many, the last one first."""
        beyond = sum(map(self._test, self._beyond(last)))
        found = self._runs.last_ones(self._question, self._test, most + beyond)
        return [run for run in found if last is None or run.number <= last][:most]

    def _beyond(self, last: int | None) -> Iterator[Run]:
        if last is None:
            return iter(())
        return self._runs.last_from("number", attrgetter("number"), last + 1)


def taught_so_far(state: State) -> tuple[Seen, ...]:
    """Return what the passes before the open one showed: what can be learnt while it is told.

    Those of them that are taken in beside it, so that its advice has that one alone to learn.
    """
    run = state.open_run
    return teaching(state, None if run is None else run.number - 1, coming=1)


def teaches(state: State, run: Run) -> bool:
    """Tell whether a pass teaches the launch this car."""
    return _speaks(state, run) and bool(named_symptoms(state, run))


def coming_conditions(state: State) -> PassConditions:
    """Return what was noted for the coming pass."""
    return _as_taken(grip_coming(state), breathing_of(state))


def _conditions(state: State, meetings: Iterable[str | None]) -> dict[str, PassConditions]:
    """Return what was noted of the passes of some meetings, by id; not the lane as noted last."""
    found: dict[str, PassConditions] = {}
    last: dict[str | None, PassConditions] = {}
    breathing = breathing_of(state)
    for run in chain.from_iterable(map(state.runs_at, meetings)):
        before = replace(last.get(run.meeting, NOT_NOTED), lane=None)
        taken = _as_taken(grip_of(run), breathing)
        found[run.id] = last[run.meeting] = taken.or_else(before)
    return found


def _as_taken(grip: Grip, breathing: Breathing | None) -> PassConditions:
    return PassConditions(grip.lane, grip.density, grip.track_c, grip.surface, breathing)


def _sighting(state: State, run: Run) -> Seen:
    change = state.change(run.change) if run.change is not None else None
    more = tuple(
        (prompt, word)
        for prompt in (*SEEN, *PROMPTS)
        if isinstance(word := run.answers.get(prompt), str)
    )
    seen = seen_on(run)
    return replace(
        seen,
        facts=tuple(sorted((*seen.facts, *more))),
        symptoms=named_symptoms(state, run),
        treated=(change.symptom or "") if change else "",
        verdict=str(run.answers.get(VERDICT, "")) if change else "",
        sixty_s=run.sixty_s,
        meeting=run.meeting or "",
    )


def _looked_at(state: State) -> str:
    """Name all of the car and the log that `_speaks` looks at beside the pass."""
    unlearnt = _ids_named(state.unlearnt[-1]) if state.unlearnt else ""
    return digest(state.car, parts_looked_at(state), unlearnt)


@lru_cache(maxsize=4)
def _ids_named(ids: frozenset[str]) -> str:
    return digest(sorted(ids))


def _speaks_of_something(state: State, run: Run) -> bool:
    seen = seen_on(run)
    return _speaks(state, run) and bool(seen.facts or seen.measured)


def _speaks(state: State, run: Run) -> bool:
    """Tell whether a pass says something of the car as it is described now."""
    spoilt = run.slip is not None and bool(run.slip.marks & SPOILING)
    doubted = bool(run.in_doubt) or bool(confounders(run)) or run.answers.get("shake") == "violent"
    same = run.car == state.car and same_parts(state, run)
    return same and not spoilt and not doubted and state.teaches(run)
