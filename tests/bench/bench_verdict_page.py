"""The page of the latest verdict in a log with many timed passes, in a fresh process.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_verdict_page``. It reports and
asserts nothing. CPU is the process's own; the log is folded and the libraries are loaded before.
"""

import argparse
import time

import numpy  # noqa: F401

from rules.advice.change_evidence import latest_tried, verdict_of
from rules.book import shipped
from rules.evidence import local_level  # noqa: F401
from rules.log.folds.fold import fold
from tests.support.big_log import big_log
from tui.pages.verdict import verdict_lines


def main() -> None:
    """Draw the page twice and report."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--passes", type=int, default=1000)
    ask.add_argument("--of-a-meeting", type=int, default=1000)
    told = ask.parse_args()
    state = fold(big_log(told.passes, of_a_meeting=told.of_a_meeting))
    book = shipped()
    change = next(latest_tried(state))
    for which in ("first", "again"):
        begun = time.process_time()
        verdict_lines(state, verdict_of(state, book, change), book, 80)
        print(f"{which}: {1000.0 * (time.process_time() - begun):.0f} ms of CPU")


if __name__ == "__main__":
    main()
