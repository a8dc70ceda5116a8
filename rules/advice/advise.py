"""From a fully answered pass to exactly one piece of advice."""

from rules import __version__, wording
from rules.advice import texts
from rules.advice.after_verdict import after_the_verdict
from rules.advice.asking.nobody_knows import NOBODY, stays, sure_turn, why_sure
from rules.advice.candidates import Candidate, candidates, why_not_asked
from rules.advice.change_evidence import evidence_of
from rules.advice.drafts import turn_draft
from rules.advice.ladders import ladder
from rules.advice.made_whole import made_whole
from rules.advice.own_change import suspected
from rules.advice.put_right import BESIDE
from rules.advice.safety.job_time import counted
from rules.advice.situation import Situation, situation
from rules.advice.sized_by_launch import sized_draft
from rules.advice.treated import order_reason, treated_symptom
from rules.asked import AdviceChoice
from rules.book import Book
from rules.book.schema import PromptText
from rules.car.steps import lets_front_rise
from rules.launch.proposed_change import Expected, Model
from rules.log import said
from rules.log.advice import Advice, AdviceKind, Alternative, Basis, Draft, ModelBasis
from rules.log.said import (
    GRIP,
    LANE_OR_AIR,
    WHAT_ELSE,
    confounders,
    is_unjudged,
    named_symptoms,
    parts_changed,
    spoiling,
)
from rules.log.state import Run, State
from rules.question import UNKNOWN

SKIP_MEASURE = AdviceChoice.SKIP_MEASURE


def advise(state: State, run: Run, book: Book, model: Model | None = None) -> Advice:
    """Return the one thing to do about a pass whose prompts are all answered.

    model: what a turn is weighed by; without one the trade's step stands.
    """
    now = situation(state, run, book)
    considered = candidates(now)
    draft, expected = sized_draft(now, draft_of(now, considered), model)
    return finish(now, draft, considered, expected)


def draft_of(now: Situation, considered: list[Candidate]) -> Draft:
    """Return what the rules say of a pass, before any model weighs it."""
    return (
        made_whole(now)
        or _unjudged(now, considered)
        or _nothing_seen(now)
        or suspected(now, considered)
        or _lane_alone(now, considered)
        or after_the_verdict(now, considered)
        or _choose(now, considered)
    )


def finish(
    now: Situation,
    draft: Draft,
    considered: list[Candidate],
    expected: Expected | None = None,
) -> Advice:
    """Put the inputs, the alternatives and the reason for the order to a draft."""
    facts = {
        key: tuple(sorted(value)) if isinstance(value, frozenset) else value
        for key, value in now.facts.items()
    }
    return Advice(
        **draft.model_dump(),
        symptom=now.symptom or None,
        order_reason=order_reason(named_symptoms(now.state, now.run), now.book),
        alternatives=tuple(
            Alternative(
                rule=candidate.rule.id,
                what=texts.what(candidate.rule),
                lost=why_not_asked(now, candidate)
                or candidate.lost
                or _passed_over(candidate, draft, considered),
            )
            for candidate in considered
            if candidate.rule.id != draft.rule
        ),
        expected=expected,
        basis=Basis(
            book=now.book.digest,
            version=__version__,
            facts=facts,
            settings=dict(now.state.settings),
            tried=_tried(now),
            session=now.run.session,
            minutes_left=now.minutes_left,
            model=ModelBasis(version=expected.version, seed=expected.seed, cars=expected.cars)
            if expected and expected.cars
            else None,
            evidence=evidence_of(now.state, now.run),
        ),
    )


def _passed_over(candidate: Candidate, draft: Draft, considered: list[Candidate]) -> str:
    """Say why a rule that stands was not chosen."""
    if draft.rule is None:
        return {
            "control": "a control pass comes before any turn",
            "measure": "what is missing is measured first",
            "put right": "what else was changed is put right first",
        }.get(draft.kind, "something else comes first")
    ids = [one.rule.id for one in considered]
    if draft.rule in ids and ids.index(draft.rule) < ids.index(candidate.rule.id):
        return "comes later in the order"
    return "the change that was just judged is followed up first"


def _tried(now: Situation) -> dict[str, tuple[str, ...]]:
    tried: dict[str, tuple[str, ...]] = {}
    for change in now.record.changes:
        if change.rule is not None and change.verdict is not None:
            word = f"{change.verdict}, half back" if change.half_back else change.verdict
            tried[change.rule] = (*tried.get(change.rule, ()), word)
    return tried


