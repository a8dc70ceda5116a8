"""Whole race days of virtual crews: how often the advice leads to a good car, and how safely.

Run by hand: ``PYTHONPATH=. python tests/bench/report_days.py --days 100 --jobs 2``. Seeds below
1000 are for tuning. Seeds from 10000 are held out: their figures are reported, and nothing is
ever tuned on them (``--first 10000 --days 300``).
"""

import argparse
import multiprocessing
import os
from collections import Counter
from collections.abc import Sequence
from functools import partial
from importlib import import_module
from math import sqrt
from typing import Any

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tests.bench.virtual.day import Day, play_day
from tests.bench.virtual.fleets import FLEETS, USUAL
from tests.bench.virtual.kept import kept
from tests.bench.virtual.oracle import oracle_day
from tests.bench.virtual.overruled import table

WITHIN = (2, 4, 6)
# What a part of the decider is worth: where its number stands, and the number that takes it away.
WITHOUT = {
    "book": ("rules.advice.by_mechanics.choice", "BOOK_LOG_ODDS", 0.0),
    "lever factors": ("rules.launch.belief.particles", "LEVERS", 0.0),
    "times": ("rules.launch.belief.likelihood", "CLOCK_S", 1e6),
    "moves": ("rules.launch.belief.learning", "MOVE", 0.0),
    "looking ahead": ("rules.advice.by_mechanics.choice", "THEN", 0.0),
}


def one_day(
    seed: int,
    rules_only: bool,
    gaps: float,
    noise: float,
    oracle: bool,
    without: str = "",
    overruled: bool = False,
    knowing: bool = False,
    fleet: str = USUAL.name,
) -> Day:
    """Play one day, and on the same car in the same air those of who knows it."""
    from rules.launch.model import launch_model

    if without:
        module, name, value = WITHOUT[without]
        setattr(import_module(module), name, value)
    model = None if rules_only else launch_model
    cars = FLEETS[fleet]
    day, car, airs = play_day(seed, model, gaps, noise, by_rule=overruled, fleet=cars)
    if oracle:
        from rules.car.adjusters import starts

        name = f"oracle-{fleet}-{seed}-{gaps:g}"
        day.oracle = kept(name, lambda: oracle_day(car, airs, starts(car.file)))
    if knowing:
        day.knowing = play_day(seed, model, gaps, noise, knowing=True, fleet=cars)[0].changes
    return day


def wilson(count: int, of: int) -> tuple[float, float]:
    """Return the 95 % range of a share (Wilson 1927, J. Am. Stat. Assoc. 22:209)."""
    if not of:
        return 0.0, 1.0
    z, p = 1.96, count / of
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return middle - half, middle + half


def share(count: int, of: int) -> str:
    """Write a share with its range."""
    low, high = wilson(count, of)
    return (
        f"{100 * count / max(of, 1):5.1f} % ({100 * low:.0f} to {100 * high:.0f}), {count} of {of}"
    )


def within(days: Sequence[Day], name: str, whose: str = "changes") -> float:
    """Print how many days were good and repeated within some changes; return the mean of these."""
    took: list[int | None] = [getattr(day, whose) for day in days]
    print(f"{name}, {len(days)} days:")
    for most in WITHIN:
        print(
            f"  within {most}: {share(sum(n is not None and n <= most for n in took), len(days))}"
        )
    done = [n for n in took if n is not None]
    mean = sum(done) / max(len(done), 1)
    print(f"  changes on those days: {mean:.2f}")
    return mean


