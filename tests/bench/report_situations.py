"""Reports what comes out of every situation.

PYTHONPATH=. python tests/bench/report_situations.py
"""

from time import process_time

from tests.situations.all_of_them import SITUATIONS
from tests.situations.judge import judge
from tests.situations.known import KNOWN


def main() -> None:
    """Print each situation that is not right, with what is wanted, then the sums."""
    began = process_time()
    judged = [(case, judge(case)) for case in SITUATIONS]
    for case, one in judged:
        if one.right and one.strictly_right:
            continue
        if one.right:
            print(f"\n{case.name}: strictly read, don't know -> {one.strict}; {case.accepts}")
            continue
        print(f"\n{case.name}{'  (known)' if case.name in KNOWN else ''}")
        for fault in one.faults:
            print(f"  {fault}")
        print(f"  wanted: {'; '.join(case.accepts)}")
        if one.unknown_right is False:
            print(f"  wanted where nothing is known: {'; '.join(case.unknown)}")
        if one.forbidden:
            print(f"  forbidden: {'; '.join(case.forbids)}")
        print(f"  because: {case.why}")
    count = len(judged)
    print(f"\n{count} situations, {sum(one.ways for _, one in judged)} ways through them,")
    print(f'{sum(one.unknown_right for _, one in judged)} right with "don\'t know" everywhere,')
    print(f"{sum(one.strictly_right for _, one in judged)} of these by the strict reading,")
    print(f"{sum(one.truth_right for _, one in judged)} right with every answer given,")
    print(f"{sum(bool(one.forbidden) for _, one in judged)} with something forbidden,")
    print(f"{sum(one.stuck for _, one in judged)} ways end in a measure with no way on,")
    print(f"{sum(bool(one.unplayable) for _, one in judged)} cannot be played,")
    print(f"{sum(one.right for _, one in judged)} right in all; {process_time() - began:.1f} s")


if __name__ == "__main__":
    main()
