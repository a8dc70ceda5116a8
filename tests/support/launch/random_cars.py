"""Cars drawn at random for the tests: plausible numbers, far apart from each other."""

from typing import Any

import numpy as np


def random_cars(
    count: int, seed: int, t_end: float = 4.0, thrust: tuple[float, float] = (0.75, 1.0)
) -> list[dict[str, Any]]:
    """Draw cars; `thrust` bounds the launch force over the one that lifts a locked car's front."""
    rng = np.random.default_rng(seed)

    def u(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    def valve(firm: float) -> dict[str, float]:
        return {
            "kb": 6e5 * firm * float(np.exp(u(-0.5, 0.5))),
            "F0": 900 * firm * float(np.exp(u(-0.5, 0.5))),
            "chs": 3500 * firm * float(np.exp(u(-0.4, 0.4))),
        }

    cars = []
    for _ in range(count):
        base, ms = u(2.4, 3.2), u(800, 1500)
        car: dict[str, Any] = {
            **{"ms": ms, "Iyy": ms * u(1.2, 1.9), "mf": u(50, 100), "mr": u(100, 190)},
            **{"L": base, "a": base * u(0.42, 0.52), "hs": u(0.45, 0.65)},
            **{"rf": u(0.29, 0.35), "rr": u(0.34, 0.42)},
            **{"kf": u(2.5e4, 5e4), "kr": u(3.5e4, 6e4)},
            **{"front_droop": u(0.04, 0.13), "front_bump": u(0.04, 0.09)},
            **{"rear_droop": u(0.05, 0.1), "rear_bump": u(0.05, 0.1)},
            **{"kbs": u(2e5, 6e5), "cbs": u(1000, 4000)},
            **{"kds": u(2e5, 6e5), "cds": u(1000, 4000)},
            **{"ktf": u(3e5, 5e5), "ctf": u(500, 1200)},
            **{"ktr": u(2e5, 3.5e5), "ctr": u(700, 1500)},
            **{"t_ramp": u(0.02, 0.2), "P": u(2.5e5, 9e5), "mu": u(1.6, 3.2)},
            **{"d": u(0.03, 0.45), "e": u(0.9, 2.0)},
            **{"CdA": u(0, 0.9), "rho": u(1.0, 1.25), "g": 9.81, "t_end": t_end},
        }
        car["dips"] = [[u(0.5, 1.0), u(0.2, 0.6), u(0.08, 0.25)]] if u(0, 1) < 0.4 else []
        total = ms + car["mf"] + car["mr"]
        height = (ms * car["hs"] + car["mf"] * car["rf"] + car["mr"] * car["rr"]) / total
        ahead = (ms * (base - car["a"]) + car["mf"] * base) / total
        car["F_launch"] = total * 9.81 * ahead / height * u(*thrust)
        firms = [float(np.exp(u(-0.8, 0.8))) for _ in range(4)]
        car["damper"] = {
            axle: {stroke: valve(firms[2 * i + j]) for j, stroke in enumerate(("comp", "reb"))}
            for i, axle in enumerate(("front", "rear"))
        }
        cars.append(car)
    return cars
