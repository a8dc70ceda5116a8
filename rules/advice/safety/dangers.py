"""The dangers that passes of this log showed, each with its pass. Common practice, no source."""

from collections.abc import Iterator
from functools import partial
from itertools import takewhile
from typing import Literal, NamedTuple

from rules.growing_sequence import Passing
from rules.launch.judged import SPIN
from rules.log.other_parts import other_places
from rules.log.said import confounders, named_symptoms
from rules.log.state import Run, State
from rules.once import AsFound, once_for_each
from rules.passes.marks import SPOILING
from rules.question import UNKNOWN

STAND, FRONT_TRAVEL = "stand", "front-travel"
SMALL_STANDS = frozenset({"none", "small"})
# A stand is big from here, in the crew's round number.
BIG_STAND_M = {"us": 0.3048, "metric": 0.3}
STANDS = {
    "big": "the wheelie was over {12 in|0.3 m}",
    "dangerous": "the wheelie was over {24 in|0.6 m} or past the bars",
}
BIG_STAND = STANDS["big"]
HARD = "the front rose or landed too hard"
BARS_HIT = "the wheelie bars were hit"
BANG = "the front topped out with a bang"
WORST = (*reversed(STANDS.values()), BARS_HIT, BANG, HARD)
"""What a pass may show, the worst first."""
# On these the thrust did not get through: that the front stayed down then says nothing.
WITHOUT_THRUST = SPIN | {"bogs", "tyre-shake", "wheel-hop", "strange-surface"}
# Counts of knobs differ by less than this only through rounding.
ALIKE = 1e-9

Landing = Literal["at-stop", "short-harsh", ""]


class FrontDanger(NamedTuple):
    """What a pass showed that must not come again: in words, and how its front landed if hard.

    `other` are the places where other dampers or springs stand now: a count there is no lever of
    it, so that nothing set on them proves the car gentler.
    `brought` says which way each lever was turned since the pass before, if that showed none.
    """

    run: Run
    says: str
    landing: Landing
    meeting: str
    other: frozenset[str] = frozenset()
    brought: tuple[tuple[str, int], ...] = ()

    @property
    def where(self) -> str:
        """Say it with its pass: the wheelie was over 24 in on pass 3."""
        return f"{self.says} on pass {self.run.number}{self.meeting}"


def front_danger_of(state: State, run: Run) -> FrontDanger | None:
    """Return the danger of a big stand or a hard landing that a pass showed."""
    says = _says(state, run)
    if not says:
        return None
    here = state.meeting_id
    meeting = None if run.meeting == here else state.meetings.find(run.meeting)
    at = f" at {meeting.name}" if meeting is not None and meeting.name else ""
    return FrontDanger(
        run, says, _landing(state, run), at, other_places(state, run), _brought(state, run)
    )


def _brought(state: State, run: Run) -> tuple[tuple[str, int], ...]:
    """Return the levers turned since the pass before and how, where that one showed no danger.

    A pass that tells nothing of it is passed over. Of the open meeting alone: on another day the
    settings themselves hold, and what the launch learnt.
    """
    if run.meeting != state.meeting_id:
        return ()
    # One by one: a slice of all passes before would read each of them.
    earlier = (state.runs[at] for at in range(run.number - 2, -1, -1))
    before = takewhile(lambda one: one.meeting == run.meeting, earlier)
    last = next((one for one in before if _says(state, one) or says_something(state, one)), None)
    if last is None or _says(state, last) or last.parts != run.parts:
        return ()
    both = last.settings.keys() & run.settings.keys()
    moved = {key: run.settings[key] - last.settings[key] for key in sorted(both)}
    return tuple((key, 1 if by > 0 else -1) for key, by in moved.items() if abs(by) > ALIKE)


def _says(state: State, run: Run) -> str:
    answers = run.answers
    band = STANDS.get(str(answers.get(STAND)), "")
    if band:
        return band
    if answers.get("bars") == "hit":
        return BARS_HIT
    lift = run.measured.get("lift")
    if lift is not None and lift.value >= _big_m(state):
        return BIG_STAND
    if answers.get("top-out") == "bang":
        return BANG
    from rules.advice.safety.pass_facts import PassFacts, facts_of

    return HARD if PassFacts({**answers, **facts_of(state, run)}).stood_big else ""


def _landing(state: State, run: Run) -> Landing:
    """Return how a front that landed hard did it, where the ring told."""
    match run.answers.get(FRONT_TRAVEL):
        case "at-stop":
            return "at-stop"
        case "short-harsh" if "front-drops-hard" in named_symptoms(state, run):
            return "short-harsh"
    return ""


def looked_at_as(state: State) -> str:
    """Name all of the car that `_says` looks at."""
    car = state.car
    return f"{car.units} {car.front.bump_travel_m}" if car else "no car"


def _big_m(state: State) -> float:
    return BIG_STAND_M[state.car.units if state.car else "metric"]


@once_for_each(1)
def dangers(state: State) -> AsFound[FrontDanger]:
    """Return every danger in the log, the worst first, then the latest.

    Where the last pass landed hard as well, its own settings are no better: what was seen to make
    a landing worse may then go back, and the levers of a landing count for no danger.
    """
    return AsFound(_dangers(state))


def asked_of_runs(state: State) -> tuple[Passing[Run], ...]:
    """Return what is asked of every pass: each danger, the worst first."""
    told: dict[str, str] = {}

    def is_said(says: str, run: Run) -> bool:
        if run.id not in told:
            told[run.id] = _says(state, run)
        return told[run.id] == says

    car = looked_at_as(state)
    return tuple(Passing(f"{says}, {car}", partial(is_said, says)) for says in WORST)


def _dangers(state: State) -> Iterator[FrontDanger]:
    alike = bool(state.runs) and bool(_landing(state, state.runs[-1]))
    every = asked_of_runs(state)
    state.runs.look_through(*every)
    for asked in every:
        for run in state.runs.last_where(*asked):
            danger = front_danger_of(state, run)
            if danger is not None:
                yield danger._replace(landing="") if alike else danger


def was_harmless(state: State, run: Run) -> bool:
    """Tell whether a pass was run through, showed no danger, and its stand is known to be small."""
    lift = run.measured.get("lift")
    small = run.answers.get(STAND) in SMALL_STANDS or (
        lift is not None and lift.value + lift.give < _big_m(state)
    )
    return small and says_something(state, run)


def says_something(state: State, run: Run) -> bool:
    """Tell whether a pass was run through with everything known, and showed no danger."""
    spoilt = run.slip is not None and bool(run.slip.marks & SPOILING)
    named = frozenset(named_symptoms(state, run))
    told = bool(named) and UNKNOWN not in named and not _without_thrust(named, run)
    return told and not (spoilt or confounders(run) or run.in_doubt or _says(state, run))


def _without_thrust(named: frozenset[str], run: Run) -> bool:
    """Tell whether the front may have stayed down because the launch was lost or lazy."""
    lazy = "front-slow-to-rise" in named and run.answers.get("hooked") != "yes"
    return lazy or bool(named & WITHOUT_THRUST)
