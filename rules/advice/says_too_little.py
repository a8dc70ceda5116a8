"""A pass that says too little: what is put right, run again or watched before any turn."""

from rules import wording
from rules.advice.candidates import Candidate, Considered, best_of
from rules.advice.choosing import not_known, say_draft
from rules.advice.drafts import turn_draft
from rules.advice.put_right import BESIDE
from rules.advice.situation import Situation
from rules.car.steps import lets_front_rise
from rules.log import said
from rules.log.advice import Draft
from rules.log.said import (
    GRIP,
    LANE_OR_AIR,
    WHAT_ELSE,
    confounders,
    is_unjudged,
    parts_changed,
    spoiling,
)


def unjudged(now: Situation, considered: Considered) -> Draft | None:
    """Return what comes before any turn where the pass says too little.

    After danger no car is sent out "to see": what else was changed is put right, unless a turn
    makes the front rise less whatever it was.
    """
    if now.run.control_skipped or not is_unjudged(now.state, now.run):
        return None
    best = best_of(considered)
    if best is not None and best.rule.do in ("stop", "inspect"):
        return say_draft(best)
    if not now.danger:
        return control_pass(now)
    changed = confounders(now.run)
    if not changed:
        return None
    if best is None or not_known(now, considered) is not None:
        return put_right_draft(changed)
    if best.rule.do != "turn":
        return say_draft(best)
    if not _calms(now, best):
        return put_right_draft(changed)
    cause = f"{BESIDE} The front comes down from less height whatever it was."
    return turn_draft(now, best).model_copy(update={"cause": cause})


def _calms(now: Situation, candidate: Candidate) -> bool:
    """Tell whether a turn lets the front rise less, by a lever that nobody else had moved."""
    turns = [(now.fitted[turn.adjuster], turn.after > turn.before) for turn in candidate.turns]
    return all(
        lets_front_rise(one, more != (one.up(True) > 0)) and one.part not in parts_changed(now.run)
        for one, more in turns
    )


def lane_alone(now: Situation, considered: Considered) -> Draft | None:
    """Return a control pass where lane or air alone may have made a fault of grip, once."""
    changed = now.run.answers.get(WHAT_ELSE, ())
    earlier = now.state.run_numbered(now.run.number - 1)
    followed = earlier.followed if earlier is not None else None
    repeated = followed is not None and followed.kind == "control"
    judged = now.state.change(now.run.change).verdict if now.run.change else None
    if (
        now.danger
        or repeated
        or judged in ("worse", "other")
        or now.run.control_skipped
        or now.symptom not in GRIP
        or not (isinstance(changed, tuple) and LANE_OR_AIR in changed)
        or ((best := best_of(considered)) is not None and best.rule.do != "turn")
    ):
        return None
    return control_pass(now).model_copy(
        update={
            "cause": "The lane or the air changed, and they alone can make this.",
            "why": "A bare or cold lane lets go whatever the dampers do. A repeat pass tells.",
            "look_for": "The same fault at the same place, in the lane of the good passes.",
        }
    )


def nothing_seen(now: Situation, _considered: Considered) -> Draft | None:
    """Return what shows the fault on the next pass, where nobody saw what the car did."""
    if now.symptom:
        return None
    film = "Film the next pass from the side, out to {100 ft|30 m}, and ask the driver."
    return Draft(
        kind="measure",
        title="Not enough known: watch the next pass",
        cause="Nobody saw what the car did.",
        why="A turn made without knowing the fault teaches nothing, whatever happens next.",
        expect="A fault with a name, or a good pass to keep.",
        look_for=film,
        lines=(film, "Set the O-rings on all damper shafts before it."),
    )


def control_pass(now: Situation) -> Draft:
    """Return a pass with nothing changed, and why this one tells too little."""
    changed, marks = confounders(now.run), spoiling(now.state, now.run)
    cause = "Cannot tell yet what the last change did."
    if changed or marks:
        cause = _what_changed(changed) if changed else f"{said.marked(marks)}."
    if "driver-lifted" in changed:
        why = "A lift near the top can double the landing load: the pass says nothing of a damper."
    elif changed:
        why = "Two things moved at once, so the pass says little about a damper."
    elif marks:
        why = "A pass that was not run through is no measure of the setting it was run with."
    else:
        why = "One more pass with nothing changed tells more than another turn."
    return Draft(
        kind="control",
        title="Make a control pass: change nothing more",
        cause=cause,
        why=why,
        expect="With the same set-up again, the car shows what is really there.",
        look_for="The same fault, or none, with nothing else changed.",
        cautions=("Put back what was changed by accident before the control pass.",),
    )


def put_right_draft(changed: tuple[str, ...]) -> Draft:
    """Return what was changed beside a pass as the thing to put right first."""
    lifted = "driver-lifted" in changed
    return Draft(
        kind="put right",
        title="Turn nothing: put right first what else was changed",
        cause=_what_changed(changed),
        why="A lift near the top can double the landing load: the pass says nothing of a damper."
        if lifted
        else "It may have made the fault, and a turn on top would be the second change at once.",
        expect="The car as it was on the last good pass, not a new set-up to try.",
        look_for="Where each of it stands, with the same gauge. What was turned is recounted.",
        cautions=(
            "No pass to see: it runs again only with this put right and an abort point agreed.",
        ),
    )


def _what_changed(changed: tuple[str, ...]) -> str:
    if "driver-lifted" in changed:
        return "The driver lifted with the front in the air: the car fell from its height."
    return f"Also changed: {wording.listed(said.confounder(one) for one in changed)}."
