"""The first rule that stands, where nothing comes before it; else why there is none."""

from itertools import takewhile

from rules.advice import texts
from rules.advice.asking.nobody_knows import stays, sure_turn, why_sure
from rules.advice.candidates import Candidate, Considered, best_of
from rules.advice.drafts import turn_draft
from rules.advice.ladders import ladder
from rules.advice.safety.job_time import counted
from rules.advice.situation import Situation
from rules.advice.treated import treated_symptom
from rules.asked import AdviceChoice
from rules.book.schema import PromptText
from rules.log.advice import AdviceKind, Draft
from rules.log.said import named_symptoms
from rules.question import UNKNOWN

UNSEEN_TWICE = "Change nothing: nobody has seen it on two passes"


def choose(now: Situation, considered: Considered) -> Draft:
    """Return the first rule that stands, what is missing for it, or the way past the knobs."""
    unknown = not_known(now, considered)
    if unknown is not None:
        return _nobody_knows(now, unknown) if _told_nobody(now) else _measure(now, unknown)
    best = best_of(considered)
    if best is not None:
        return turn_draft(now, best) if best.rule.do == "turn" else say_draft(best)
    hurried = next((c for c in considered if c.no_time), None)
    if hurried is not None:
        return no_time(hurried, now.danger)
    unknown = next((c for c in considered if c.may_fire), None)
    if unknown is not None and (sure := sure_turn(now)) is not None:
        return _sure(now, unknown, sure)
    unseen = next((c for c in considered if _unseen_twice(now, c)), None)
    if unseen is not None:
        return _stays_unknown(now, unseen)
    return ladder(now, considered)


def not_known(now: Situation, considered: Considered) -> Candidate | None:
    """Return a rule before the best one that "don't know" keeps out, unless the crew went on.

    What nobody saw on the pass before either is not asked for again, except after danger.
    """
    if AdviceChoice.SKIP_MEASURE in now.run.settled:
        return None
    best = best_of(considered)
    ahead = takewhile(lambda one: one is not best, considered)
    return next((c for c in ahead if c.may_fire and not _unseen_twice(now, c)), None)


def _unseen_twice(now: Situation, candidate: Candidate) -> bool:
    """Tell whether what keeps a rule out stayed unknown on the pass before as well.

    What was not asked there, because it could change nothing, nobody has seen either.
    """
    before = now.state.run_numbered(now.run.number - 1)
    return (
        bool(candidate.may_fire)
        and not now.danger
        and before is not None
        and before.meeting == now.run.meeting
        and treated_symptom(named_symptoms(now.state, before), now.book) == now.symptom
        and all(before.answers.get(one, UNKNOWN) == UNKNOWN for one in candidate.may_fire)
    )


def _told_nobody(now: Situation) -> bool:
    return AdviceChoice.NOBODY in now.run.settled


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


def say_draft(candidate: Candidate) -> Draft:
    """Draft a rule that turns nothing."""
    rule = candidate.rule
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
        return find_out(candidate, prompts)
    return Draft(
        kind="measure",
        title="Not enough known: measure this first",
        cause="Not known: " + prompts[0].question,
        why=f"It decides whether this is right: {texts.what(candidate.rule)}.",
        expect="With that answer the next advice is a firm one.",
        look_for=prompts[0].measure,
        lines=tuple(prompt.measure for prompt in prompts),
    )


def find_out(candidate: Candidate, prompts: list[PromptText]) -> Draft:
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
        title=UNSEEN_TWICE,
        cause=f"Not known again: {question}",
        why="Watching for it the same way would miss it again, and a turn would be a guess.",
        expect="The same fault, and a known car to judge it by.",
        look_for="See it another way: a second camera or person on that side, or a slower replay.",
        cautions=("Once it is known, correct the answer of this pass.",),
    )


def no_time(candidate: Candidate, danger: bool = False) -> Draft:
    """Leave the car alone where what it wants takes longer than there is."""
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
