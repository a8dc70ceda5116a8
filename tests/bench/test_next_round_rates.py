"""The range of the next round's time on a few logs of invented cars: the report plays thousands.

On 1969 held-out rounds it held 89.0 %. Fewer than 31 of 40 rounds come of such a share about once
in a hundred sets of seeds (binomial); these seeds are fixed.
"""

from tests.bench.report_next_round import one_round


def test_the_range_holds_about_nine_times_in_ten() -> None:
    told = [one_round((seed, True)) for seed in range(100, 142)]
    clean = [one for one in told if not one.of.spoilt][:40]
    assert sum(one.held for one in clean) >= 31
    steady = sorted(one.width for one in clean if one.of.kind == "steady")
    assert steady[len(steady) // 2] < 9.0
