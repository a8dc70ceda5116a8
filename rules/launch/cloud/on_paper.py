"""A car file as the launch takes it: each number with how well it is known.

What the file does not give is filled in so that a typical car comes out: common practice, no
source, and marked as unknown, which spreads it far in the ensemble.
"""

from dataclasses import dataclass, field
from enum import IntEnum
from math import pi, radians, sqrt
from typing import Any

from rules.car.body import Axle
from rules.car.chassis import wheel_rate
from rules.car.instant_centre import instant_centre
from rules.car.model import Car
from rules.car.usual import FACTS
from rules.launch.cloud.ensemble import CHANGE_STARTS
from rules.launch.mechanics.parameters import AXLES, LINK_BOUNDS
from rules.launch.mechanics.valve import Valve, effective_motion_ratio
from rules.units import STANDARD_GRAVITY_M_S2

Params = dict[str, Any]

RUN_S = 4.0
TYPICAL_MASS_KG = 1450.0
TYRE_RATES_N_PER_M = {
    "bias slick": 140e3,
    "radial": 180e3,
    "drag radial": 180e3,
    "front runner": 190e3,
    "street": 220e3,
    "other": 180e3,
}
_FREQUENCY_HZ = {"front": 1.25, "rear": 1.45}
_UNSPRUNG_SHARE = {"front": 0.055, "rear": 0.10}
_THRESHOLD_SHARE = 0.85
_GRIP_OVER_THRUST = 1.35
_POWER_W_PER_KG = 250.0
# A seventh or so of critical for the mass that bars carry; common practice, no source.
BAR_DAMPING_N_S_PER_M = 2e3
_CHANGE_KEYS = ("launch.first_change_at", "launch.second_change_at")
# Valves of a middling car at the wheel, for the sprung mass and wheel rate that stand with them.
_MIDDLE = {
    "front": (Valve(6e5, 900.0, 3500.0), Valve(4e5, 700.0, 3000.0), 660.0, 38e3),
    "rear": (Valve(5e5, 800.0, 3500.0), Valve(5e5, 900.0, 4000.0), 590.0, 48e3),
}


class Known(IntEnum):
    """How well a number is known."""

    MEASURED = 0
    GUESSED = 1
    UNKNOWN = 2


@dataclass
class Paper:
    """The car on paper, with the knobs and levers where its file starts them.

    params: by the names of `rules.launch.parameters`.
    known: of each parameter, how well.
    keys: of each parameter, the key of the car file that it hangs on most.
    ratios: effective motion ratio of each axle's dampers.
    """

    params: Params = field(default_factory=dict)
    known: dict[str, Known] = field(default_factory=dict)
    keys: dict[str, str] = field(default_factory=dict)
    ratios: dict[str, float] = field(default_factory=dict)

    def put(self, name: str, value: float, known: Known, key: str) -> None:
        """Take a number in."""
        self.params[name] = float(value)
        self.known[name] = known
        self.keys[name] = key


def on_paper(car: Car) -> Paper:
    """Read a car file into the parameters of a launch; dampers are the generic family's middle.

    Raises:
        ValueError: unsprung masses that leave no body.
    """
    paper = Paper()
    total, mass_known = _value(car, "masses.total", _corner_sum(car) or _typical_mass(car))
    if car.masses.total_kg is None and _corner_sum(car):
        mass_known = Known.MEASURED
    base, base_known = _usual(car, "geometry.wheelbase")
    front_share, share_known = _front_share(car)
    unsprung = {
        end: _value(car, f"masses.{end}_unsprung", _UNSPRUNG_SHARE[end] * total) for end in AXLES
    }
    front, rear = (unsprung[end][0] for end in AXLES)
    sprung = total - front - rear
    if sprung <= 0.0:
        found = f"found {total:.0f} kg with {front + rear:.0f} kg of it unsprung"
        raise ValueError(f"masses.total: {found}; wanted more than the unsprung masses weigh")
    g = STANDARD_GRAVITY_M_S2
    a = base * (1.0 - (total * front_share - front) / sprung)
    a = min(max(a, 0.1 * base), 0.9 * base)
    paper.put("ms", sprung, mass_known, "masses.total")
    paper.put("mf", front, unsprung["front"][1], "masses.front_unsprung")
    paper.put("mr", rear, unsprung["rear"][1], "masses.rear_unsprung")
    paper.put("L", base, base_known, "geometry.wheelbase")
    paper.put("a", a, share_known, "masses.left_front")
    loads = {"front": sprung * (1.0 - a / base), "rear": sprung * a / base}
    for end in AXLES:
        share = front_share if end == "front" else 1.0 - front_share
        _axle(paper, car, end, loads[end], share * total * g)
    _height(paper, car, total, sprung, base)
    inertia, known = _value(car, "masses.pitch_inertia", 0.8 * sprung * a * (base - a))
    paper.put("Iyy", inertia, known, "masses.pitch_inertia")
    _stops(paper)
    _launch(paper, car, total, front_share * base)
    _instant_centre(paper, car)
    _bars(paper, car)
    paper.params |= {"dips": _gear_changes(paper, car), "g": g, "t_end": RUN_S}
    paper.put("CdA", 0.7, Known.UNKNOWN, "")
    paper.put("rho", 1.2, Known.GUESSED, "")
    paper.params["damper"] = {end: _middle_valves(paper, end, loads[end]) for end in AXLES}
    return paper


