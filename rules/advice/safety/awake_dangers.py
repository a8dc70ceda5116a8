"""What leads the car back to a danger that a pass showed, and what puts one to sleep.

A danger belongs to the settings it was seen with. A turn towards it is woken by it where the car
would then stand at least as lively: no lever that lets the front rise is gentler than it was, or
one is and another is livelier. So does a turn the way that brought it on this car, whatever lever
that was. It sleeps once those very settings gave a pass with no danger and
a stand known to be small, in grip and air no poorer. Common practice, no source.
"""

from collections.abc import Iterable, Mapping
from functools import partial
from itertools import takewhile
from typing import Literal

from rules.advice.safety.dangers import (
    ALIKE,
    STAND,
    FrontDanger,
    Landing,
    dangers,
    looked_at_as,
    says_something,
    was_harmless,
)
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.car.steps import lets_front_rise, link_lifts
from rules.log.other_parts import same_parts
from rules.log.state import Run, State
from rules.once import once_for_each
from rules.wording import listed

# Settings of which is kept what they wake, while one state is asked.
SETTINGS = 64
# Set the other way, they make a car gentler only where their geometry is known.
PROVES_NOTHING = ("link position", "preload")
Settings = Mapping[str, float]


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
        f"may clear a danger, {looked_at_as(state)}", partial(was_harmless, state)
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
    if STAND in run.answers or "lift" in run.measured or not says_something(state, run):
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
