"""Reports how often verdicts on simulated crews are right.

PYTHONPATH=. python tests/bench/report_verdicts.py

Everything is judged by the shipped functions, seeded. Pass a number of cars for each row to change
it from 2000.
"""

import sys
from collections.abc import Sequence
from statistics import median
from time import perf_counter

import numpy as np

from rules.evidence.verdict import SURE
from rules.evidence.worth import USUAL_WORTH_S
from tests.bench.crews import DRIFT_S, SCATTER_S, Car, bins, either_way, run_cars, share

SIGMAS = (0.0, 0.5, 1.0, 2.0, 3.0)
SEED = 20310504


def by_effect(drift_s: float, count: int) -> list[Car]:
    """Print one line for each true effect: the shipped verdict and the naive rule beside it."""
    print(f"\nDrift {drift_s:+.3f} s a pass; half of the cars truly quicker, half slower.")
    print(
        "true size   right  wrong  cannot | passes: median, 90 % | naive: right wrong\n"
        "  (sigma)                 tell   |                      |"
    )
    everyone: list[Car] = []
    for place, sigmas in enumerate(SIGMAS):
        cars = run_cars(either_way(sigmas, count), SEED + place, drift_s)
        everyone += cars
        told = [one.first.passes for one in cars if one.first is not None]
        when = f"{median(told):>6g} {np.quantile(told, 0.9):>6g}" if told else " " * 13
        if sigmas == 0.0:
            row = f"{'-':>6} {1 - share(cars, 'cannot tell'):>6.1%}"
            naive = f"{'-':>6} {1.0:>6.1%}"
        else:
            row = f"{right(cars):>6.1%} {wrong(cars):>6.1%}"
            off = sum(one.naive == _true(one) for one in cars) / len(cars)
            naive = f"{off:>6.1%} {1 - off:>6.1%}"
        print(f"{sigmas:>9g}  {row} {share(cars, 'cannot tell'):>7.1%} | {when:>20} | {naive}")
    return everyone


def by_word(cars: Sequence[Car]) -> None:
    """Print how often each word was right where there was a true effect of some size."""
    for word in ("helped", "hurt"):
        for name, said in (("shipped", lambda one: one.said), ("naive", lambda one: one.naive)):
            those = [one for one in cars if said(one) == word]
            truly = sum(one.effect_s != 0 and _true(one) == word for one in those)
            print(
                f"  {word:<6} by {name:<7}: {truly / len(those):>6.1%} right of {len(those)} "
                "(the rest: wrong way, or no effect at all)"
            )


def false_helped(count: int, drifts: dict[str, list[Car]]) -> None:
    """Print how often a change without effect is said to help, under several conditions."""
    print(
        "\nNo true effect: crews told 'helped' within 12 looks; stopping at the first word,\n"
        "and at any look by a crew that never stops. Naive: at the first pass."
    )
    cases: list[tuple[str, dict[str, object]]] = [
        ("smallest effect 0.003 s", {"worth_s": 0.003}),
        ("order AABBAABBAABBA", {"order": "AABBAABBAABBA"}),
        ("the same, drift -0.004", {"order": "AABBAABBAABBA", "drift_s": DRIFT_S}),
        ("order AAABBBBBBBBBB, drift -0.004", {"order": "AAABBBBBBBBBB", "drift_s": DRIFT_S}),
        ("a steady car, scatter 0.006 s", {"scatter_s": 0.006}),
        ("a wild car, scatter 0.020 s", {"scatter_s": 0.020}),
    ]
    print(f"{'':<36}first word  any look   naive")
    rows = [*drifts.items()]
    rows += [
        (name, run_cars([0.0] * count, SEED + 100 + place, **how))  # type: ignore[arg-type]
        for place, (name, how) in enumerate(cases)
    ]
    for name, cars in rows:
        ever = sum(one.ever("helped") for one in cars) / len(cars)
        naive = sum(one.naive == "helped" for one in cars) / len(cars)
        print(f"{name:<36}{share(cars, 'helped'):>9.1%} {ever:>9.1%} {naive:>7.1%}")


def calibration(title: str, cars: Sequence[Car]) -> None:
    """Print the stated chance of quicker in ten bins, and how often it was so."""
    print(f"\nStated chance of quicker against truth, every look: {title}")
    print("      bin    looks  stated  truly")
    off = total = 0.0
    for place, (looks, stated, truly) in enumerate(bins(cars)):
        print(f"{place / 10:>5.1f}-{(place + 1) / 10:.1f} {looks:>7} {stated:>7.3f} {truly:>6.3f}")
        if looks:
            off += looks * abs(stated - truly)
            total += looks
    print(f"mean distance, by looks: {off / total:.3f}")


def right(cars: Sequence[Car]) -> float:
    """Return the share of crews told the truth."""
    return sum(one.said == _true(one) for one in cars) / len(cars)


def wrong(cars: Sequence[Car]) -> float:
    """Return the share of crews told the opposite."""
    return sum(one.said not in ("cannot tell", _true(one)) for one in cars) / len(cars)


def _true(car: Car) -> str:
    return "helped" if car.effect_s < 0 else "hurt"


def main() -> None:
    """Print all tables."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    start = perf_counter()
    print(
        f"{count} cars a row, up to 12 looks after the first pass, order A-B-A-B...; scatter "
        f"{SCATTER_S:g} s (1 sigma);\nsmallest effect worth having {USUAL_WORTH_S:g} s, sure at "
        f"{SURE:g}; the crew stops at the first word."
    )
    everyone: list[Car] = []
    without_effect = {}
    for drift in (0.0, DRIFT_S):
        cars = by_effect(drift, count)
        by_word(cars)
        everyone += cars
        without_effect[f"the table's, drift {drift:+.3f} s a pass"] = cars[:count]
    false_helped(count, without_effect)
    chance = np.random.default_rng(SEED)
    effects = chance.normal(0.0, 0.020, count).tolist()
    drifts = chance.normal(0.0, 0.004, count).tolist()
    calibration("effects and drifts as the prior has them", run_cars(effects, SEED + 1, drifts))
    calibration("the sizes of the tables above (no effect counts as half)", everyone)
    print(f"\n{perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