def _unjudged(now: Situation, considered: list[Candidate]) -> Draft | None:
    """Return what comes before any turn where the pass says too little.

    After danger no car is sent out "to see": what else was changed is put right, unless a turn
    makes the front rise less whatever it was.
    """
    if now.run.control_skipped or not is_unjudged(now.state, now.run):
        return None
    best = _best(considered)
    if best is not None and best.rule.do in ("stop", "inspect"):
        return _say(best)
    if not now.danger:
        return _control_pass(now)
    changed = confounders(now.run)
    if not changed:
        return None
    if best is None or _not_known(now, considered) is not None:
        return _put_right(changed)
    if best.rule.do != "turn":
        return _say(best)
    if not _calms(now, best):
        return _put_right(changed)
    cause = f"{BESIDE} The front comes down from less height whatever it was."
    return turn_draft(now, best).model_copy(update={"cause": cause})


def _calms(now: Situation, candidate: Candidate) -> bool:
    """Tell whether a turn lets the front rise less, by a lever that nobody else had moved."""
    turns = [(now.fitted[turn.adjuster], turn.after > turn.before) for turn in candidate.turns]
    return all(
        lets_front_rise(one, more != (one.up(True) > 0)) and one.part not in parts_changed(now.run)
        for one, more in turns
    )


def _what_changed(changed: tuple[str, ...]) -> str:
    if "driver-lifted" in changed:
        return "The driver lifted with the front in the air: the car fell from its height."
    return f"Also changed: {wording.listed(said.confounder(one) for one in changed)}."


def _put_right(changed: tuple[str, ...]) -> Draft:
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


def _lane_alone(now: Situation, considered: list[Candidate]) -> Draft | None:
    """Return a control pass where lane or air alone may have made a fault of grip, once."""
    changed = now.run.answers.get(WHAT_ELSE, ())
    earlier = [one for one in now.state.runs if one.number == now.run.number - 1]
    repeated = any(one.followed is not None and one.followed.kind == "control" for one in earlier)
    best = _best(considered)
    judged = now.state.change(now.run.change).verdict if now.run.change else None
    if (
        now.danger
        or repeated
        or judged in ("worse", "other")
        or now.run.control_skipped
        or now.symptom not in GRIP
        or not (isinstance(changed, tuple) and LANE_OR_AIR in changed)
        or (best is not None and best.rule.do != "turn")
    ):
        return None
    return _control_pass(now).model_copy(
        update={
            "cause": "The lane or the air changed, and they alone can make this.",
            "why": "A bare or cold lane lets go whatever the dampers do. A repeat pass tells.",
            "look_for": "The same fault at the same place, in the lane of the good passes.",
        }
    )


def _control_pass(now: Situation) -> Draft:
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


def _nothing_seen(now: Situation) -> Draft | None:
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


def _best(considered: list[Candidate]) -> Candidate | None:
    """Return the first rule that stands."""
    return next((c for c in considered if not c.lost), None)


def _not_known(now: Situation, considered: list[Candidate]) -> Candidate | None:
    """Return a rule before the best one that "don't know" keeps out, unless the crew went on.

    What nobody saw on the pass before either is not asked for again, except after danger.
    """
    if SKIP_MEASURE in now.run.settled:
        return None
    best = _best(considered)
    ahead = considered[: considered.index(best)] if best else considered
    return next((c for c in ahead if c.may_fire and not _unseen_twice(now, c)), None)


def _unseen_twice(now: Situation, candidate: Candidate) -> bool:
    """Tell whether what keeps a rule out stayed unknown on the pass before as well.

    What was not asked there, because it could change nothing, nobody has seen either.
    """
    before = [r for r in now.state.runs if r.number == now.run.number - 1]
    return (
        bool(candidate.may_fire)
        and not now.danger
        and any(
            run.meeting == now.run.meeting
            and treated_symptom(named_symptoms(now.state, run), now.book) == now.symptom
            and all(run.answers.get(one, UNKNOWN) == UNKNOWN for one in candidate.may_fire)
            for run in before
        )
    )


