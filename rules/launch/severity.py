"""How bad a fault was, in one word of three: which question asks it, and what the words are.

Only the words: what they say of a launch is in `rules.launch.belief.how_bad`.
"""

from collections.abc import Iterable

from rules.book.facts import Fact
from rules.launch.outlook import JUDGED

LITTLE, PLAINLY, BADLY = WORDS = ("a-little", "plainly", "badly")


def how_bad(symptom: str) -> str:
    """Return the id of the question how bad a symptom was."""
    return f"how-bad-{symptom}"


PROMPTS = tuple(sorted(map(how_bad, JUDGED)))


def how_bad_was_said(facts: Iterable[tuple[str, Fact]]) -> frozenset[str]:
    """Return the symptoms of which a pass said how bad they were; "don't know" says nothing."""
    said = {prompt for prompt, word in facts if word in WORDS}
    return frozenset(one for one in JUDGED if how_bad(one) in said)
