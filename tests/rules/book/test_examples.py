"""Every example of the shipped book does what it promises."""

import pytest

from rules.book import shipped
from rules.crew.examples import example_faults
from tests.support.sample import sampled

BOOK = shipped()


@pytest.mark.parametrize("rule_id", sampled(zip(sorted(BOOK.rules)), 3))
def test_examples_of_a_rule_hold(rule_id: str) -> None:
    assert list(example_faults(BOOK, BOOK.rules[rule_id])) == []