def _value(car: Car, key: str, default: float) -> tuple[float, Known]:
    """Return a number of the file and how well it is known."""
    value = car.said(key)
    if value is None:
        return default, Known.UNKNOWN
    return float(value), Known.GUESSED if key in car.guesses else Known.MEASURED


def _usual(car: Car, key: str) -> tuple[float, Known]:
    """Return a number of the file, or a typical car's as its field declares it.

    Raises:
        ValueError: the field declares none.
    """
    typical = FACTS[key].typical
    if typical is None:
        raise ValueError(f"{key}: found nothing typical, wanted a number")
    return _value(car, key, typical)


def _typical_mass(car: Car) -> float:
    """Return a typical total, never below what the unsprung masses of the file belong to."""
    given = [
        one / _UNSPRUNG_SHARE[end]
        for end in AXLES
        if (one := getattr(car.masses, f"{end}_unsprung_kg")) is not None
    ]
    return float(max([TYPICAL_MASS_KG, *given]))


def _corner_sum(car: Car) -> float | None:
    corners = _corners(car)
    return sum(corners) if len(corners) == 4 else None


def _corners(car: Car) -> list[float]:
    masses = car.masses
    every = (masses.left_front_kg, masses.right_front_kg, masses.left_rear_kg, masses.right_rear_kg)
    return [one for one in every if one is not None]


def _front_share(car: Car) -> tuple[float, Known]:
    corners = _corners(car)
    if len(corners) == 4:
        return (corners[0] + corners[1]) / sum(corners), Known.MEASURED
    fronts = [one for one in (car.masses.left_front_kg, car.masses.right_front_kg) if one]
    if len(fronts) == 2 and car.masses.total_kg is not None:
        return min(0.8, sum(fronts) / car.masses.total_kg), Known.MEASURED
    return 0.52, Known.UNKNOWN


def _axle(paper: Paper, car: Car, end: str, sprung: float, weight: float) -> None:
    axle: Axle = getattr(car, end)
    letter = end[0]
    ratio, _ = _usual(car, f"{end}.motion_ratio")
    paper.ratios[end] = effective_motion_ratio(ratio, radians(axle.damper_angle or 0.0))
    spring, spring_known = _value(car, f"{end}.spring_rate", 0.0)
    seat_key, told = car.spring_seat("front" if end == "front" else "rear")
    seat, seat_known = (paper.ratios[end] if told is None else told), Known.MEASURED
    if seat_key:
        _, seat_known = _value(car, seat_key, seat)
    known = max(seat_known, spring_known)
    rate = (2.0 * pi * _FREQUENCY_HZ[end]) ** 2 * sprung
    if known < Known.UNKNOWN:
        rate = wheel_rate(spring, seat)
    key = seat_key if seat_known > spring_known else f"{end}.spring_rate"
    paper.put(f"k{letter}", rate, known, key)
    for name in ("bump", "droop"):
        value, known = _usual(car, f"{end}.{name}_travel")
        paper.put(f"{end}_{name}", value, known, f"{end}.{name}_travel")
    one_tyre, known = _value(car, f"{end}.tyre_rate", TYRE_RATES_N_PER_M[axle.tyre or "other"])
    paper.put(f"kt{letter}", 2.0 * one_tyre, known, f"{end}.tyre_rate")
    paper.put(f"ct{letter}", 800.0 if end == "front" else 1200.0, Known.GUESSED, "")
    diameter, known = _usual(car, f"{end}.tyre_diameter")
    radius = diameter / 2.0 - min(weight / (2.0 * one_tyre), 0.1 * diameter)
    paper.put(f"r{letter}", radius, known, f"{end}.tyre_diameter")


def _height(paper: Paper, car: Car, total: float, sprung: float, base: float) -> None:
    """Put the sprung mass's height: given, or from the whole car's by sum(m h)."""
    given, known = _value(car, "geometry.sprung_cg_height", 0.0)
    if known < Known.UNKNOWN:
        paper.put("hs", given, known, "geometry.sprung_cg_height")
        return
    whole, known = _value(car, "geometry.cg_height", 0.2 * base)
    params = paper.params
    height = (total * whole - params["mf"] * params["rf"] - params["mr"] * params["rr"]) / sprung
    paper.put("hs", max(0.1, height), known, "geometry.cg_height")


