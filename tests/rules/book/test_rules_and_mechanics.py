"""The page of the rules against mechanics holds the book that is shipped; nothing is recomputed."""

import pytest

from rules.book import shipped
from tests.bench.report_rules import (
    BEGIN,
    PAGE,
    has_claim,
    lever_words,
    measured,
    not_tested,
    turned_rules,
)

BOOK = shipped()
PAGE_TEXT = PAGE.read_text("utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in PAGE_TEXT.split(BEGIN)[1].splitlines()
    if line.startswith("| ") and not line.startswith("| rule ")
]
AGAIN = "run PYTHONPATH=. python tests/bench/report_rules.py --write"


def test_every_rule_that_turns_something_is_on_the_page_as_it_is_in_the_book() -> None:
    rules = [*turned_rules(BOOK), *not_tested(BOOK)]
    assert [row[:2] for row in ROWS] == [[one.id, lever_words(one)] for one in rules], AGAIN


def test_a_rule_that_is_not_tested_says_why() -> None:
    why = {one.id: has_claim(one) for one in not_tested(BOOK)}
    assert all(why.values())
    assert {row[0]: row[2] for row in ROWS if row[0] in why} == why, AGAIN


def test_a_rule_below_four_in_five_takes_a_small_step_and_says_that_it_may_be_wrong() -> None:
    below = [BOOK.rules[row[0]] for row in ROWS if row[-1].startswith("below 80 %")]
    assert below
    for rule in below:
        assert rule.crews_differ, rule.id
        assert rule.first_step in ("half", "one"), rule.id
        assert any("mechanics" in one or "wrong" in one for one in rule.wrong_when), rule.id


@pytest.mark.sweep
def test_a_few_drawn_cars_bear_out_what_no_crew_doubts() -> None:
    found = measured(BOOK, 60)
    for rule in ("carries-rebound-firmer", "carries-launch-softer", "squats-spring-stiffer"):
        assert found[rule].cars >= 3, rule
        assert found[rule].share == 1.0, rule
