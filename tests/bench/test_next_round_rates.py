"""The range of the next round's time on a few logs of invented cars: the report plays thousands.

On 1969 held-out rounds it held 89.0 %. Fewer than 48 of 60 rounds come of such a share about once
in eighty sets of seeds (binomial); these seeds are fixed.
"""

from tests.bench.report_next_round import one_round


def test_the_range_holds_about_nine_times_in_ten() -> None:
    told = [one_round((seed, True)) for seed in range(100, 162)]
    clean = [one for one in told if not one.of.spoilt][:60]
    assert sum(one.held for one in clean) >= 48
    steady = sorted(one.width for one in clean if one.of.kind == "steady")
    assert steady[len(steady) // 2] < 9.0
