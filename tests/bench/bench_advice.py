"""How long an advice takes with its ensemble, from the last answer on.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_advice``. It reports and asserts
nothing. Each line is a fresh process: with the load of the array library, then without.
"""

import subprocess
import sys
import time

QUESTIONS = {
    "drops hard, small stand": ("high-speed compression", True, 2, "front-drops-hard", "small"),
    "drops hard, big stand": ("rebound", True, 3, "front-drops-hard", "big"),
    "carries": ("rebound", True, 4, "front-carries", "big"),
}


def report(name: str) -> None:
    """Print the times of one question, the first and the best of five more."""
    from rules.expected import launch_model
    from tests.launch.car_questions import pair, question, shipped_car

    lever, upward, steps, symptom, stand = QUESTIONS[name]
    asked = question(
        shipped_car("demo"), pair(lever), upward, steps, symptom,
        stand=stand, front_travel="at-stop", carry="long",
    )  # fmt: skip
    taken = []
    for _ in range(6):
        start = time.perf_counter()
        launch_model(asked)
        taken.append(time.perf_counter() - start)
    print(f"{name:28} first {taken[0]:5.2f} s   then {min(taken[1:]):5.2f} s")


def main() -> None:
    """Report each question in a process of its own."""
    if len(sys.argv) > 1:
        report(sys.argv[1])
        return
    for name in QUESTIONS:
        subprocess.run([sys.executable, "-m", "tests.bench.bench_advice", name], check=True)


if __name__ == "__main__":
    main()
