"""What follows from the verdict on the change a pass was made with.

Common practice, no source. A danger that came with a change, or on a later pass of its setting,
sends it back whole, whatever else it did, with the list of what was seen before the next pass. The
way back from a change that was for a danger is no safer: the danger is treated further. Then the
crew's word: the same way again by the same step if it helped, half back if it went past, back to
where it was if it got worse; one step is as fine as it goes. Times weigh in last, and never on a
danger.
"""

from collections.abc import Mapping
from dataclasses import replace

from rules.advice.by_time import by_time, speaks_against, speaks_for
from rules.advice.candidates import MISFIT, Candidate, Considered, find_lever, make_turns, size
from rules.advice.change_evidence import (
    ChangeVerdict,
    brought_danger,
    latest_tried_at,
    runs_on,
    verdict_of,
)
from rules.advice.drafts import turn_draft
from rules.advice.part_back import part_back
from rules.advice.safety import gates
from rules.advice.safety.awake_dangers import remembered
from rules.advice.safety.dangers import STAND
from rules.advice.safety.moves import moves
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation
from rules.car import titles
from rules.car.adjusters import Adjuster, Turn, job_minutes
from rules.car.steps import is_near_shut
from rules.evidence.verdict_words import chances
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK, Change
from rules.log.other_parts import is_evidence
from rules.log.way_back import undo_turns
from rules.question import UNKNOWN


def after_the_verdict(now: Situation, considered: Considered) -> Draft | None:
    """Return the step the verdict asks for, or None where another rule's turn has come."""
    if PUT_BACK in now.run.settled:
        return None
    if now.run.change is None:
        later = _came_later(now)
        return _came_with_it(now, later) if later else None
    change = now.state.change(now.run.change)
    if change.verdict is None or not is_evidence(now.state, change):
        return None
    return (
        _came_with_it(now, change)
        or _outweighed(now, change)
        or _by_the_word(now, change, considered)
    )


def _came_later(now: Situation) -> Change | None:
    """Return the judged change that the car still stands with, on a later pass of its setting."""
    change = next(iter(latest_tried_at(now.state, now.run.meeting)), None)
    if change is None or change.status == "withdrawn" or not is_evidence(now.state, change):
        return None
    return change if now.run in runs_on(now.state, change) else None


def _came_with_it(now: Situation, change: Change) -> Draft | None:
    """Return the way back from a change that brought a danger, where no gate forbids it."""
    danger = brought_danger(now.state, now.book, change, now.run)
    return put_back(now, [change], f"{danger}: safety outranks time.") if danger else None


def _by_the_word(now: Situation, change: Change, considered: Considered) -> Draft | None:
    if change.verdict == "worse":
        # After a danger only a setting that a pass has shown is gone back to.
        half = None if now.danger or not _helped_before(now, change) else half_back(now, change)
        return half or put_back(now, [change], "It got worse with this change on.")
    rule = now.book.rules.get(change.rule or "")
    if rule is None or change.half_back:
        return None
    if change.verdict in ("gone", "other"):
        return half_back(now, change) if now.symptom in rule.overshoot else None
    if now.symptom != change.symptom:
        return None
    times = by_time(now, change)
    series = now.record.trailing_same(rule.id)
    if len(series) >= 2:
        if speaks_for(times):
            # The eye saw nothing of it and the clock did: it stays, and another lever is next.
            return None
        on_the_car = [one for one in series if one.status != "withdrawn"]
        return put_back(
            now, on_the_car, "Two steps and the fault as before: this is not the lever."
        )
    if speaks_against(times):
        return _eased_and_slower(now, change)
    return _same_way_again(now, change, considered)


def _eased_and_slower(now: Situation, change: Change) -> Draft | None:
    eased = "It eased the fault" if change.verdict == "better" else "The fault is as before"
    return put_back(now, [change], f"{eased} and it likely costs time: another lever comes first.")


def _helped_before(now: Situation, change: Change) -> bool:
    return "better" in now.record.verdicts(change.rule or "") and not change.half_back


def _outweighed(now: Situation, change: Change) -> Draft | None:
    """Return the step where times or measurements speak against a change that looked no worse.

    A danger is never weighed against time: there only another measurement of danger counts.
    """
    if change.verdict in ("worse", "other") or (now.run.sixty_s is None and not now.run.measured):
        return None
    known = verdict_of(now.state, now.book, change)
    worse = [one for one in known.measured if one.says == "worse"]
    if grown := [one.name for one in worse if one.safety]:
        return put_back(now, [change], f"{grown[0]} got worse: safety outranks time.")
    if now.danger:
        return None
    if worse and change.verdict in ("gone", "better"):
        return _look_again(
            f"It looked better but {worse[0].name} says worse: one of them is wrong."
        )
    if worse:
        return put_back(now, [change], f"The fault is unchanged and {worse[0].name} got worse.")
    symptom = now.book.symptoms.get(change.symptom or "")
    return None if symptom is not None and symptom.safety else _by_the_clock(now, change, known)


def _by_the_clock(now: Situation, change: Change, known: ChangeVerdict) -> Draft | None:
    """Return the step where the times speak against a change that was not for a danger."""
    times = known.times
    if times is None:
        return None
    if times.word == "hurt":
        match change.verdict:
            case "gone":
                cause = "The fault is gone and it costs time: half of it may do both."
                return None if _one_step(now, change) else _half_for(now, change, cause)
            case "better":
                cause = "Better in what was seen, but it costs time beyond doubt."
                return put_back(now, [change], cause)
        if _helped_before(now, change) and not _one_step(now, change):
            cause = "The step before helped and this one costs time."
            return _half_for(now, change, cause)
        return put_back(now, [change], f"Slower, {chances(1.0 - times.quicker)}.")
    if change.verdict == "same" and times.probably_worse:
        return put_back(now, [change], "Probably worse: a known setting is worth more.")
    return None