def _stops(paper: Paper) -> None:
    for name, value in (("kbs", 4e5), ("cbs", 3e3), ("kds", 4e5), ("cds", 3e3)):
        paper.put(name, value, Known.GUESSED, "")


def _launch(paper: Paper, car: Car, total: float, ahead: float) -> None:
    """Put the thrust: given, or a share of what lifts a locked car's front, m g b / h."""
    params, weight = paper.params, total * STANDARD_GRAVITY_M_S2
    height = sum(params[m] * params[h] for m, h in (("ms", "hs"), ("mf", "rf"), ("mr", "rr")))
    thrust = _THRESHOLD_SHARE * weight * ahead / (height / total)
    key = "launch.thrust" if car.launch.thrust_n is not None else "launch.peak_g"
    value, known = _value(car, key, thrust)
    if known < Known.UNKNOWN:
        thrust = value if key == "launch.thrust" else value * weight
    paper.put("F_launch", thrust, known, "launch.peak_g")
    rise, known = _usual(car, "launch.rise")
    paper.put("t_ramp", rise, known, "launch.rise")
    power, known = _value(car, "launch.power", _POWER_W_PER_KG * total)
    paper.put("P", power, known, "launch.power")
    grip, known = _value(car, "launch.grip", _GRIP_OVER_THRUST * thrust / weight)
    paper.put("mu", grip, known, "launch.grip")


def _instant_centre(paper: Paper, car: Car) -> None:
    """Put the instant centre; unknown, it stands for an anti-squat of about 90 %.

    Where the file gives the links it is where their lines cross.
    """
    if linked := instant_centre(car, {}):
        known = Known.GUESSED if "links" in car.guesses else Known.MEASURED
        paper.put("e", linked.ahead, known, "geometry.instant_centre_ahead")
        paper.put("d", linked.height, known, "geometry.instant_centre_height")
        rates = linked.rates(paper.params["rr"])
        paper.params |= dict(zip(LINK_BOUNDS, rates, strict=True)) if rates else {}
        return
    base, height = paper.params["L"], paper.params["hs"]
    ahead, ahead_known = _value(car, "geometry.instant_centre_ahead", 0.45 * base)
    above, above_known = _value(
        car, "geometry.instant_centre_height", 0.9 * height / base * abs(ahead)
    )
    # Behind the axle the links act as they would from far ahead, which the model can hold.
    if ahead <= 0.0:
        ahead, above = 100.0, 0.0
    paper.put("e", ahead, ahead_known, "geometry.instant_centre_ahead")
    paper.put("d", above, above_known, "geometry.instant_centre_height")


def _bars(paper: Paper, car: Car) -> None:
    """Put the wheelie bars where their height is known; a launch without it knows none."""
    height, known = _value(car, "geometry.bar_height", 0.0)
    if not car.wheelie_bars or known is Known.UNKNOWN:
        return
    paper.put("bar_height", height, known, "geometry.bar_height")
    for name, key in (("bar_behind", "geometry.bar_length"), ("bar_rate", "geometry.bar_rate")):
        paper.put(name, *_usual(car, key), key)
    paper.put("bar_damping", BAR_DAMPING_N_S_PER_M, Known.GUESSED, "")


def _gear_changes(paper: Paper, car: Car) -> list[list[float]]:
    """Return a dip of the thrust for each gear change whose time is known, all alike."""
    changes: list[list[float]] = []
    shape = {part: _usual(car, f"launch.change_{part}") for part in ("loses", "lasts")}
    for start, key in zip(CHANGE_STARTS, _CHANGE_KEYS, strict=True):
        at, known = _value(car, key, 0.0)
        if known is Known.UNKNOWN:
            break
        paper.known[start], paper.keys[start] = known, key
        changes.append([at, *(value for value, _ in shape.values())])
    for part, (_, known) in shape.items() if changes else ():
        paper.known[f"dips.{part}"], paper.keys[f"dips.{part}"] = known, f"launch.change_{part}"
    return changes


def _middle_valves(paper: Paper, end: str, sprung: float) -> dict[str, dict[str, float]]:
    """Return the generic valves at the wheel, sized by sqrt(k m) as critical damping is."""
    comp, reb, mass, rate = _MIDDLE[end]
    size = sqrt(paper.params[f"k{end[0]}"] * sprung / (mass * rate))
    for stroke in ("comp", "reb"):
        for part in ("kb", "F0", "chs"):
            name = f"damper.{end}.{stroke}.{part}"
            paper.known[name] = Known.UNKNOWN
            paper.keys[name] = f"{end} damper curve"
    return {
        stroke: Valve(valve.kb * size, valve.f0 * size, valve.chs * size).parameters()
        for stroke, valve in (("comp", comp), ("reb", reb))
    }
