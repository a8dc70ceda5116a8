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
from rules.advice.safety.pass_facts import PassFacts
from rules.advice.situation import Situation
from rules.log.changes import PUT_BACK
from rules.log.said import named_symptoms
from rules.question import UNKNOWN

Tree: TypeAlias = tuple[object, ...]


def next_ask(now: Situation) -> str | None:
    """Return the first question of the treated symptom whose answer can change anything."""
    passed_over: frozenset[str] = frozenset()
    ways = _Ways()
    while (prompt := open_ask(now, passed_over)) is not None:
        # The last choices are most often the ones that change something.
        answers = (UNKNOWN, *reversed(choices_of(now.book, prompt)))
        silent = passed_over | {prompt}
        if any(ways.differ(now, told(now, prompt, one), silent) for one in answers):
            return prompt
        without = ways.tree(now, silent)
        if any(ways.tree(told(now, prompt, one), passed_over) != without for one in answers):
            return prompt
        passed_over = silent
    return None


class _Ways:
    """What the ways to answer one pass come to, each worked out once."""

    def __init__(self) -> None:
        self._outcomes: dict[frozenset[object], Tree] = {}
        self._trees: dict[tuple[object, ...], Tree] = {}

    def outcome(self, now: Situation) -> Tree:
        """Return what the pass comes to with nothing more said."""
        key = frozenset(now.run.answers.items())
        if key not in self._outcomes:
            self._outcomes[key] = outcome(now)
        return self._outcomes[key]

    def differ(self, now: Situation, other: Situation, passed_over: frozenset[str]) -> bool:
        """Tell whether two ways differ with nothing else said, or with one thing more.

        Then their whole trees differ as well, which take far longer to grow.
        """
        if self.outcome(now) != self.outcome(other):
            return True
        both = set(open_asks(other, passed_over))
        return any(
            self.outcome(told(now, prompt, one)) != self.outcome(told(other, prompt, one))
            for prompt in open_asks(now, passed_over)
            if prompt in both
            for one in choices_of(now.book, prompt)
        )

    def tree(self, now: Situation, passed_over: frozenset[str]) -> Tree:
        """Return what each way to answer leads to; a question that changes nothing is left out."""
        key = (frozenset(now.run.answers.items()), passed_over)
        if key not in self._trees:
            self._trees[key] = self._branches(now, passed_over)
        return self._trees[key]

    def _branches(self, now: Situation, passed_over: frozenset[str]) -> Tree:
        prompt = open_ask(now, passed_over)
        if prompt is None:
            return self.outcome(now)
        without = self.tree(now, passed_over | {prompt})
        answers = (*choices_of(now.book, prompt), UNKNOWN)
        branches = [self.tree(told(now, prompt, one), passed_over) for one in answers]
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