def _one_step(now: Situation, change: Change) -> bool:
    """Tell whether a change moved an adjuster by its smallest step."""
    moved = [step for step in change.steps if step.moved and step.turn.adjuster in now.fitted]
    return any(abs(one.moved) < 2 * now.fitted[one.turn.adjuster].step for one in moved)


def _half_for(now: Situation, change: Change, cause: str) -> Draft | None:
    half = None if change.half_back else half_back(now, change)
    return half and half.model_copy(update={"cause": cause})


def _look_again(cause: str) -> Draft:
    return Draft(
        kind="control",
        title="Make a control pass: change nothing more",
        cause=cause,
        why="One more pass with nothing changed tells more than another turn.",
        expect="What was seen and what was measured agree, one way or the other.",
        look_for="The same measurement, taken the same way.",
    )


def _same_way_again(now: Situation, change: Change, considered: Considered) -> Draft | None:
    candidate = next((c for c in considered if c.rule.id == change.rule), None)
    if candidate is None or candidate.lost == MISFIT:
        return None
    levers = find_lever(now.fitted, candidate.rule)
    made = {step.turn.adjuster: abs(step.moved) for step in change.steps}
    steps = {one.id: max(1, round(made.get(one.id, one.step) / one.step)) for one in levers}
    again = size(now, replace(candidate, lost=""), levers, steps)
    if again.lost or _rises_unseen(now, again):
        return None
    cause = (
        f"Better, and the fault is still there: the same way again {_by(now, again, steps)}."
        if change.verdict == "better"
        else "The fault is as before; the step may be too small: once more the same way."
    )
    return turn_draft(now, again).model_copy(update={"cause": cause})


def _by(now: Situation, again: Candidate, steps: Mapping[str, int]) -> str:
    """Say by how much, where the room or the zone near shut cut the step."""
    turned = [(now.fitted[turn.adjuster], turn) for turn in again.turns]
    # Both sides move by the same number, so that of an uneven step the smaller is the step.
    least = min(steps.values())
    if all(round(abs(turn.after - turn.before) / one.step) >= least for one, turn in turned):
        return "by the same step"
    if any(is_near_shut(one, at) for one, turn in turned for at in (turn.before, turn.after)):
        return "by less, as near shut each click does more"
    return "by what room is left"


def _rises_unseen(now: Situation, again: Candidate) -> bool:
    """Tell whether a step would let the front rise where nobody saw what the last one did."""
    moved = moves(again.turns, now.fitted)
    return bool(again.may_fire) and any(one.lifts for one in moved)


def _rises_unseen_after_danger(now: Situation, turns: tuple[Turn, ...]) -> bool:
    """Tell whether turns go towards a danger of the log with the stand of this pass unknown."""
    unseen = now.run.answers.get(STAND) == UNKNOWN
    return (
        unseen
        and remembered(now.state) is not None
        and any(one.lifts for one in moves(turns, now.fitted))
    )


def half_back(now: Situation, change: Change) -> Draft | None:
    """Return half of a change taken back, whole where it is as fine as it goes."""
    fitted = now.fitted
    moved = [step for step in change.steps if step.moved]
    if not moved:
        return None
    levers = [fitted[step.turn.adjuster] for step in moved]
    upward = moved[0].moved * levers[0].up(True) > 0
    steps = {
        one.id: round(abs(s.moved) / one.step) // 2 for one, s in zip(levers, moved, strict=True)
    }
    if any(one.part == "valving" for one in levers) and len(levers) > 1:
        return put_back(now, [change], "A valving and its clicks go back together or not at all.")
    if min(steps.values()) < 1:
        return put_back(now, [change], "One step was too far, and it is as fine as this goes.")
    turns = make_turns(levers, now.state.settings, not upward, steps)
    if not turns or refused(now, turns, back=True) or _rises_unseen_after_danger(now, turns):
        return None
    return Draft(
        kind="half back",
        title=titles.turn_title(turns, fitted),
        rule=change.rule,
        upward=not upward,
        turns=turns,
        cause="The last step treated its fault, then went past.",
        why="Half of it back lies between the two settings that were tried.",
        expect="The old fault stays away, and the new one goes or gets small.",
        look_for="Both faults: the old one and the new one.",
        put_back_if="The old fault comes back as it was.",
        minutes=job_minutes(levers),
        cautions=_unhurried(now, levers),
    )


def put_back(now: Situation, changes: list[Change], cause: str) -> Draft | None:
    """Return the way back from changes; None where nothing is on the car or a gate forbids it."""
    for change in changes:
        if change.part is not None:
            return part_back(now, change, change.part, cause)
    turns = undo_turns(now.state, changes)
    if not turns or refused(now, turns, back=True):
        return None
    levers = [now.fitted[turn.adjuster] for turn in turns]
    return Draft(
        kind=PUT_BACK,
        title="Put the last change back" if len(changes) == 1 else "Put the last changes back",
        rule=changes[-1].rule,
        turns=turns,
        undoes=tuple(change.id for change in changes),
        cause=cause,
        why="Back on a known setting, the next change can be learnt from.",
        expect="The car as it was before.",
        look_for="The counts on the work order.",
        minutes=job_minutes(levers),
        cautions=_unhurried(now, levers),
    )


def _unhurried(now: Situation, levers: list[Adjuster]) -> tuple[str, ...]:
    """Say that there is no time before the call for what a verdict asks for, or nothing."""
    minutes = job_minutes(levers)
    lost = gates.hurried(levers, minutes, now.minutes_left, now.state.clock_went_back)
    return (f"The work {lost}. Let this call go.",) if lost else ()
