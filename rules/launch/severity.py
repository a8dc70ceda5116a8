"""How bad a fault was, in one word of three: which question asks it, and what the words are.

Only the words: what they say of a launch is in `rules.launch.belief.how_bad`.
"""

from rules.launch.judged import JUDGED

LITTLE, PLAINLY, BADLY = WORDS = ("a-little", "plainly", "badly")


def how_bad(symptom: str) -> str:
    """Return the id of the question how bad a symptom was."""
    return f"how-bad-{symptom}"


PROMPTS = tuple(sorted(map(how_bad, JUDGED)))
