"""The launch written a second time, plainly: forces as scalars, one car, events by reading a trace.

Shares no code with the package. `forces` gives what acts on the car in a given state; the
equations of motion come from a multibody engine (engine.py) or from Newton's laws with the side
forces kept as unknowns (newton.py); `read` finds the scalars in the sampled history.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

Params = Mapping[str, Any]
Thrust = tuple[float, float]


@dataclass(frozen=True)
class Forces:
    """tyre: vertical load at each axle [N]; strut: force along the body's axis at each end [N]."""

    tyre: tuple[float, float]
    strut: tuple[float, float]
    bump: float
    droop: float
    fx: float
    drag: float


def damper(valve: Mapping[str, Any], v: float) -> float:
    """Invert v = sqrt(F/kb) + max(0, (F - F0)/chs) for v >= 0, or ask a curve that was given."""
    if "curve" in valve:
        return float(valve["curve"](v))
    bleed = float(valve["kb"] * v * v)
    if bleed <= valve["F0"]:
        return bleed
    b = 1 / sqrt(valve["kb"])
    a = 1 / valve["chs"]
    root = (-b + sqrt(b * b + 4 * a * (v + valve["F0"] * a))) / (2 * a)
    return float(root * root)


def static_loads(p: Params) -> tuple[float, float]:
    weight = p["ms"] * p["g"]
    return weight * (p["L"] - p["a"]) / p["L"], weight * p["a"] / p["L"]


def sunk(p: Params) -> tuple[float, float]:
    """How far each tyre is pressed at rest [m]."""
    front, rear = static_loads(p)
    return (front + p["mf"] * p["g"]) / p["ktf"], (rear + p["mr"] * p["g"]) / p["ktr"]


def thrust_cap(p: Params, t: float, v: float) -> float:
    ramp = min(1.0, t / p["t_ramp"]) if p["t_ramp"] > 0 else 1.0
    cap = min(p["F_launch"] * ramp, p["P"] / max(v, 0.1))
    for start, lost, length in p["dips"]:
        if start <= t < start + length:
            cap *= 1.0 - lost
    return float(cap)


def forces(
    p: Params,
    t: float,
    v: float,
    q: tuple[float, float],
    qd: tuple[float, float],
    axle_z: tuple[float, float],
    axle_vz: tuple[float, float],
) -> Forces:
    """Everything that acts, from the strokes and the axles' heights and vertical speeds."""
    tyre, strut, ends = [], [], []
    for i, end in enumerate(("front", "rear")):
        letter = end[0]
        depth = sunk(p)[i] + p[f"r{letter}"] - axle_z[i]
        load = p[f"kt{letter}"] * depth - p[f"ct{letter}"] * axle_vz[i] if depth > 0 else 0.0
        tyre.append(max(0.0, load))
        valves = p["damper"][end]
        valve = damper(valves["comp"], qd[i]) if qd[i] >= 0 else -damper(valves["reb"], -qd[i])
        into_bump = q[i] - p[f"{end}_bump"]
        into_droop = -q[i] - p[f"{end}_droop"]
        bump = max(0.0, p["kbs"] * into_bump + p["cbs"] * qd[i]) if into_bump > 0 else 0.0
        droop = max(0.0, p["kds"] * into_droop - p["cds"] * qd[i]) if into_droop > 0 else 0.0
        strut.append(static_loads(p)[i] + p[f"k{letter}"] * q[i] + valve + bump - droop)
        ends.append((bump, droop))
    return Forces(
        tyre=(tyre[0], tyre[1]),
        strut=(strut[0], strut[1]),
        bump=ends[0][0],
        droop=ends[0][1],
        fx=min(thrust_cap(p, t, v), p["mu"] * tyre[1]),
        drag=0.5 * p["rho"] * p["CdA"] * v * abs(v),
    )


def bar_push(p: Params, height: float, speed: float) -> float:
    """Push of the ground on the wheelie bars, from their wheel's height and vertical speed."""
    if height >= 0:
        return 0.0
    return max(0.0, float(-p["bar_rate"] * height - p["bar_damping"] * speed))


def slip_thrust(p: Params, t: float, slip: float, tread: float, v: float, load: float) -> Thrust:
    """Thrust of a slipping tyre, and what is left of the drive to speed its tread up."""
    every = p["ms"] + p["mf"] + p["mr"]
    rest = static_loads(p)[1] + p["mr"] * p["g"]
    spring = 1.5 * p["mu"] * rest / (p["slip_peak"] * p["slip_relax"])
    damped = 0.4 * sqrt(p["slip_mass"] / spring)
    x = (slip + damped * (tread - v) / p["slip_relax"]) / p["slip_peak"]
    if abs(x) < 1:
        share = 1.5 * x - 0.5 * x**3
    else:
        falling = 2 * abs(x) / (1 + x * x)
        share = np.sign(x) * (p["slip_slide"] + (1 - p["slip_slide"]) * falling)
    fx = float(p["mu"] * load * share)
    return fx, thrust_cap(p, t, tread) * (1 + p["slip_mass"] / every) - fx


