"""Reports the situations once more, on cars of which the launch knows enough to choose.

PYTHONPATH=. python tests/bench/report_situations_with_launch.py

Each history is played as it is told, the last pass is decided with the launch. What is forbidden
may never come out; where the answer is another than the careful crew chief's, it is listed.
"""

from collections import Counter
from dataclasses import replace
from unittest.mock import patch

from rules.advice.advise import advise
from rules.book import Book
from rules.launch.model import launch_model
from rules.log.advice import Advice
from rules.log.state import Run, State
from tests.situations.all_of_them import SITUATIONS
from tests.situations.judge import never_with
from tests.situations.walk import HistoryError, begin, first_word
from tests.situations.words import Situation, fits, touches

TOTAL_KG, WHEELBASE_M = 1500.0, 2.75


def with_launch(state: State, run: Run, book: Book, _: object = None) -> Advice:
    """Advise with the launch, whoever asks."""
    return advise(state, run, book, launch_model)


def known(case: Situation) -> Situation:
    """Return a situation on the same car, weighed and measured."""
    car = case.car
    masses = car.masses.model_copy(update={"total_kg": TOTAL_KG})
    geometry = car.geometry.model_copy(update={"wheelbase_m": WHEELBASE_M})
    return replace(case, car=car.model_copy(update={"masses": masses, "geometry": geometry}))


def main() -> None:
    """Print each situation whose answer is another than wanted, then the sums."""
    sums: Counter[str] = Counter()
    for case in map(known, SITUATIONS):
        try:
            start = begin(case)
        except HistoryError as error:
            sums["cannot be played"] += 1
            print(f"{case.name}: {error}", flush=True)
            continue
        told = case.seen.said if case.seen else {}
        fitted = start.crew.fitted
        with patch("rules.advice.advise.advise", with_launch):
            truth = first_word(start, told, case.accepts)
        right = truth is not None and any(fits(w, truth, fitted) for w in case.accepts)
        barred = truth is not None and any(
            touches(words, truth, fitted) for words in (*case.forbids, *never_with(truth))
        )
        sums["as wanted" if right else "another answer"] += 1
        sums["forbidden"] += barred
        if barred or not right:
            print(f"{'FORBIDDEN ' * barred}{case.name}: {truth}; wanted {case.accepts}", flush=True)
    print(dict(sums))


if __name__ == "__main__":
    main()
