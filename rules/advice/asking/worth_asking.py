"""Which question of a pass can still change what is advised; the others are not asked.

Every way to answer what is open is imagined, "don't know" among them, and the decider is run on
each without a model. Where all of them lead to the same turns, lists, blocks and gates, and to the
same further questions, the question costs the crew a key for nothing.
"""

from typing import TypeAlias

from rules.advice.asking.imagined_pass import choices_of, open_ask, open_asks, told
from rules.advice.decision import decide
from rules.advice.safety import gates
from rules.advice.safety.dangers import front_danger_of
from rules.advice.safety.nevers import PassFacts
from rules.advice.situation import Situation
from rules.log.changes import PUT_BACK
from rules.log.said import named_symptoms
from rules.question import UNKNOWN

Tree: TypeAlias = tuple[object, ...]
WorkedOut: TypeAlias = dict[tuple[object, ...], Tree]


def next_ask(now: Situation) -> str | None:
    """Return the first question of the treated symptom whose answer can change anything."""
    passed_over: frozenset[str] = frozenset()
    worked_out: WorkedOut = {}
    while (prompt := open_ask(now, passed_over)) is not None:
        # The last choices are most often the ones that change something.
        answers = (UNKNOWN, *reversed(choices_of(now.book, prompt)))
        if any(_differ(now, told(now, prompt, one), passed_over | {prompt}) for one in answers):
            return prompt
        silent = passed_over | {prompt}
        without = _tree(now, silent, worked_out)
        if any(
            _tree(told(now, prompt, one), passed_over, worked_out) != without for one in answers
        ):
            return prompt
        passed_over = silent
    return None


def _differ(now: Situation, other: Situation, passed_over: frozenset[str]) -> bool:
    """Tell whether two ways differ with nothing else said, or with one thing more.

    Then their whole trees differ as well, which take far longer to grow.
    """
    if outcome(now) != outcome(other):
        return True
    both = set(open_asks(other, passed_over))
    return any(
        outcome(told(now, prompt, one)) != outcome(told(other, prompt, one))
        for prompt in open_asks(now, passed_over)
        if prompt in both
        for one in choices_of(now.book, prompt)
    )


def _tree(now: Situation, passed_over: frozenset[str], worked_out: WorkedOut) -> Tree:
    """Return what each way to answer leads to; a question that changes nothing is left out.

    worked_out: what was worked out for this pass already, by its answers.
    """
    key = (frozenset(now.run.answers.items()), passed_over)
    if key not in worked_out:
        worked_out[key] = _branches(now, passed_over, worked_out)
    return worked_out[key]


def _branches(now: Situation, passed_over: frozenset[str], worked_out: WorkedOut) -> Tree:
    prompt = open_ask(now, passed_over)
    if prompt is None:
        return outcome(now)
    without = _tree(now, passed_over | {prompt}, worked_out)
    answers = (*choices_of(now.book, prompt), UNKNOWN)
    branches = [_tree(told(now, prompt, one), passed_over, worked_out) for one in answers]
    return without if all(one == without for one in branches) else (prompt, without, *branches)


def outcome(now: Situation) -> Tree:
    """Return what a pass comes to: its advice, what it blocks, and which gates it shuts.

    A turn is what is turned; of any other advice the words are what the crew takes away.
    """
    draft = decide(now).draft
    symptoms = frozenset(named_symptoms(now.state, now.run))
    blocks = frozenset(one.inspection for one in gates.raised(symptoms, now.run.answers))
    # A way back is the same however the front came down, but the log keeps what was seen there.
    danger = front_danger_of(now.state, now.run) if draft.kind == PUT_BACK else None
    kept = (danger.says, danger.landing) if danger else ()
    said = () if draft.turns else (draft.rule, draft.title, draft.cause, draft.lines)
    return (
        draft.kind,
        draft.turns,
        draft.undoes,
        draft.inspection,
        said,
        kept,
        blocks,
        now.danger,
        PassFacts(now.facts).stood_big,
    )
