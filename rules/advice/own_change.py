"""The crew's own last turn is suspected of a new fault before any lever is touched.

Common practice, no source: what was changed last is looked at first, and it goes back whole.
"""

from operator import attrgetter

from rules import wording
from rules.advice.candidates import Considered, best_of
from rules.advice.part_back import part_back
from rules.advice.safety import gates
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation
from rules.car.adjusters import Turn, job_minutes
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK, Change
from rules.log.said import GOOD, VERDICT, is_unjudged, named_symptoms, parts_changed
from rules.log.state import Run, State
from rules.log.way_back import undo_turns


def suspected(now: Situation, considered: Considered) -> Draft | None:
    """Return the way back from the crew's own turns where a fault came with them.

    None where the fault was there before, where its rule stops, inspects or leaves the car alone,
    and where a gate forbids the way back. Once it is made, the next pass shows whether it was that.
    """
    if _was_put_back(now):
        return _run_it(now)
    best = best_of(considered)
    if best is not None and best.rule.do in ("stop", "inspect", "leave"):
        return None
    before = _judged_before(now.state, now.run)
    changes = _own_since(now, before)
    part = next((one for one in reversed(changes) if one.part is not None), None)
    if part is not None and part.part is not None and _is_new(now, before):
        return part_back(now, part, part.part, "A new fault came with it.")
    turns = undo_turns(now.state, changes)
    turns += _said_beside(now, before, {turn.adjuster for turn in turns})
    if not turns or not _is_new(now, before):
        return None
    if refused(now, turns, back=True):
        return None
    levers = [now.fitted[turn.adjuster] for turn in turns]
    minutes = job_minutes(levers)
    since = f" since pass {before.number}, which did not show this" if before else ""
    named = [one.title for one in changes] or [one.label for one in levers]
    cause = f"The crew changed this{since}: {wording.listed(named)}."
    if no_time := gates.hurried(levers, minutes, now.minutes_left, now.state.clock_went_back):
        return Draft(
            kind="leave",
            title="Change nothing: there is no time to put the last change back",
            cause=cause,
            why=f"Putting it back {no_time}.",
            expect="The same fault.",
            look_for="Then, with more time: put back what was changed, before any other lever.",
            cautions=("If the fault is one that breaks parts, do not run at all.",),
        )
    return Draft(
        kind=PUT_BACK,
        title="Put your own last change back" if len(named) == 1 else "Put your own changes back",
        turns=turns,
        undoes=tuple(one.id for one in changes),
        cause=cause,
        why="A new fault right after a change: that change is suspected before any other lever.",
        expect="The car as it was before it, without this fault.",
        look_for="Whether the fault goes. If it stays, it was not the change.",
        minutes=minutes,
    )


def _judged_before(state: State, run: Run) -> Run | None:
    """Return the last pass of the meeting before this one that says what the car did."""
    return next(
        (
            one
            for one in reversed(state.runs_at(run.meeting))
            if one.number < run.number
            and named_symptoms(state, one)
            and not is_unjudged(state, one)
        ),
        None,
    )


def _own_since(now: Situation, before: Run | None) -> list[Change]:
    """Return the crew's own turns that are on the car and that no judged pass has shown yet."""
    first = before.number if before else now.run.number - 1
    since = now.state.changes.last_from("passes before", attrgetter("passes"), first)
    return [
        one
        for one in since
        if one.origin == "own"
        and one.status != "withdrawn"
        and one.passes < now.run.number
        and one.is_made
    ][::-1]


def _said_beside(now: Situation, before: Run | None, known: set[str]) -> tuple[Turn, ...]:
    """Return the way back of levers that the crew named as changed beside a pass, and counted."""
    if before is None:
        return ()
    since = now.state.runs[before.number : now.run.number]
    parts = frozenset[str]().union(*(parts_changed(run) for run in since))
    return tuple(
        Turn(adjuster=key, before=now.state.settings[key], after=before.settings[key])
        for key, one in now.fitted.items()
        if one.part in parts and key not in known and key in before.settings
        if now.state.settings[key] != before.settings[key]
    )


def _is_new(now: Situation, before: Run | None) -> bool:
    """Tell whether the fault came with the turns; without a pass before it the crew must say so."""
    if now.symptom in ("", GOOD):
        return False
    if before is None:
        return now.run.answers.get(VERDICT) == "other"
    return now.symptom not in named_symptoms(now.state, before)


def _was_put_back(now: Situation) -> bool:
    """Tell whether the crew's own turn, or what brought a danger, went back after this pass."""
    last = now.state.changes[-1] if now.state.changes else None
    return (
        PUT_BACK in now.run.settled
        and last is not None
        and last.origin == PUT_BACK
        and last.run == now.run.id
        and all(
            one.origin == "own" or now.record.brought(one)
            for one in map(now.state.change, last.undoes)
        )
        and now.run.answers.get(VERDICT) != "worse"
    )


def _run_it(now: Situation) -> Draft:
    return Draft(
        kind="leave",
        title="Nothing more: what was changed is back, and that is the change",
        cause="That change came before this fault, and it is off the car again.",
        why="One more change now would hide whether it was that.",
        expect="The car as it was before the change, without this fault.",
        look_for="Whether the fault is gone. If it is still there, it was not the change.",
    )
