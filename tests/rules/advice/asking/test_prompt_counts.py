"""From "what did the car do?" to the advice: few questions, counted over the whole book."""

from statistics import median

import pytest

from rules.book import shipped
from rules.crew.examples import consult_example
from tests.support.sample import sampled

BOOK = shipped()


@pytest.mark.parametrize("symptom", sampled(zip(sorted(BOOK.symptoms)), 3))
def test_at_most_eight_questions_and_five_in_the_median(symptom: str) -> None:
    counts = [
        consult_example(BOOK, rule, example)[1]
        for rule in BOOK.rules_for(symptom)
        for example in rule.fires
    ]
    assert max(counts) <= 8
    assert median(counts) <= 5
