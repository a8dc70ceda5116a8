"""How fast the launch model is, how accurate at that speed, and a multibody engine beside it.

Run it by itself on a quiet machine: ``python -m tests.bench.bench_launch``. It reports and asserts
nothing. All runs are 4 s launches on one core, the best wall time of three.

The engine (mujoco) runs one car at the same step in three ways: with its fast integrator (Euler,
one evaluation a step) and with Runge-Kutta, both with the car's forces handed to it by the
Python of tests/launch/plain.py and tests/launch/engine.py; and its bare stepping in C of the same
three bodies with no forces but gravity, which is a limit that no user of it reaches.
"""

import os
import time
from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any

import mujoco

from rules.launch.mechanics import launch_many
from rules.launch.mechanics.valve import Valve
from tests.support.launch.engine import Engine
from tests.support.launch.random_cars import random_cars
from tests.support.launch.reference import cases, shares

STEPS_S = (0.002, 0.001, 0.0005)
COUNTS = (1, 64, 512, 4096)
CASES = cases()
END_S = 4.0


def best(run: Callable[[], object], times: int = 3) -> float:
    """Return the shortest wall time of `run` [s]."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return min(taken)


def accuracy(step_s: float) -> tuple[float, str, float]:
    """Return the worst share of its allowance, where, and the worst relative error over 1 mm."""
    found = launch_many([case.params for case in CASES], step_s=step_s)
    used = {
        f"{case.name[:2]} {name}": share
        for number, case in enumerate(CASES)
        for name, share in shares(found.scalars(number), case.scalars).items()
    }
    relative = 0.0
    for number, case in enumerate(CASES):
        got = found.scalars(number)
        for name, wanted in case.scalars.items():
            value = got[name]
            if value is not None and wanted is not None and abs(wanted) > 1e-3:
                relative = max(relative, abs(value / wanted - 1.0))
    worst = max(used, key=lambda name: used[name])
    return used[worst], worst, relative


def with_tables(car: Mapping[str, Any]) -> dict[str, Any]:
    """Return a car whose dampers are tables of ten speeds off its own family."""
    speeds = [0.025, 0.05, 0.075, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5]
    found: dict[str, Any] = {**car, "damper": deepcopy(car["damper"])}
    for strokes in found["damper"].values():
        for stroke in strokes.values():
            force = Valve(stroke["kb"], stroke["F0"], stroke["chs"]).force(speeds).tolist()
            stroke["table"] = {"speed": speeds, "force": force}
    return found


def engine_run(step_s: float, integrator: str, with_forces: bool) -> Callable[[], None]:
    """Return a function that makes one launch in the engine, without keeping anything of it."""
    engine = Engine(CASES[0].params, step_s, integrator)
    steps = round(END_S / step_s)

    def run() -> None:
        mujoco.mj_resetData(engine.model, engine.data)
        if not with_forces:
            mujoco.mj_step(engine.model, engine.data, nstep=steps)
            return
        with engine.driven():
            mujoco.mj_step(engine.model, engine.data, nstep=steps)

    return run


def main() -> None:
    """Print the tables."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    cars = random_cars(max(COUNTS), seed=1, t_end=END_S, thrust=(0.7, 0.95))
    print("step ms   cars   wall s   launches/s   us per launch and step")
    per_second: dict[float, float] = {}
    walls: dict[tuple[float, int], float] = {}
    for step_s in STEPS_S:
        for count in COUNTS:
            some = cars[:count]
            wall = best(lambda some=some, step_s=step_s: launch_many(some, step_s=step_s))  # type: ignore[misc]
            walls[step_s, count] = wall
            per_step = wall / count / (END_S / step_s) * 1e6
            print(
                f"{step_s * 1000:7.1f} {count:6d} {wall:8.3f} {count / wall:12.1f} {per_step:10.3f}"
            )
            if count == 512:
                per_second[step_s] = count / wall
    for more, fewer in ((64, 1), (512, 64), (4096, 512)):
        times = walls[0.001, more] / walls[0.001, fewer]
        print(f"{fewer} to {more} launches: {times:5.1f} times the time")
    for finer, coarser in ((0.001, 0.002), (0.0005, 0.001)):
        times = walls[finer, 512] / walls[coarser, 512]
        print(
            f"half the step, {coarser * 1e3:g} to {finer * 1e3:g} ms: {times:5.1f} times the time"
        )
    measured = [with_tables(car) for car in cars[:512]]
    wall = best(lambda: launch_many(measured, step_s=0.001))
    print(f"512 launches at 1 ms, a dyno table on every stroke: {wall:.3f} s")
    print("\nstep ms   worst share of allowance against the reference cases   worst relative error")
    for step_s in STEPS_S:
        share, where, relative = accuracy(step_s)
        print(
            f"{step_s * 1000:7.1f}   {share:6.3f} ({where})   {relative:9.2%} (values over 0.001)"
        )
    print("\nstep ms   engine, one car              launches/s   512 cars here over it")
    for step_s in STEPS_S:
        for label, integrator, forces in (
            ("Euler, forces in Python", "Euler", True),
            ("Runge-Kutta, forces in Python", "RK4", True),
            ("Euler, bare, no forces", "Euler", False),
        ):
            rate = 1.0 / best(engine_run(step_s, integrator, forces))
            ratio = per_second[step_s] / rate
            print(f"{step_s * 1000:7.1f}   {label:30s} {rate:8.2f} {ratio:12.0f} times")


if __name__ == "__main__":
    main()
