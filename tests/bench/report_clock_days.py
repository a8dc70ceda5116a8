"""How often the clock speaks on days of invented cars, how often wrongly, and what a day gains.

PYTHONPATH=. python tests/bench/report_clock_days.py --first 10000 --days 300

The crew runs one pass on the old setting, one on the new, then what the program proposes, and looks
after every pass; it goes home with the first word that told. Seeds below 1000 are for tuning.
Seeds from 10000 are held out: their figures are reported, and nothing is ever tuned on them.
"""

import argparse
import multiprocessing
import os
from collections.abc import Callable, Sequence
from functools import partial
from math import sqrt
from statistics import fmean, stdev

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tests.bench.clock_days.play import PASSES, Played, keep_faster_mean, keep_if_faster, play
from tests.bench.clock_days.program import shipped
from tests.bench.clock_days.world import drawn_day

SIGMAS = (0.0, 1.0, 2.0, 3.0)
# Days without an effect are played so many times as often: their share is the smallest.
OF_NONE = 3
LENGTHS = (3, 5, 7, 13)
SLOWER_S = 0.005
STRATA: tuple[tuple[str, Callable[[Played], str]], ...] = (
    ("car", lambda one: one.day.steadiness),
    ("tails", lambda one: "heavy" if one.day.heavy else "normal"),
    ("drift", lambda one: one.day.drift),
)


def one_day(case: tuple[int, float], old: int, meetings: int, passes: int) -> Played:
    """Play one day of the shipped program."""
    seed, sigmas = case
    return play(drawn_day(seed, sigmas, passes, old, meetings), shipped, passes)


def ranged(those: Sequence[Played], holds: Callable[[Played], bool]) -> str:
    """Return a share with its 95 % range (Wilson 1927, J. Am. Stat. Assoc. 22:209)."""
    of = len(those)
    if not of:
        return "none"
    z, p = 1.96, sum(map(holds, those)) / of
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return f"{p:6.1%} ({max(0.0, middle - half):.1%} to {middle + half:.1%}, {of} days)"


def false_words(days: Sequence[Played]) -> None:
    """Print how often a change without effect is ever said to help, by stratum."""
    none = [one for one in days if one.day.sigmas == 0.0]
    print("\nNo true effect: said to help at any look")
    print(f"  all              {ranged(none, lambda one: one.ever('helped'))}")
    print(f"  (said to hurt    {ranged(none, lambda one: one.ever('hurt'))})")
    for name, key in STRATA:
        for value in sorted({key(one) for one in none}):
            those = [one for one in none if key(one) == value]
            print(f"  {name:<6} {value:<9} {ranged(those, lambda one: one.ever('helped'))}")


def told(days: Sequence[Played]) -> None:
    """Print how often the crew is told the truth, by the true size."""
    print("\nTold the truth; told the opposite")
    for sigmas in SIGMAS[1:]:
        those = [one for one in days if one.day.sigmas == sigmas]
        print(
            f"  {sigmas:g} sigma  {ranged(those, lambda one: one.told)}; "
            f"{ranged(those, lambda one: one.said not in (one.truth, 'cannot tell'))}"
        )
        for name, key in STRATA:
            for value in sorted({key(one) for one in those}):
                part = [one for one in those if key(one) == value]
                print(f"     {name:<6} {value:<9} {ranged(part, lambda one: one.told)}")
    rates = {s: [one for one in days if one.day.sigmas == s] for s in SIGMAS}
    said = {s: fmean(one.said == "helped" for one in those) for s, those in rates.items()}
    true = {
        s: fmean(one.said == one.truth == "helped" for one in those) for s, those in rates.items()
    }
    print(
        f'\n"Helped" is true, each size as likely, none counted as false: {_part(true, said):.1%}'
    )
    said[0.0] = true[0.0] = 0.0
    print(f'"Helped" is true where there is an effect: {_part(true, said):.1%}')


