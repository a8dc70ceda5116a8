"""From a fully answered pass to exactly one piece of advice."""

from collections.abc import Sequence

from rules import __version__
from rules.advice import texts
from rules.advice.by_mechanics.decide import by_mechanics
from rules.advice.by_mechanics.grip_back import with_grip_back
from rules.advice.by_mechanics.surprised import surprised
from rules.advice.candidates import Candidate, why_not_asked
from rules.advice.change_evidence import evidence_of
from rules.advice.decision import decide
from rules.advice.situation import Situation, situation
from rules.advice.sized_by_launch import sized_draft
from rules.advice.treated import order_reason
from rules.book import Book
from rules.launch.outlook import Model
from rules.launch.proposed_change import Expected
from rules.log.advice import Advice, Alternative, Basis, Draft, ModelBasis
from rules.log.said import named_symptoms
from rules.log.state import Run, State

BETTER_ELSEWHERE = "on the cars that do what was seen another way does better"


def advise(state: State, run: Run, book: Book, model: Model | None = None) -> Advice:
    """Return the one thing to do about a pass whose prompts are all answered.

    model: the launch of this car; without one the book decides alone, by the trade's steps.
    """
    now = situation(state, run, book)
    decision = decide(now)
    if model is None:
        return finish(now, decision.draft, decision.alternatives)
    look = surprised(now, decision.draft, model)
    if look is not None:
        return finish(now, look, decision.alternatives)
    chosen = by_mechanics(now, decision, model)
    expected = chosen.expected if chosen is not None else None
    if chosen is not None and expected is not None:
        draft, passed_over = chosen.draft, BETTER_ELSEWHERE
    else:
        draft, expected = sized_draft(now, chosen.draft if chosen else decision.draft, model)
        passed_over = ""
    draft = with_grip_back(now, draft, model)
    given = finish(now, draft, decision.alternatives, expected, passed_over)
    also = chosen.others if chosen is not None else ()
    return given.model_copy(update={"alternatives": (*also, *given.alternatives)})


def finish(
    now: Situation,
    draft: Draft,
    considered: Sequence[Candidate],
    expected: Expected | None = None,
    passed_over: str = "",
) -> Advice:
    """Put the inputs, the alternatives and the reason for the order to a draft.

    passed_over: why rules that stand were not chosen, where it was not by the book's order.
    """
    facts = {
        key: tuple(sorted(value)) if isinstance(value, frozenset) else value
        for key, value in now.facts.items()
    }
    return Advice(
        **draft.model_dump(),
        symptom=now.symptom or None,
        order_reason=order_reason(named_symptoms(now.state, now.run), now.book),
        alternatives=_alternatives(now, draft, considered, passed_over),
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


def _alternatives(
    now: Situation, draft: Draft, considered: Sequence[Candidate], passed_over: str
) -> tuple[Alternative, ...]:
    """Return what was not chosen and why; rules that say the same of the same are one."""
    told: dict[tuple[str, str], Alternative] = {}
    for candidate in considered:
        if candidate.rule.id == draft.rule:
            continue
        what = texts.what(candidate.rule)
        lost = (
            why_not_asked(now, candidate)
            or candidate.lost
            or passed_over
            or _passed_over(candidate, draft, considered)
        )
        told.setdefault((what, lost), Alternative(rule=candidate.rule.id, what=what, lost=lost))
    return tuple(told.values())


def _passed_over(candidate: Candidate, draft: Draft, considered: Sequence[Candidate]) -> str:
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
