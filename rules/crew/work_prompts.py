"""What is asked of the hand under the car: turns, counts, pairs, what could not be made."""

from __future__ import annotations

from collections.abc import Iterator

from rules.advice.safety.awake_dangers import led_back
from rules.advice.safety.gates import against, hurried
from rules.asked import PairChoice, SettleChoice, Topic, TurnChoice
from rules.car.adjusters import Adjuster, Turn, adjusters, job_minutes
from rules.car.steps import is_near_shut
from rules.log.changes import Change, Step
from rules.log.part_counts import stood_before
from rules.log.state import State
from rules.question import Choice, Prompt
from rules.replaced import replace


def turn(change: Change, step: Step, state: State) -> Prompt:
    """Ask the hand under the car for one turn. Enter never claims that a turn was made."""
    one = adjusters(state.described_car)[step.turn.adjuster]
    return Prompt(
        Topic.TURN,
        f"{one.label}: now at {one.show(step.turn.after)}?",
        choices=(
            Choice(TurnChoice.NOT_YET, "Not yet"),
            Choice(TurnChoice.DONE, one.hand.done.format(one.show(step.turn.after))),
            Choice(TurnChoice.STOPS_EARLY, one.hand.short),
            Choice(TurnChoice.CANNOT_REACH, one.hand.blocked),
            Choice(TurnChoice.NOT_DONE, "Not done: leave it where it is"),
        ),
        default=TurnChoice.NOT_YET,
        about=change,
        subject=one.id,
        claims=True,
        notice=" ".join(filter(None, _work_notices(change, step, state))),
    )


def _work_notices(change: Change, step: Step, state: State) -> Iterator[str]:
    """Yield what a hand must know before it turns: half made, no time, more lift again."""
    from rules.crew.reaching import notice as reach_notice
    from rules.log.reach import as_reached

    if change.status == "part-applied":
        yield "Half made: no pass before it is settled."
    yield reach_notice(state, step.turn.adjuster)
    fitted = as_reached(state, adjusters(state.described_car))
    levers = [fitted[one.turn.adjuster] for one in change.steps if one.state == "open"]
    no_time = hurried(levers, job_minutes(levers), state.minutes_left, state.clock_went_back)
    if no_time:
        yield f"The work {no_time}."
    to_go = [one.to_go for one in change.steps if one.state == "open"]
    one = fitted[step.turn.adjuster]
    if one.controls == "both":
        yield "This knob moves compression and rebound."
    if one.curve == "needle" and is_near_shut(one, step.to_go.before):
        yield "A needle near shut: each click is a large step."
    led = led_back(state, to_go, step.to_go)
    yield led or (against(state, step.to_go) if change.origin == "put back" else "")


def reached(change: Change, step: Step, state: State) -> Prompt:
    """Ask where an adjuster that came out elsewhere now stands."""
    one = adjusters(state.described_car)[step.turn.adjuster]
    careful = "Do not force it. " if one.hand.forces else ""
    return Prompt(
        Topic.REACHED,
        f"{one.label}: where does it stand now?",
        "text",
        hint=f"{careful}Wanted: {one.wanted()}. Enter alone: don't know.",
        unknown=True,
        optional=True,
        about=change,
        subject=one.id,
    )


def recount(one: Adjuster, state: State) -> Prompt:
    """Ask for a count that the car file reads otherwise than the log, or that a job left open."""
    jobs = [] if state.to_recount.get(one.id) else state.dampers.jobs
    job = next((job for job in reversed(jobs) if one.place in job.places), None)
    why = "It was worked on." if job is not None else "The car file changed."
    # On another damper the old count means nothing.
    opened = job if job is not None and job.what == "opened" else None
    had = f" It stood at {one.show(stood_before(state, opened, one.id))} before." if opened else ""
    return Prompt(
        Topic.RECOUNT,
        f"{one.label}: where does it stand? {why}",
        "text",
        hint=f"{one.hand.look} Wanted: {one.wanted()}.{had}",
        subject=one.id,
    )


def recount_disputed(one: Adjuster, state: State) -> Prompt:
    """Ask for a count on which the two logs that were merged differ."""
    return replace(recount(one, state), question=f"{one.label}: {disputed_text(one, state)}.")


def disputed_text(one: Adjuster, state: State) -> str:
    """Say what both laptops had, and that neither is believed."""
    ours, theirs = state.disputed[one.id]
    return f"one laptop had {one.show(ours)}, the other {one.show(theirs)}: recount"


def recount_changed(one: Adjuster, state: State) -> Prompt:
    """Ask for the count of a lever that was changed before the pass without the tool."""
    return Prompt(
        Topic.RECOUNT,
        f"{one.label}: changed before the pass. Where does it stand as it will run?",
        "text",
        hint=f"In the book: {one.show(state.settings[one.id])}. Wanted: {one.wanted()}. "
        "Enter alone: as in the book, or don't know.",
        unknown=True,
        optional=True,
        subject=one.id,
    )


def pair(one: Adjuster, turn: Turn) -> Prompt:
    """Ask what becomes of a pair of which a recount found one side elsewhere."""
    apart = one.show_steps((turn.after - turn.before) / one.step)
    way = "are off their declared offset by" if one.offset else "differ by"
    return Prompt(
        Topic.PAIR,
        f"{one.axle} {one.name}: left and right {way} {apart}. Put right, or keep as a split?",
        choices=(
            Choice(
                PairChoice.PUT_RIGHT,
                f"Put right: {one.place} {one.show(turn.before)} to {one.show(turn.after)}",
                "" if one.holds(turn.after) else f"wanted: {one.wanted()}",
            ),
            Choice(PairChoice.KEEP, "Keep it: the split is meant"),
            Choice(PairChoice.LATER, "Later: ask again after the next pass"),
        ),
        subject=one.id,
    )


def settle(change: Change, even: bool) -> Prompt:
    """Ask how a change that could not be made whole is settled."""
    put_back = change.origin == "put back"
    choices = [
        Choice(SettleChoice.TRY_AGAIN, "Try again what was stopped"),
        Choice(SettleChoice.LEAVE_OFF, "Leave them: the difference stays in the book")
        if put_back
        else Choice(SettleChoice.PUT_BACK, "Put back what was changed"),
    ]
    if not put_back:
        alone, sides_only = len(change.steps) == 1, len(change.steps) < 3
        still = "it did not move by a whole step" if alone else "one side did not move at all"
        why = still if sides_only else "its clicks belong to its valving"
        label = "Keep it where it came out" if alone else "Set both sides to what both can reach"
        choices.append(Choice(SettleChoice.EVEN_OUT, label, "" if even else why))
    return Prompt(
        Topic.SETTLE,
        "Part of the change could not be made. Settle it before the next pass.",
        choices=tuple(choices),
        default=SettleChoice.TRY_AGAIN,
        about=change,
    )
