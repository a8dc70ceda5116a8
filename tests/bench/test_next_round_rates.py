"""The range of the next round's time on a few logs of invented cars: the report plays thousands.

On 1969 held-out rounds it held 89.0 %. Fewer than 31 of 40 rounds, or 7 of 10, come of such a
share about once in a hundred sets of seeds (binomial); these seeds are fixed.
"""

import pytest

from tests.bench.report_next_round import one_round


@pytest.mark.parametrize(
    ("rounds", "least"), [(10, 7), pytest.param(40, 31, marks=pytest.mark.sweep)]
)
def test_the_range_holds_about_nine_times_in_ten(rounds: int, least: int) -> None:
    told = [one_round((seed, True)) for seed in range(100, 102 + rounds)]
    clean = [one for one in told if not one.of.spoilt][:rounds]
    assert len(clean) == rounds
    assert sum(one.held for one in clean) >= least
    steady = sorted(one.width for one in clean if one.of.kind == "steady")
    assert steady[len(steady) // 2] < 9.0
