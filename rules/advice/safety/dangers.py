"""The dangers that passes of this log showed, and what leads the car back to them.

A danger belongs to the settings it was seen with. A turn towards it is woken by it where the car
would then stand at least as lively: no lever that lets the front rise is gentler than it was, or
one is and another is livelier. So does a turn the way that brought it on this car, whatever lever
that was. It sleeps once those very settings gave a pass with no danger and
a stand known to be small, in grip and air no poorer. Common practice, no source.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import partial
from itertools import takewhile
from typing import Literal, NamedTuple

from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.car.steps import lets_front_rise, link_lifts
from rules.growing_sequence import Passing
from rules.launch.judged import SPIN
from rules.log.other_parts import other_places, same_parts
from rules.log.said import confounders, named_symptoms
from rules.log.state import Run, State
from rules.once import AsFound, once_for_each
from rules.passes.marks import SPOILING
from rules.question import UNKNOWN
from rules.wording import listed

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
# Settings of which is kept what they wake, while one state is asked.
SETTINGS = 64
# Set the other way, they make a car gentler only where their geometry is known.
PROVES_NOTHING = ("link position", "preload")

Landing = Literal["at-stop", "short-harsh", ""]
Settings = Mapping[str, float]


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
    last = next((one for one in before if _says(state, one) or _says_something(state, one)), None)
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


def _looked_at_as(state: State) -> str:
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

    car = _looked_at_as(state)
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


def woken(state: State, turns: Iterable[Turn]) -> FrontDanger | None:
    """Return the danger that these turns lead back to, if any."""
    turned = list(turns)
    if state.car is None or not turned:
        return None
    fitted = state.fitted
    goal = {**state.settings, **{turn.adjuster: turn.after for turn in turned}}
    return next(
        (
            danger
            for danger in dangers(state)
            if any(leads_to(fitted, turn, danger) for turn in turned)
            and is_awake(state, danger, goal)
        ),
        None,
    )


def never_back(state: State, turns: Iterable[Turn]) -> str:
    """Return why these turns are never advised, or nothing: they lead back to a danger."""
    danger = woken(state, turns)
    return _says_never_back(danger) if danger else ""


def _says_never_back(danger: FrontDanger) -> str:
    return f"never back to what showed danger: {danger.where}"


def never_back_unseen(state: State, one: Adjuster, upward: bool) -> str:
    """Return why a lever that the car file has not is never set that way, or nothing.

    Where it stood on a danger nobody wrote down, so that no setting is known to be gentler.
    """
    if state.car is None:
        return ""
    towards = (d for d in dangers(state) if _towards(one, d.landing) == one.up(upward))
    danger = next((one for one in towards if _is_uncleared(state, one)), None)
    return _says_never_back(danger) if danger else ""


def led_back(state: State, turns: Iterable[Turn], *told: Turn) -> str:
    """Say which of the turns told, of an order, lead back to a danger, or nothing."""
    danger = woken(state, turns)
    fitted = state.fitted
    back = [one for one in told if danger is not None and leads_to(fitted, one, danger)]
    if danger is None or not back:
        return ""
    levers = [fitted[turn.adjuster] for turn in back]
    ways = [
        f"{one.label} {one.show(turn.before)} to {one.show(turn.after)}"
        for one, turn in zip(levers, back, strict=True)
    ]
    return f"{listed(ways)} {does_again(levers)}: {danger.where}."


def does_again(levers: Iterable[Adjuster]) -> str:
    """Say what levers that go towards a danger do."""
    ones = list(levers)
    plural = "" if len(ones) > 1 else "s"
    rises = all(lets_front_rise(one, True) or lets_front_rise(one, False) for one in ones)
    return f"let{plural} the front rise more" if rises else f"lead{plural} back to a danger"


def leads_to(fitted: Mapping[str, Adjuster], turn: Turn, danger: FrontDanger) -> bool:
    """Tell whether a turn by itself goes towards a danger, or puts on what brought it."""
    one = fitted.get(turn.adjuster)
    if one is None:
        return False
    by = turn.after - turn.before
    there = danger.run.settings.get(one.id)
    again = by * dict(danger.brought).get(one.id, 0) > ALIKE and turn.after == there
    return again or by * _sign(one, danger) > ALIKE


def is_awake(state: State, danger: FrontDanger, settings: Settings) -> bool:
    """Tell whether settings are at least as lively as a danger's, with no pass that clears them."""
    if _compared(state.fitted, danger, settings) == "gentler":
        return False
    return _is_uncleared(state, danger, settings)


def _is_uncleared(state: State, danger: FrontDanger, *goal: Settings) -> bool:
    """Tell whether no pass on the goal clears a danger; where it may, nor one on its settings."""
    fitted = state.fitted
    here = state.meeting_id
    # For its meeting a danger stands until the goal itself was run well; elsewhere also until its
    # own settings were.
    own = danger.run.meeting != here and not danger.other
    proofs = [*goal, *([danger.run.settings] if own else [])]
    harmless = state.runs.last_where(
        f"may clear a danger, {_looked_at_as(state)}", partial(_was_harmless, state)
    )
    return not any(
        _clears(state, danger, good) and any(_is_same(fitted, danger, good, one) for one in proofs)
        for good in takewhile(lambda run: run.number > danger.run.number, harmless)
    )


def awake_at(state: State, *settings: Settings) -> FrontDanger | None:
    """Return the danger that any of these settings is as lively as, where nothing cleared it."""
    return _awake_at(state, *(tuple(one.items()) for one in settings))