def slip_after(p: Params, slip: float, tread: float, v: float, dt: float) -> float:
    """Slip after a time at constant speeds, exactly: towards its steady value (u - v) / |u|."""
    rate = abs(tread) / p["slip_relax"]
    if rate * dt < 1e-9:
        return slip + (tread - v) / p["slip_relax"] * dt
    steady = (tread - v) / abs(tread)
    return float(steady + (slip - steady) * np.exp(-rate * dt))


@dataclass(frozen=True)
class History:
    """One run, sampled at equal steps: each field (samples,)."""

    t: NDArray[np.float64]
    x: NDArray[np.float64]
    v: NDArray[np.float64]
    rise: NDArray[np.float64]
    pitch: NDArray[np.float64]
    qf: NDArray[np.float64]
    qr: NDArray[np.float64]
    qf_rate: NDArray[np.float64]
    gap: NDArray[np.float64]
    axle_vz: NDArray[np.float64]
    front: NDArray[np.float64]
    rear: NDArray[np.float64]
    bump: NDArray[np.float64]
    droop: NDArray[np.float64]
    bar: NDArray[np.float64]
    bar_height: NDArray[np.float64]
    slip: NDArray[np.float64]


def read(h: History, p: Params) -> dict[str, float | int | None]:
    """Find the scalars in a history: samples as they are, events linear between them."""
    t = h.t
    flights = []
    start = None
    for i in range(1, len(t)):
        if h.gap[i] > 0 and h.gap[i - 1] <= 0:
            start = i
        if start is not None and (h.gap[i] <= 0 or i == len(t) - 1):
            flights.append((start, i if h.gap[i] <= 0 else None, h.gap[start : i + 1].max()))
            start = None
    main = max(flights, key=lambda one: one[2]) if flights else None
    out: dict[str, float | int | None] = dict.fromkeys(
        ("liftoff_t", "touchdown_t", "touchdown_x", "touchdown_axle_vz", "touchdown_comp_vel_peak")
    )
    out["front_lift_max"] = main[2] if main else 0.0
    after, later = t >= 0, []
    if main:
        s = main[0]
        out["liftoff_t"] = float(np.interp(0, h.gap[s - 1 : s + 1], t[s - 1 : s + 1]))
    if main and main[1]:
        e = main[1]
        td = float(np.interp(0, -h.gap[e - 1 : e + 1], t[e - 1 : e + 1]))
        after = t >= td
        out["touchdown_t"] = td
        out["touchdown_x"] = float(np.interp(td, t, h.x))
        out["touchdown_axle_vz"] = float(np.interp(td, t, h.axle_vz))
        out["touchdown_comp_vel_peak"] = h.qf_rate[after & (t <= td + 0.25)].max()
        later = [one[2] for one in flights if one[0] > e]
    out["n_reliftoffs_5mm"] = sum(gap > 0.005 for gap in later)
    out["relift_max"] = max(later, default=0.0)
    out["front_comp_max_after_td"] = h.qf[after].max()
    out["front_tyre_load_max_after_td"] = h.front[after].max()
    out["front_bump_force_max"], out["front_droop_force_max"] = h.bump.max(), h.droop.max()
    close = 1e-9
    out["rear_load_min_0p1_1s"] = h.rear[(t >= 0.1 - close) & (t <= 1 + close)].min()
    out["rear_load_max_1s"] = h.rear[t <= 1 + close].max()
    out["rear_ext_max_0p3s"] = (-h.qr[t <= 0.3 + close]).max()
    out["rear_comp_max"], out["pitch_max"] = h.qr.max(), h.pitch.max()
    for label, when in (("0p1", 0.1), ("0p2", 0.2), ("2p0", 2.0), ("3p0", 3.0)):
        known = when <= t[-1] + close
        out[f"body_front_rise_{label}s"] = float(np.interp(when, t, h.rise)) if known else None
        if when < 1:
            out[f"rear_sep_{label}s"] = float(-np.interp(when, t, h.qr))
    barred = bool(np.isfinite(h.bar_height).all())
    under = h.bar_height < 0
    out["bar_force_max"] = h.bar.max() if barred else None
    out["bar_gap_min"] = h.bar_height.min() if barred else None
    out["bar_contact_s"] = under.sum() * (t[1] - t[0]) if barred else None
    out["bar_touched"] = int(under.any()) if barred else None
    slips = bool(np.isfinite(h.slip).all())
    out["slip_max"] = h.slip.max() if slips else None
    spinning = (h.slip > 2 * p["slip_peak"]) & (t > 0.1) if slips else t < 0
    out["spin_s_after_0p1s"] = spinning.sum() * (t[1] - t[0]) if slips else None
    there = h.x[-1] >= 18.288
    out["t_60ft"] = float(np.interp(18.288, h.x, t)) if there else None
    out["v_60ft"] = float(np.interp(out["t_60ft"], t, h.v)) if out["t_60ft"] else None
    return out
