"""How long an advice takes with its ensemble, from the last answer on.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_advice``. It reports and asserts
nothing. Each line is a fresh process: with the load of the array library, then without. "And
before" adds three passes at other settings, each with a measured lift.
"""

import subprocess
import sys
import time
from dataclasses import replace

QUESTIONS = {
    "drops hard, small stand": ("high-speed compression", True, 2, "front-drops-hard", "small"),
    "drops hard, big stand": ("rebound", True, 3, "front-drops-hard", "big"),
    "carries": ("rebound", True, 4, "front-carries", "big"),
}
AND_BEFORE = {-2: 0.55, -4: 0.7, 2: 0.38}


def report(name: str, and_before: bool) -> None:
    """Print the times of one question, the first and the best of five more, each another draw."""
    from rules.launch.proposed_change import Seen
    from tests.support.launch.car_questions import pair, question, shipped_car, turned

    lever, upward, steps, symptom, stand = QUESTIONS[name]
    asked = question(
        shipped_car("demo"), pair(lever), upward, steps, symptom,
        stand=stand, front_travel="at-stop", carry="long",
    )  # fmt: skip
    if and_before:
        asked = replace(asked, measured={"lift": (0.45, 0.03)}, earlier=tuple(
            Seen(
                tuple(sorted(turned(shipped_car("demo"), pair("rebound"), True, clicks).items())),
                measured=(("lift", (lift, 0.03)),),
            )
            for clicks, lift in AND_BEFORE.items()
        ))  # fmt: skip
        name = f"{name}, and before"
    taken = []
    for seed in range(6):
        start = time.perf_counter()
        from rules.launch.forecast import forecast

        forecast(asked, seed=seed)
        taken.append(time.perf_counter() - start)
    print(f"{name:36} first {taken[0]:5.2f} s   then {min(taken[1:]):5.2f} s")


def main() -> None:
    """Report each question in a process of its own."""
    if len(sys.argv) > 1:
        report(sys.argv[1], "before" in sys.argv)
        return
    for name in QUESTIONS:
        for more in ((), ("before",)):
            command = [sys.executable, "-m", "tests.bench.bench_advice", name, *more]
            subprocess.run(command, check=True)


if __name__ == "__main__":
    main()
