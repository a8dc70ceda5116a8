"""The settings of this log that are proved: nearest in surface, air and tyre to what comes.

Proved is what gave a good pass with no danger the last time it ran. How near another surface, track
or air is, is a judgement: common practice, no source. An unprepared surface is never compared with
a prepared one, and on a strange one the launch comes down first.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from rules.advice.safety import gates
from rules.advice.safety.awake_dangers import led_back
from rules.advice.safety.since_judged import ways
from rules.book import Book
from rules.car.adjusters import Adjuster, Turn
from rules.car.model import Car
from rules.car.steps import lets_front_rise, link_lifts
from rules.log import conditions
from rules.log.conditions import SURFACES
from rules.log.other_parts import same_parts
from rules.log.said import GOOD, SYMPTOMS, named_symptoms
from rules.log.state import Run, State
from rules.log.way_back import no_less, work_order
from rules.units import FAHRENHEIT_PER_KELVIN

if TYPE_CHECKING:
    from rules.log.noted import Conditions, Surface

STRANGE: frozenset[Surface] = frozenset({"new", "unprepared"})
# What is as far apart as one surface is from another: a judgement.
TRACK_C, DENSITY, TYRE = 15.0, 0.06, 3.0
TOLD_DENSITY, TOLD_TRACK_C = 0.02, 5.0


class Proven(NamedTuple):
    """A proved setting: its latest pass, the turns to it, how that pass differs, what it risks."""

    run: Run
    turns: tuple[Turn, ...]
    differs: tuple[str, ...]
    dangers: tuple[str, ...]


def surface_of(state: State, run: Run) -> Surface | None:
    """Return the surface of a pass: noted with it, or last before it in its meeting."""
    for one in map(state.runs.__getitem__, reversed(range(run.number))):
        if one.meeting != run.meeting:
            break
        if one.conditions is not None and one.conditions.surface is not None:
            return one.conditions.surface
    said = run.answers.get("surface")
    return next((one for one in SURFACES if one == said), None)


def proven_runs(state: State, book: Book) -> list[Run]:
    """Return the latest pass on each setting where that pass was good and showed no danger."""
    latest: dict[tuple[tuple[str, float], ...], Run] = {}
    for run in state.runs:
        sound = run.done and not run.in_doubt and same_parts(state, run)
        if sound and _is_judged(state, run):
            latest[tuple(sorted(run.settings.items()))] = run
    return [run for run in latest.values() if _is_good(state, run, book)]


def _is_judged(state: State, run: Run) -> bool:
    return SYMPTOMS in run.answers or bool(named_symptoms(state, run))


def _is_good(state: State, run: Run, book: Book) -> bool:
    symptoms = frozenset(named_symptoms(state, run))
    spoilt = run.slip is not None and run.slip.marks
    return GOOD in symptoms and not spoilt and not gates.is_danger(symptoms, run.answers, book)


def nearest_proven(state: State, book: Book, noted: Conditions | None) -> Proven | None:
    """Return the proved setting nearest to what was noted for the pass that comes; the later first.

    None where nothing is proved on such a surface, or the car has other knobs and levers now.
    """
    if state.car is None:
        return None
    wanted = noted.surface if noted else None
    fits = [
        run
        for run in proven_runs(state, book)
        if state.settings.keys() <= run.settings.keys()
        and (surface_of(state, run) == "unprepared") == (wanted == "unprepared")
    ]
    if not fits:
        return None
    run = min(fits, key=lambda one: (_distance(state, one, noted), -one.number))
    turns = turns_to(state, run)
    dangers = tuple(dict.fromkeys(_dangers(state, turns)))
    return Proven(run, turns, tuple(_differs(state, run, noted)), dangers)


def turns_to(state: State, run: Run) -> tuple[Turn, ...]:
    """Return the turns to the settings of a pass, on the ground first, then front to rear."""
    fitted = state.fitted
    goals = {key: no_less(fitted[key], run.settings[key]) for key in state.settings}
    off = (
        Turn(adjuster=key, before=state.settings[key], after=goal)
        for key, goal in goals.items()
        if state.settings[key] != goal
    )
    return tuple(sorted(off, key=lambda turn: work_order(fitted[turn.adjuster])))


def _dangers(state: State, turns: tuple[Turn, ...]) -> Iterator[str]:
    """Yield what the turns lead back to, and then, in one sentence, what else lifts the front."""
    fitted, lifting = state.fitted, []
    for turn in turns:
        if said := led_back(state, turns, turn):
            yield said
        elif _lifts(fitted[turn.adjuster], turn):
            lifting.append(turn)
    if lifting:
        named = ways(lifting, fitted)
        yield f"{'; '.join(named)} {'let' if named[1:] else 'lets'} the front rise more than now."


def _lifts(one: Adjuster, turn: Turn) -> bool:
    upward = (turn.after - turn.before) * one.up(True) > 0
    return lets_front_rise(one, upward) or link_lifts(one, upward)


def _distance(state: State, run: Run, noted: Conditions | None) -> float:
    """Return how far a pass is from what comes, a surface's step as 1; not noted counts as 1."""
    order = list(SURFACES)
    here, there = noted.surface if noted else None, surface_of(state, run)
    far = 1.0 if here is None or there is None else abs(order.index(here) - order.index(there))
    tracks = _track_c(noted), _track_c(run.conditions)
    far += 1.0 if None in tracks else abs(tracks[0] - tracks[1]) / TRACK_C  # type: ignore[operator]
    denser = _denser(noted, run)
    far += 1.0 if denser is None else abs(denser) / DENSITY
    return far + (0.0 if _tyre(state.car) == _tyre(run.car) else TYRE)


