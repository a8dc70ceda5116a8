"""Which question of a pass can still change what is advised; the others are not asked.

Every way to answer what is open is imagined, "don't know" among them, and the decider is run on
each without a model. Where all of them lead to the same turns, lists, blocks and gates, and to the
same further questions, the question costs the crew a key for nothing.
"""

from typing import TypeAlias

from rules.advice.asking.imagined_pass import choices_of, open_ask, told
from rules.advice.decision import decide
from rules.advice.safety import gates
from rules.advice.situation import Situation
from rules.log.said import named_symptoms
from rules.question import UNKNOWN

Tree: TypeAlias = tuple[object, ...]


def next_ask(now: Situation) -> str | None:
    """Return the first question of the treated symptom whose answer can change anything."""
    passed_over: frozenset[str] = frozenset()
    while (prompt := open_ask(now, passed_over)) is not None:
        silent = passed_over | {prompt}
        without = _tree(now, silent)
        # The last choices are most often the ones that change something.
        answers = (UNKNOWN, *reversed(choices_of(now.book, prompt)))
        if any(_tree(told(now, prompt, one), passed_over) != without for one in answers):
            return prompt
        passed_over = silent
    return None


def _tree(now: Situation, passed_over: frozenset[str]) -> Tree:
    """Return what each way to answer leads to; a question that changes nothing is left out."""
    prompt = open_ask(now, passed_over)
    if prompt is None:
        return outcome(now)
    without = _tree(now, passed_over | {prompt})
    answers = (*choices_of(now.book, prompt), UNKNOWN)
    branches = [_tree(told(now, prompt, one), passed_over) for one in answers]
    return without if all(one == without for one in branches) else (prompt, without, *branches)


def outcome(now: Situation) -> Tree:
    """Return what a pass comes to: its advice, what it blocks, and which gates it shuts.

    A turn is what is turned; of any other advice the words are what the crew takes away.
    """
    draft = decide(now).draft
    symptoms = frozenset(named_symptoms(now.state, now.run))
    blocks = frozenset(one.inspection for one in gates.raised(symptoms, now.run.answers))
    said = () if draft.turns else (draft.rule, draft.title, draft.cause, draft.lines)
    return (
        draft.kind,
        draft.turns,
        draft.undoes,
        draft.inspection,
        said,
        blocks,
        now.danger,
        gates.stood_big(symptoms, now.run.answers),
    )