@once_for_each(SETTINGS)
def _awake_at(state: State, *named: tuple[tuple[str, float], ...]) -> FrontDanger | None:
    if state.car is None:
        return None
    settings = [dict(one) for one in named]
    fitted = state.fitted
    lively = (
        one
        for one in dangers(state)
        for goal in settings
        if _levers(fitted, one, goal) and is_awake(state, one, goal)
    )
    return next(lively, None)


def remembered(state: State) -> FrontDanger | None:
    """Return the worst danger whose own settings nothing has cleared."""
    if state.car is None:
        return None
    return next((one for one in dangers(state) if is_awake(state, one, one.run.settings)), None)


def wants_stand(state: State, run: Run) -> bool:
    """Tell whether the height of a pass without danger would clear settings that showed one."""
    if STAND in run.answers or "lift" in run.measured or not _says_something(state, run):
        return False
    return awake_at(state, run.settings) is not None


def _sign(one: Adjuster, danger: FrontDanger) -> int:
    """Return the sign of the number's change that goes towards a danger; 0 where none does.

    What a lever is known to do stands over what came of one turn of it.
    """
    return _towards(one, danger.landing) or dict(danger.brought).get(one.id, 0)


def _towards(one: Adjuster, landing: Landing) -> int:
    """Return the sign of the number's change that lets the front rise or land harder, or 0."""
    for upward in (True, False):
        if lets_front_rise(one, upward) or link_lifts(one, upward):
            return one.up(upward)
    if one.axle != "front" or not landing:
        return 0
    if one.part in ("ride height", "preload"):
        return one.up(False)
    if one.part == "knob" and one.speed != "low":
        return one.up(landing == "short-harsh")
    return 0


def _levers(
    fitted: Mapping[str, Adjuster], danger: FrontDanger, *settings: Settings
) -> dict[str, int]:
    """Return the levers of a danger that all settings name in the same counts, with their signs.

    Where a lever stood on a pass that a recount put in doubt is not known, so it says nothing.
    """
    run = danger.run
    then = adjusters(run.car) if run.car else fitted
    return {
        key: sign
        for key, one in fitted.items()
        if (sign := _sign(one, danger))
        and key in then
        and key not in run.in_doubt
        and one.place not in danger.other
        and _counts_of(then[key]) == _counts_of(one)
        and all(key in each for each in (run.settings, *settings))
    }


def _counts_of(one: Adjuster) -> tuple[object, ...]:
    return one.part, one.count_from, one.unit, one.per_unit, one.positions


def _compared(
    fitted: Mapping[str, Adjuster], danger: FrontDanger, settings: Settings
) -> Literal["gentler", "as lively"]:
    apart = {
        key: (settings[key] - danger.run.settings[key]) * sign
        for key, sign in _levers(fitted, danger, settings).items()
    }
    mixed = any(one > ALIKE for one in apart.values())
    gentler = any(
        one < -ALIKE and fitted[key].part not in PROVES_NOTHING for key, one in apart.items()
    )
    return "gentler" if gentler and not mixed else "as lively"


def _is_same(
    fitted: Mapping[str, Adjuster], danger: FrontDanger, good: Run, settings: Settings
) -> bool:
    # A pass that clears was made with the parts of now, so their counts are compared as well.
    levers = _levers(fitted, danger._replace(other=frozenset()), good.settings, settings)
    return bool(levers) and all(abs(good.settings[key] - settings[key]) <= ALIKE for key in levers)


def _was_harmless(state: State, run: Run) -> bool:
    """Tell whether a pass was run through, showed no danger, and its stand is known to be small."""
    lift = run.measured.get("lift")
    small = run.answers.get(STAND) in SMALL_STANDS or (
        lift is not None and lift.value + lift.give < _big_m(state)
    )
    return small and _says_something(state, run)


def _says_something(state: State, run: Run) -> bool:
    """Tell whether a pass was run through with everything known, and showed no danger."""
    spoilt = run.slip is not None and bool(run.slip.marks & SPOILING)
    named = frozenset(named_symptoms(state, run))
    told = bool(named) and UNKNOWN not in named and not _without_thrust(named, run)
    return told and not (spoilt or confounders(run) or run.in_doubt or _says(state, run))


def _without_thrust(named: frozenset[str], run: Run) -> bool:
    """Tell whether the front may have stayed down because the launch was lost or lazy."""
    lazy = "front-slow-to-rise" in named and run.answers.get("hooked") != "yes"
    return lazy or bool(named & WITHOUT_THRUST)


def _clears(state: State, danger: FrontDanger, good: Run) -> bool:
    """Tell whether a pass without danger speaks against one, for the grip of then and of now."""
    from rules.log.grip import CHANGED_UNMEASURED, covers, grip_now, grip_of

    if not same_parts(state, good):
        return False
    then, it, now = grip_of(danger.run), grip_of(good), grip_now(state)
    changed = list(state.runs.where(*CHANGED_UNMEASURED))
    between = any(danger.run.number < run.number <= good.number for run in changed)
    if between and not (then.is_known and it.is_known):
        return False
    here = state.meeting is not None and good.meeting == state.meeting.id
    if here and any(run.number > good.number and run.meeting == good.meeting for run in changed):
        return False
    return covers(it, then, not_noted_is_alike=False) and covers(it, now, not_noted_is_alike=here)
