"""The reference cases, and the tolerance each scalar is held to.

The values were computed with an independent general-purpose multibody engine, fourth-order
Runge-Kutta, 0.05 ms step; they stand in launch_cases.json with the parameters they belong to.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf
from pathlib import Path
from typing import Any

import numpy as np

from rules.launch.mechanics import Launches, launch_many

_FILE = Path(__file__).with_name("launch_cases.json")

LENGTHS = {
    "front_lift_max",
    "touchdown_x",
    "front_comp_max_after_td",
    "relift_max",
    "rear_ext_max_0p3s",
    "rear_comp_max",
    "body_front_rise_0p1s",
    "body_front_rise_0p2s",
    "body_front_rise_2p0s",
    "body_front_rise_3p0s",
    "rear_sep_0p1s",
    "rear_sep_0p2s",
    "bar_gap_min",
}
FORCES = {
    "front_bump_force_max",
    "front_droop_force_max",
    "front_tyre_load_max_after_td",
    "rear_load_min_0p1_1s",
    "rear_load_max_1s",
    "bar_force_max",
}
COUNTS = {"n_reliftoffs_5mm", "bar_touched"}


@dataclass(frozen=True)
class Case:
    name: str
    params: dict[str, Any]
    scalars: dict[str, float | int | None]


def cases() -> list[Case]:
    raw = json.loads(_FILE.read_text(encoding="utf-8"))
    return [Case(one["name"], one["params"], one["scalars"]) for one in raw["cases"]]


@lru_cache(maxsize=1)
def first_alone() -> Launches:
    """Return what the first case does alone, launched once for all tests."""
    return launch_many([cases()[0].params])


@lru_cache(maxsize=1)
def coarsely_alone() -> Launches:
    """Return what the first case does alone in coarse steps, launched once for all tests."""
    return launch_many([cases()[0].params], step_s=0.002)


def felt(*neighbours: dict[str, Any]) -> list[str]:
    """Return the numbers that the first case tells otherwise in a batch with other cars."""
    together = launch_many([cases()[0].params, *neighbours], step_s=0.002)
    return [
        name
        for name, column in coarsely_alone().columns.items()
        if not np.array_equal(column, together.columns[name][:1], equal_nan=True)
    ]


def allowance(name: str, wanted: float) -> float:
    """Lengths 1 % or 0.5 mm, forces 1 % or 20 N, counts exact, everything else 1 %."""
    if name in COUNTS:
        return 0.0
    floor = 0.0005 if name in LENGTHS else 20.0 if name in FORCES else 0.0
    return max(0.01 * abs(wanted), floor)


def shares(
    found: Mapping[str, float | int | None], wanted: Mapping[str, float | int | None]
) -> dict[str, float]:
    """Return how much of its allowance each scalar uses; infinite for a wrong null or count."""
    out = {}
    for name, value in wanted.items():
        got = found[name]
        if value is None or got is None:
            out[name] = 0.0 if value is None and got is None else inf
        elif got == value:
            out[name] = 0.0
        else:
            room = allowance(name, value)
            out[name] = abs(got - value) / room if room else inf
    return out
