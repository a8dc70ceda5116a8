"""Two passes on the same settings whose words contradict each other, and what the crew says of it.

What scatters from pass to pass, a few hundredths of thrust and grip, moves no stand by two bands
and makes no change better and worse at once; nor does it often make a named fault no fault at all.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from rules.launch.judged import JUDGED
from rules.log.said import GOOD, VERDICT, named_symptoms
from rules.log.state import Run, State
from rules.question import Choice, Prompt

PROMPT = "two-passes"
STAND = "stand"
START, CAR, BEFORE, NOW = "start", "car", "before", "now"
STANDS = ("none", "small", "big", "dangerous")
_BETTER, _WORSE = frozenset({"gone", "better"}), frozenset({"worse"})
_APART = 2
# What a pass still counts in the belief; a judgement.
SEEN_WRONGLY = 0.25
OTHERWISE = 0.5


@dataclass(frozen=True)
class Doubt:
    """What is said of a pass that contradicts another.

    weight: how much what was seen counts [-].  apart: its thrust and grip were its own.
    """

    weight: float = 1.0
    apart: bool = False


def contradicted(state: State, run: Run) -> Run | None:
    """Return the latest pass before that a pass contradicts: same meeting, car and settings."""
    for other in reversed(state.runs_at(run.meeting)):
        alike = (other.meeting, other.car, other.parts) == (run.meeting, run.car, run.parts)
        if other.number >= run.number or not alike or dict(other.settings) != dict(run.settings):
            continue
        return other if _differ(state, other, run) else None
    return None


def is_settled(state: State, run: Run) -> bool:
    """Tell whether the crew was asked already about these settings in this meeting."""
    return any(
        PROMPT in one.answers
        and one.meeting == run.meeting
        and dict(one.settings) == dict(run.settings)
        for one in state.runs_at(run.meeting)
    )


def _differ(state: State, one: Run, other: Run) -> bool:
    named = [frozenset(named_symptoms(state, run)) for run in (one, other)]
    gone_and_there = any(
        GOOD in named[place] and bool(named[1 - place] & JUDGED) for place in (0, 1)
    )
    words = [run.answers.get(VERDICT) for run in (one, other)]
    on_one_change = one.change is not None and one.change == other.change
    both_ways = on_one_change and any(
        words[place] in _BETTER and words[1 - place] in _WORSE for place in (0, 1)
    )
    stands = [run.answers.get(STAND) for run in (one, other)]
    places = [STANDS.index(str(word)) for word in stands if word in STANDS]
    far = len(places) == len(stands) and abs(places[0] - places[1]) >= _APART
    return gone_and_there or both_ways or far


def doubts(state: State, meetings: Iterable[str | None]) -> dict[str, Doubt]:
    """Return what the crew said of passes that contradict each other in some meetings, by pass."""
    found: dict[str, Doubt] = {}
    for run in chain.from_iterable(map(state.runs_at, meetings)):
        said = run.answers.get(PROMPT)
        other = contradicted(state, run) if said is not None else None
        if other is None:
            continue
        match said:
            case "start":
                found |= {one.id: Doubt(apart=True) for one in (other, run)}
            case "car":
                found |= {one.id: Doubt(OTHERWISE, apart=True) for one in (other, run)}
            case "before":
                found[other.id] = Doubt(SEEN_WRONGLY)
            case "now":
                found[run.id] = Doubt(SEEN_WRONGLY)
    return found


def prompt(number: int, before: int) -> Prompt:
    """Ask what differed between two passes on the same settings."""
    return Prompt(
        PROMPT,
        f"Passes {before} and {number} contradict each other on the same settings. What differed?",
        choices=(
            Choice(START, "The start, the lane or the track"),
            Choice(CAR, "The car or the driver did something else"),
            Choice(BEFORE, f"Pass {before} was seen wrongly"),
            Choice(NOW, f"Pass {number} was seen wrongly"),
        ),
        hint="It says how much each of them teaches the launch. Don't know: both count alike.",
        unknown=True,
    )
