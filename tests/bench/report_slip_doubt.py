"""How often one wrong digit on a slip is asked back, and how often an honest time is.

PYTHONPATH=. python tests/bench/report_slip_doubt.py --first 10000 --slips 4000

Logs of invented cars: none to twelve passes on the setting at this meeting, and as many on it at
two others or none. What is typed wrong is one digit of one time, any other in its place. Asked back
is what `questions` asks at the end of the slip; a digit that moves a time by less than the car's
own scatter tells nobody anything. Seeds below 1000 are for tuning, from 10000 they are held out.
"""

import argparse
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from math import sqrt

import numpy as np

from rules.crew.own_times import own_numbers
from rules.log.state import Meeting, Run, State
from rules.passes.slip import Own, Slip, questions
from tests.bench.clock_days.world import DRIFTS, HEAVY_SHARE, SCATTER_S, Array, drawn_meeting

TIMES = ("sixty_s", "three_thirty_s", "eighth_s", "quarter_s")
AT = datetime(2025, 5, 3, 12, 0, tzinfo=UTC)
# What a difference at the 60-foot is worth at each beam, and what the way there adds of its own, in
# scatters of the 60-foot; common practice, no source.
CARRIED, OWN_SHARE = (1.0, 1.25, 1.4, 1.5), (0.0, 0.35, 0.6, 0.8)
# What air and wind move the eighth by over a day, as a share of it.
AIR_SHARE = 0.004


@dataclass(frozen=True)
class Case:
    """A slip, what its setting ran before, and whether it was spoilt."""

    slip: Slip
    own: dict[str, Own]
    spoilt: bool
    before: int
    scatter_s: float


def drawn_case(seed: int) -> Case:
    """Draw a car, its log and its next slip."""
    chance = np.random.default_rng([seed, 40])
    low, high = np.log(SCATTER_S)
    scatter = float(np.exp(chance.uniform(low, high)))
    heavy = bool(chance.random() < HEAVY_SHARE)
    sixty = float(chance.uniform(1.15, 1.75))
    beams = _beams(chance, sixty)
    here, others = int(chance.integers(0, 13)), int(chance.choice([0, 2]))
    runs: list[Run] = []
    slip, spoilt = Slip(), False
    for place in range(others + 1):
        last = place == others
        count = here + 1 if last else int(chance.integers(3, 8))
        drift = DRIFTS[int(chance.integers(len(DRIFTS)))]
        level = float(chance.normal(0.0, 0.02))
        day, lost = drawn_meeting(chance, count, level, scatter, heavy, drift)
        air = AIR_SHARE * np.cumsum(chance.normal(0.0, 0.5, count))
        for i in range(count):
            off = np.array(CARRIED) * day.old_s[i]
            off += np.cumsum(chance.normal(0.0, scatter, 4) * np.diff([0.0, *OWN_SHARE]) ** 0.5)
            times = np.round(beams * (1.0 + np.array([0.1, 0.6, 1.0, 1.0]) * air[i]) + off, 3)
            slip = Slip(**{key: float(one) for key, one in zip(TIMES, times, strict=True)})
            spoilt = bool(lost[i])
            if not (last and i == here):
                number = len(runs) + 1
                one = Run(f"r{number}", number, AT, f"m{place}", None, None, slip=slip)
                runs.append(replace(one, settings={"knob": 1.0}))
    meetings = tuple(Meeting(f"m{one}", f"m{one}") for one in range(others + 1))
    state = State(runs=tuple(runs), settings={"knob": 1.0}, meetings=meetings)
    return Case(slip, dict(own_numbers(state, None)), spoilt, here, scatter)


def _beams(chance: np.random.Generator, sixty: float) -> Array:
    """Draw the times of a car that gets quicker and quicker, so that nothing else is asked back."""
    while True:
        shape = np.array([1.0, *chance.normal(1.0, 0.02, 3)])
        beams: Array = sixty * np.array([1.0, 2.8, 4.35, 6.8]) * shape
        slip = Slip(**{key: float(one) for key, one in zip(TIMES, beams, strict=True)})
        if not questions(slip):
            return beams


def wrong_digit(slip: Slip, key: str, chance: np.random.Generator) -> tuple[Slip, int]:
    """Return the slip with one digit of a time typed wrong, and which, from the left."""
    typed = list(f"{getattr(slip, key):.3f}".replace(".", ""))
    place = int(chance.integers(len(typed)))
    typed[place] = str((int(typed[place]) + int(chance.integers(1, 10))) % 10)
    value = int("".join(typed)) / 1000.0
    return replace(slip, **{key: value}), place - len(typed)  # type: ignore[arg-type]


def ranged(those: list[bool]) -> str:
    """Return a share with its 95 % range (Wilson 1927)."""
    of = len(those)
    if not of:
        return "none"
    z, p = 1.96, sum(those) / of
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return f"{p:6.1%} ({max(0.0, middle - half):.1%} to {middle + half:.1%}, {of})"


def main() -> None:
    """Print it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--slips", type=int, default=500)
    given = parser.parse_args()
    honest: dict[str, list[bool]] = defaultdict(list)
    caught: dict[str, list[bool]] = defaultdict(list)
    for seed in range(given.first, given.first + given.slips):
        case = drawn_case(seed)
        chance = np.random.default_rng([seed, 41])
        known = "enough passes" if "sixty_s" in case.own else "too few passes"
        asked = bool(questions(case.slip, case.own))
        honest["spoilt, not marked" if case.spoilt else "honest"].append(asked)
        if not case.spoilt:
            honest[f"  honest, {known}"].append(asked)
            honest["  honest, 60-foot alone"].append(
                bool(questions(Slip(sixty_s=case.slip.sixty_s), case.own))
            )
        if case.spoilt:
            continue
        for key in TIMES:
            slip, place = wrong_digit(case.slip, key, chance)
            found = bool(questions(slip, case.own))
            caught[key].append(found)
            caught[f"  {key}, {known}"].append(found)
            if key == "sixty_s":
                named = ("thousandths", "hundredths", "tenths", "seconds")[-place - 1]
                caught[f"    60-foot, digit of the {named}, {known}"].append(found)
                alone = bool(questions(Slip(sixty_s=slip.sixty_s), case.own))
                caught["  sixty_s, the 60-foot alone on the slip"].append(alone)
    print("asked back")
    for name in sorted(honest, key=str.strip):
        print(f"  {name:<40} {ranged(honest[name])}")
    print("one wrong digit caught")
    for name in sorted(caught, key=str.strip):
        print(f"  {name:<52} {ranged(caught[name])}")


if __name__ == "__main__":
    main()