def _part(of: dict[float, float], all_of: dict[float, float]) -> float:
    return sum(of.values()) / max(1e-9, sum(all_of.values()))


def calibration(days: Sequence[Played]) -> None:
    """Print stated chances of quicker against what came true; no effect counts as half."""
    bins: list[list[tuple[float, float]]] = [[] for _ in range(10)]
    for one in days:
        weight = 1.0 if one.day.sigmas else 1.0 / OF_NONE
        true = 0.5 if one.day.effect_s == 0.0 else float(one.day.effect_s < 0.0)
        if weight == 1.0 or one.day.seed % OF_NONE == 0:
            for look in one.looks:
                bins[min(9, int(look.quicker * 10))].append((look.quicker, true))
    filled = [one for one in bins if one]
    stated = [(fmean(s for s, _ in one), fmean(t for _, t in one), len(one)) for one in filled]
    off = sum(abs(s - t) * n for s, t, n in stated) / sum(n for _, _, n in stated)
    print("\nStated chance of quicker and what came true, every look: ", end="")
    print(", ".join(f"{s:.2f}/{t:.2f}" for s, t, _ in stated))
    print(f"mean distance, by looks: {off:.3f}")


def promises(days: Sequence[Played]) -> None:
    """Print what was said that more passes would tell, and how often they did."""
    print('\n"N more passes would": stated and came true')
    said = [one for day in days for one in day.promises]
    for low, high in ((0.5, 0.6), (0.6, 0.7), (0.7, 0.8), (0.8, 1.01)):
        those = [one for one in said if low <= one[0] < high]
        if those:
            stated, came = fmean(one for one, _ in those), fmean(one for _, one in those)
            print(f"  {stated:.2f} came {came:.2f}, {len(those)} times")


def gains(days: Sequence[Played], passes: int) -> None:
    """Print what days of several lengths gain, against two rules of thumb on the same passes."""
    those = [one for one in days if one.day.sigmas or one.day.seed % OF_NONE == 0]
    print(f"\nEnd of day: gain [ms] with its 95 % range; days that end {SLOWER_S:g} s slower")
    for length in [one for one in LENGTHS if one <= passes]:
        rules: tuple[tuple[str, Callable[[Played], str]], ...] = (
            ("the program", lambda one, n=length: one.ended(n)),  # type: ignore[misc]
            ("keep if faster", keep_if_faster),
            ("keep the faster mean", lambda one, n=length: keep_faster_mean(one, n)),  # type: ignore[misc]
        )
        for name, rule in rules:
            won = [1000.0 * one.gain(rule(one)) for one in those]
            give = 1.96 * stdev(won) / sqrt(len(won))
            slower = ranged(those, lambda one, rule=rule: one.gain(rule(one)) <= -SLOWER_S)  # type: ignore[misc]
            print(f"  {length:>2} passes, {name:<21} {fmean(won):6.2f} +- {give:.2f}; {slower}")


def main() -> None:
    """Play and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--days", type=int, default=200, help="of each size")
    parser.add_argument("--old", type=int, default=0, help="passes on other settings before today")
    parser.add_argument("--meetings", type=int, default=1, help="on the same settings, with today")
    parser.add_argument("--passes", type=int, default=PASSES)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    cases = [
        (asked.first + n, sigmas)
        for sigmas in SIGMAS
        for n in range(asked.days * (1 if sigmas else OF_NONE))
    ]
    played = partial(one_day, old=asked.old, meetings=asked.meetings, passes=asked.passes)
    with multiprocessing.Pool(asked.jobs) as pool:
        days = pool.map(played, cases, chunksize=10)
    print(
        f"Seeds from {asked.first}; {asked.days} days of each size, {asked.passes} passes, "
        f"{asked.old} old passes, {asked.meetings} meetings."
    )
    false_words(days)
    told(days)
    calibration(days)
    promises(days)
    gains(days, asked.passes)


if __name__ == "__main__":
    main()
