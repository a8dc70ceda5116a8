"""The book is written once and read in either wording."""

import re

import pytest

from rules.book import shipped
from rules.book.facts import leaves
from rules.wording import plural, say

BOTH = [
    ("Firmer damper rebound", "Tighter shock extension"),
    ("TYRE", "TIRE"),
    ("The dampers' tyres", "The shocks' tires"),
    ("past {60 ft|18 m} and {2 in|50 mm}", "past 60 ft and 2 in"),
]


@pytest.mark.parametrize(("book", "us"), BOTH)
def test_the_us_wording(book: str, us: str) -> None:
    assert say(book, "us") == us


def test_the_metric_wording_keeps_the_book() -> None:
    assert say("Firmer damper rebound", "metric") == "Firmer damper rebound"
    assert say("past {60 ft|18 m}", "metric") == "past 18 m"


def test_counts_take_their_noun() -> None:
    assert [plural(n, "click") for n in (1, 2, 0, -1)] == [
        "1 click",
        "2 clicks",
        "0 clicks",
        "-1 click",
    ]


def test_the_book_softens_knobs_only() -> None:
    """Looser, as a US crew reads softer, makes no sense of a spring, a launch or a landing."""
    loosened = re.compile(
        r"softer[^.;,]*\b(spring|launch|landing|tyre)|(spring|launch) softer", re.I
    )
    for rule in shipped().rules.values():
        for text in (rule.cause, rule.why, rule.expect, rule.look_for, rule.caution):
            assert not loosened.search(text), f"{rule.id}: {text}"


def test_a_cause_says_nothing_of_what_else_was_turned() -> None:
    """The mechanics may choose a rule's lever before those that stand ahead of it in the book."""
    elsewhere = re.compile(r"\btried\b|at (its|their|an) end\b|not fitted")
    for rule in shipped().rules.values():
        seen = {leaf.fact for leaf in leaves(rule.when)}
        for text in (rule.cause, rule.why):
            assert "tried" in seen or not elsewhere.search(text), f"{rule.id}: {text}"