def _choose(now: Situation, considered: list[Candidate]) -> Draft:
    unknown = _not_known(now, considered)
    if unknown is not None:
        return _nobody_knows(now, unknown) if _told_nobody(now) else _measure(now, unknown)
    best = _best(considered)
    if best is not None:
        return turn_draft(now, best) if best.rule.do == "turn" else _say(best)
    hurried = next((c for c in considered if c.no_time), None)
    if hurried is not None:
        return _no_time(hurried, now.danger)
    unknown = next((c for c in considered if c.may_fire), None)
    if unknown is not None and (sure := sure_turn(now)) is not None:
        return _sure(now, unknown, sure)
    unseen = next((c for c in considered if _unseen_twice(now, c)), None)
    if unseen is not None:
        return _stays_unknown(now, unseen)
    return ladder(now, considered)


def _told_nobody(now: Situation) -> bool:
    return NOBODY in now.run.settled


def _nobody_knows(now: Situation, candidate: Candidate) -> Draft:
    """Return the turn that is right under every answer, else say that the car stays."""
    sure = sure_turn(now)
    if sure is not None:
        return _sure(now, candidate, sure)
    return stays([now.book.prompts[prompt] for prompt in candidate.may_fire])


def _sure(now: Situation, unknown: Candidate, sure: Candidate) -> Draft:
    asked = now.book.prompts[unknown.may_fire[0]]
    return turn_draft(now, sure).model_copy(
        update={
            "cause": "Not known: " + asked.question,
            "why": why_sure(sure, now.symptom),
            "look_for": asked.measure,
        }
    )


def _say(candidate: Candidate) -> Draft:
    rule = candidate.rule
    assert rule.do != "turn"
    kind: AdviceKind = rule.do
    return Draft(
        kind=kind,
        title=texts.KIND_TITLES[kind],
        rule=rule.id,
        inspection=rule.inspection,
        cause=rule.cause,
        why=rule.why,
        expect=rule.expect,
        look_for=rule.look_for,
        put_back_if=rule.put_back_if,
        minutes=rule.minutes,
        tools=rule.tools,
        cautions=(rule.caution,),
        label=rule.basis,
    )


def _measure(now: Situation, candidate: Candidate) -> Draft:
    prompts = [now.book.prompts[prompt] for prompt in candidate.may_fire]
    if now.danger:
        return _find_out(candidate, prompts)
    return Draft(
        kind="measure",
        title="Not enough known: measure this first",
        cause="Not known: " + prompts[0].question,
        why=f"It decides whether this is right: {texts.what(candidate.rule)}.",
        expect="With that answer the next advice is a firm one.",
        look_for=prompts[0].measure,
        lines=tuple(prompt.measure for prompt in prompts),
    )


def _find_out(candidate: Candidate, prompts: list[PromptText]) -> Draft:
    """Ask for what the standing car and those who saw it can tell: it does not run for it."""
    return Draft(
        kind="measure",
        title="Not enough known: find it out with the car standing",
        cause="Not known: " + prompts[0].question,
        why=f"It decides whether this is right: {texts.what(candidate.rule)}.",
        expect="With that answer the next advice is a firm one.",
        look_for="Driver, starter, every video, and the marks on the car.",
        lines=tuple(
            one.measure
            if one.standing
            else one.today or f"{one.question} Driver, video or marks on the car."
            for one in prompts
        ),
        cautions=("The car does not run until somebody who saw it can tell.",),
    )


def _stays_unknown(now: Situation, candidate: Candidate) -> Draft:
    question = now.book.prompts[candidate.may_fire[0]].question
    return Draft(
        kind="leave",
        title="Change nothing: nobody has seen it on two passes",
        cause=f"Not known again: {question}",
        why="Watching for it the same way would miss it again, and a turn would be a guess.",
        expect="The same fault, and a known car to judge it by.",
        look_for="See it another way: a second camera or person on that side, or a slower replay.",
        cautions=("Once it is known, correct the answer of this pass.",),
    )


def _no_time(candidate: Candidate, danger: bool = False) -> Draft:
    return Draft(
        kind="leave",
        title="Change nothing: there is no time for it",
        cause=f"What it wants next {candidate.lost}.",
        why="A hurried job under a car hurts people, and a hurried count is a wrong count.",
        expect="The same fault, and it is one that breaks parts."
        if danger
        else "The same fault on the next pass.",
        look_for=f"Then, with more time: {texts.what(candidate.rule)}.",
        lines=(counted("on stands" in candidate.lost),),
        cautions=("Do not make this call: the car waits until there is time.",)
        if danger
        else ("If the fault is one that breaks parts, do not run at all.",),
    )
