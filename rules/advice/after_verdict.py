"""What follows from the verdict on the change a pass was made with.

Common practice, no source: the same way again by the same step if it helped, half back if it
went past, back to where it was if it got worse; one step is as fine as it goes.
"""

from dataclasses import replace

from rules.advice.candidates import MISFIT, Candidate, find_lever, make_turns, size
from rules.advice.change_evidence import verdict_of
from rules.advice.safety import gates
from rules.advice.safety.dangers import STAND, remembered
from rules.advice.safety.nevers import moves
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation
from rules.car import titles
from rules.car.adjusters import Adjuster, Turn, job_minutes
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK, Change
from rules.log.way_back import undo_turns
from rules.question import UNKNOWN


def after_the_verdict(now: Situation, considered: list[Candidate]) -> Draft | None:
    """Return the step the verdict asks for, or None where another rule's turn has come."""
    if now.run.change is None or PUT_BACK in now.run.settled:
        return None
    change = now.state.change(now.run.change)
    if change.verdict is None or not change.counts_as_evidence:
        return None
    if (outweighed := _outweighed(now, change)) is not None:
        return outweighed
    if change.verdict == "worse":
        verdicts = now.record.verdicts(change.rule or "")
        helped_before = "better" in verdicts and not change.half_back
        back = _half_back(now, change) if helped_before else None
        return back or _put_back(now, [change], "It got worse with this change on.")
    rule = now.book.rules.get(change.rule or "")
    if rule is None or change.half_back:
        return None
    if change.verdict in ("gone", "other"):
        return _half_back(now, change) if now.symptom in rule.overshoot else None
    if now.symptom != change.symptom:
        return None
    series = now.record.trailing_same(rule.id)
    if len(series) >= 2:
        on_the_car = [one for one in series if one.status != "withdrawn"]
        return _put_back(
            now, on_the_car, "Two steps and the fault as before: this is not the lever."
        )
    return _same_way_again(now, change, considered)


def _outweighed(now: Situation, change: Change) -> Draft | None:
    """Return the step where times or measurements speak against a change that looked no worse.

    A danger is never weighed against time: there only another measurement of danger counts.
    """
    if change.verdict in ("worse", "other") or (now.run.sixty_s is None and not now.run.measured):
        return None
    known = verdict_of(now.state, now.book, change)
    weighs = known.is_dangerous or (known.speaks_against and not now.danger)
    if known.decision is None or not weighs:
        return None
    cause = known.decision.reason
    match known.decision.action:
        case "put back":
            return _put_back(now, [change], cause)
        case "half back" if not change.half_back:
            half = _half_back(now, change)
            return half and half.model_copy(update={"cause": cause})
        case "repeat":
            return Draft(
                kind="control",
                title="Make a control pass: change nothing more",
                cause=cause,
                why="One more pass with nothing changed tells more than another turn.",
                expect="What was seen and what was measured agree, one way or the other.",
                look_for="The same measurement, taken the same way.",
            )
    return None


def _same_way_again(now: Situation, change: Change, considered: list[Candidate]) -> Draft | None:
    from rules.advice.drafts import turn_draft

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
        "Better, and the fault is still there: the same way again by the same step."
        if change.verdict == "better"
        else "The fault is as before; the step may be too small: once more the same way."
    )
    return turn_draft(now, again).model_copy(update={"cause": cause})


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


def _half_back(now: Situation, change: Change) -> Draft | None:
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
        return _put_back(now, [change], "A valving and its clicks go back together or not at all.")
    if min(steps.values()) < 1:
        return _put_back(now, [change], "One step was too far, and it is as fine as this goes.")
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


def _put_back(now: Situation, changes: list[Change], cause: str) -> Draft | None:
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