def _differs(state: State, run: Run, noted: Conditions | None) -> Iterator[str]:
    """Yield how the pass of a proved setting differs from what comes, and what is not known."""
    here, there = noted.surface if noted else None, surface_of(state, run)
    if there is None or here is None:
        yield "surface not noted"
    elif there != here:
        yield f"surface then: {SURFACES[there][0].lower()}{SURFACES[there][1:]}"
    now, then = _track_c(noted), _track_c(run.conditions)
    if now is None or then is None:
        yield "track temperature not noted"
    elif abs(then - now) >= TOLD_TRACK_C:
        warmer, apart = "warmer" if then > now else "cooler", abs(then - now)
        yield f"track then {{{apart * FAHRENHEIT_PER_KELVIN:.0f} F|{apart:.0f} C}} {warmer}"
    denser = _denser(noted, run)
    if denser is None:
        yield "air not noted"
    elif abs(denser) >= TOLD_DENSITY:
        yield f"air now {abs(denser):.0%} {'denser' if denser > 0 else 'thinner'}"
    if _tyre(state.car) != _tyre(run.car):
        yield f"rear tyre then: {_tyre(run.car) or 'not in the file'}"


def _track_c(noted: Conditions | None) -> float | None:
    return conditions.celsius(noted.track_temperature, noted.units) if noted else None


def _denser(noted: Conditions | None, run: Run) -> float | None:
    """Return by what share the air that comes is denser than a pass's, where both are known."""
    then = conditions.air_at(run)
    if noted is None or then is None:
        return None
    try:
        return conditions.air_of(noted).density_kg_m3 / then.density_kg_m3 - 1.0
    except ValueError:
        return None


def _tyre(car: Car | None) -> str | None:
    return car.rear.tyre if car else None


def opening_words(state: State, book: Book) -> str:
    """Say which proved setting is nearest before a meeting's first pass, and what differs."""
    here = state.meeting_id
    if state.last_at(here) is not None:
        return ""
    noted = state.coming
    strange = noted is not None and noted.surface in STRANGE
    gentler = "A surface nobody knows: launch gentler first, with a baseline of its own."
    found = nearest_proven(state, book, noted)
    if found is None:
        return gentler if strange else ""
    where = _where(state, found.run)
    if not found.turns:
        says = f"It stands as on pass {found.run.number}{where}, which was good."
    else:
        count = len(found.turns)
        says = (
            f"Proved and nearest: pass {found.run.number}{where}, {count} "
            f"setting{'s' * (count > 1)} away: p puts it back."
        )
    differs = f"Differs: {'; '.join(found.differs)}." if found.differs else ""
    note = "" if noted is not None else "a notes lane, air and track first."
    return " ".join(filter(None, (gentler if strange else "", says, *found.dangers, differs, note)))


def _where(state: State, run: Run) -> str:
    meeting = state.meetings.find(run.meeting)
    return f" at {meeting.name}" if meeting is not None and meeting.name else ""
