"""What the times would have on the car: one belief of the clock, read wherever a pass is decided.

Never of a change that was for a danger, nor beside one: there time has no word.
"""

from rules.advice.change_evidence import latest_tried_at, verdict_of
from rules.advice.drafts import never_said
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation
from rules.car import titles
from rules.car.adjusters import Turn, job_minutes
from rules.evidence.recommendation import Recommendation
from rules.evidence.verdict_words import chances
from rules.log.advice import Draft
from rules.log.changes import Change

# From which chance on the times speak for a setting that is not proven.
LIKELY = 0.8


def by_time(now: Situation, change: Change) -> Recommendation | None:
    """Return what the times recommend of a change; None where they have no word."""
    symptom = now.book.symptoms.get(change.symptom or "")
    if now.danger or (symptom is not None and symptom.safety):
        return None
    if all(one.sixty_s is None for one in now.state.runs_at(change.meeting)):
        # A day without a time has no estimate, and the array library is not loaded for it.
        return None
    return verdict_of(now.state, now.book, change).recommended


def speaks_for(found: Recommendation | None) -> bool:
    """Tell whether the times speak for the change."""
    return found is not None and found.setting == "new" and _is_likely(found)


def speaks_against(found: Recommendation | None) -> bool:
    """Tell whether the times speak against the change."""
    return found is not None and found.setting == "old" and _is_likely(found)


def _is_likely(found: Recommendation) -> bool:
    return found.proven or found.chance >= LIKELY


def proven_off_the_car(now: Situation) -> Draft | None:
    """Return the way to a setting that the times prove and the car does not have; None for none.

    Of the meeting's changes that were put back, the latest; no gate may forbid it.
    """
    for change in latest_tried_at(now.state, now.run.meeting):
        if change.status != "withdrawn":
            continue
        found = by_time(now, change)
        if found is None or not (found.proven and found.turn and found.setting == "new"):
            continue
        turns = _again(now, change)
        if turns and not refused(now, turns, back=True):
            return _draft(now, change, turns, found)
    return None


def _again(now: Situation, change: Change) -> tuple[Turn, ...]:
    today = now.state.settings
    moved = [step for step in change.steps if step.moved and step.turn.adjuster in now.fitted]
    return tuple(
        Turn(adjuster=step.turn.adjuster, before=today[step.turn.adjuster], after=step.now)
        for step in moved
        if today[step.turn.adjuster] != step.now
    )


def _draft(now: Situation, change: Change, turns: tuple[Turn, ...], found: Recommendation) -> Draft:
    levers = [now.fitted[turn.adjuster] for turn in turns]
    never = never_said(now)
    return Draft(
        kind="turn",
        title=titles.turn_title(turns, now.fitted),
        rule=change.rule,
        upward=(turns[0].after - turns[0].before) * levers[0].up(True) > 0,
        turns=turns,
        cause=f"Put back since, and the times prove it quicker by about {found.gain_s:.3f} s.",
        why=f"Quicker, {chances(found.chance)}: the order of the passes leaves no drift to do it.",
        expect="The same car as before, and the gain again.",
        look_for="The 60-foot, and the fault it was turned for.",
        put_back_if="The wheelie or the landing is worse.",
        cautions=(never,) if never else (),
        minutes=job_minutes(levers),
        tools=next((one.tools for one in levers if one.tools), "none"),
        label="by this car's own times",
    )