def report(days: Sequence[Day], oracle: bool, knowing: bool) -> None:
    """Print all that a set of days came to."""
    mean = within(days, "Good and repeated")
    within([day for day in days if len(day.first) > 1], "Of them with two or more faults")
    for asked, name, whose in (
        (oracle, "Oracle that tries all single turns", "oracle"),
        (knowing, "The same decider where it knows the car", "knowing"),
    ):
        if asked and (theirs := within(days, name, whose)):
            print(f"  over theirs the advice took: {mean / theirs:.2f}")
    made = sum(day.made for day in days)
    print(f"Clearly worse danger a change: {share(sum(d.worse for d in days), made)}")
    print(f"  any band of stand higher:    {share(sum(d.rose for d in days), made)}")
    passes = sum(day.passes for day in days)
    print(f"Idle passes with a fault:      {share(sum(d.idle for d in days), passes)}")
    print(f"  with a cure at hand:         {share(sum(d.curable for d in days), passes)}")
    print(f"  that no gate forbids:        {share(sum(d.left for d in days), passes)}")
    held = [one for day in days for one in day.held]
    print(f"Stated 80 % ranges held:       {share(sum(ok for _, ok in held), len(held))}")
    for name in sorted({name for name, _ in held}):
        own = [ok for one, ok in held if one == name]
        print(f"  {name:28} {share(sum(own), len(own))}")
    chances = [one for day in days for one in day.chances]
    print("Stated chance of cure against what came:")
    for low in (0.0, 0.2, 0.4, 0.6, 0.8):
        own_chances = [
            one for one in chances if low <= one[0] < low + 0.2 or one[0] == low + 0.2 == 1.0
        ]
        if own_chances:
            stated = sum(one[0] for one in own_chances) / len(own_chances)
            came = share(sum(ok for _, ok in own_chances), len(own_chances))
            print(f"  stated {stated:.2f}: {came}")
    cpu = sorted(one for day in days for one in day.cpu)
    if cpu:
        middle, most = cpu[len(cpu) // 2], cpu[int(len(cpu) * 0.9)]
        print(f"CPU an advice: median {middle:.2f} s, 90 % {most:.2f} s")
    print("Ends:", dict(Counter(day.end for day in days)))
    print("Faults at first:", dict(Counter(name for day in days for name in day.first)))
    lost = [day for day in days if day.changes is None]
    print("First fault of lost days:", dict(Counter(next(iter(day.first), "none") for day in lost)))


def tell(day: Day) -> None:
    """Print a day pass by pass."""
    print(f"Day {day.seed}: {day.end}, {day.made} changes")
    for one in day.told:
        print(f"  pass {one.number}: truly {one.faults or 'good'}, lift {one.lift:.2f} m")
        print(f"    said {one.named}; advised{one.advised}; {one.expected}")


def main() -> None:
    """Play days and report them."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--days", type=int, default=60)
    ask.add_argument("--first", type=int, default=0, metavar="SEED")
    ask.add_argument("--rules-only", action="store_true", help="without the launch model")
    ask.add_argument("--gaps", type=float, default=1.0, help="how much larger the truth's gaps are")
    ask.add_argument("--noise", type=float, default=1.0, help="how much noisier the crew is")
    ask.add_argument("--oracle", action="store_true", help="play the oracle on the same days")
    ask.add_argument("--knowing", action="store_true", help="the decider too that knows the car")
    ask.add_argument("--fleet", choices=FLEETS, default=USUAL.name, help="which cars are drawn")
    ask.add_argument("--tell", type=int, metavar="DAY", help="tell one day pass by pass")
    ask.add_argument("--without", choices=WITHOUT, default="", help="take a part away")
    ask.add_argument("--overruled", action="store_true", help="the book's own way, rule by rule")
    ask.add_argument("--jobs", type=int, default=1)
    told: Any = ask.parse_args()
    play = partial(
        one_day,
        rules_only=told.rules_only,
        gaps=told.gaps,
        noise=told.noise,
        oracle=told.oracle,
        without=told.without,
        overruled=told.overruled,
        knowing=told.knowing,
        fleet=told.fleet,
    )
    if told.tell is not None:
        tell(play(told.tell))
        return
    seeds = range(told.first, told.first + told.days)
    with multiprocessing.Pool(told.jobs) as pool:
        days = pool.map(play, seeds, chunksize=1)
    report(days, told.oracle, told.knowing)
    if told.overruled:
        print("\n".join(table(way for day in days for way in day.books.values())))


if __name__ == "__main__":
    main()
