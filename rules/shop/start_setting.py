"""A start for dampers nobody has run on this car: from its own mass and springs, as a window.

What a share of critical damping means is the one-mass oscillator's (S. S. Rao, Mechanical
Vibrations, chapter 2, from memory): the overshoot after a step is exp(-pi z / sqrt(1 - z^2)). The
windows themselves are common practice, no source; the tyres are taken as rigid.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, pi, sqrt

from rules.car.chassis import wheel_rate
from rules.car.model import AxleEnd, Car, Damper, Knob
from rules.car.valvings import rows_with, valving_on
from rules.units import Quantity
from rules.wording import both

# Shares of critical damping at low speed: (least, most), and why. Common practice, no source.
WINDOWS: dict[tuple[AxleEnd, str], tuple[float, float, str]] = {
    ("front", "compression"): (0.25, 0.45, "holds the settle, and lets the nose come down"),
    ("front", "rebound"): (0.45, 0.80, "slows the rise; firmer than this the nose cannot rise"),
    ("rear", "compression"): (0.35, 0.60, "takes the squat without shocking the tyre"),
    ("rear", "rebound"): (0.40, 0.70, "slows the separation without pulling load off the tyre"),
}
# The piston speed at which a bleed governs the settle [m/s]; 2 inches per second.
SLOW_M_S = 0.0508


@dataclass(frozen=True)
class ForceWindow:
    """What one stroke of one damper should give at low speed, computed.

    least, most: shares of critical [-].  soft, firm: forces at `SLOW_M_S` [N].  why: its reason.
    """

    stroke: str
    least: float
    most: float
    soft: float
    firm: float
    why: str

    @property
    def says(self) -> str:
        """Say it in one line, marked as computed."""
        forces = f"{both(self.soft, Quantity.FORCE)} to {both(self.firm, Quantity.FORCE)}"
        over = f"overshoot {overshoot(self.most):.0%} to {overshoot(self.least):.0%}"
        return (
            f"{self.stroke.capitalize()}, computed: {self.least:.2f} to {self.most:.2f} of "
            f"critical, {forces} at {{2 in/s|51 mm/s}}; {over}: {self.why}"
        )


def overshoot(ratio: float) -> float:
    """Return the share of a step by which the body goes past its rest [-].

    ratio: damping over critical [-], from 0 to under 1.  Formula: exp(-pi z / sqrt(1 - z^2)).
    """
    return exp(-pi * ratio / sqrt(1.0 - ratio**2))


def critical_at_damper(car: Car, end: AxleEnd) -> float | None:
    """Return the damping of one damper that is critical for its corner [N s/m]; None unknown.

    Formula: 2 sqrt(k m) / R^2, with k the wheel rate and m the sprung mass of one corner, R damper
    travel over wheel travel, squared because speed and force both go through it.
    """
    axle = car.front if end == "front" else car.rear
    sides = [getattr(car.masses, f"{side}_{end}_kg") for side in ("left", "right")]
    unsprung = getattr(car.masses, f"{end}_unsprung_kg")
    _, seat = car.spring_seat(end)
    ratio, spring = axle.damper_ratio, axle.spring_rate_n_per_m
    if None in (*sides, unsprung, seat, ratio, spring):
        return None
    mass = (sum(sides) - unsprung) / 2.0
    if mass <= 0.0 or ratio is None or spring is None or seat is None:
        return None
    return 2.0 * sqrt(wheel_rate(spring, seat, springs=1) * mass) / ratio**2


def window(car: Car, end: AxleEnd, stroke: str) -> ForceWindow | None:
    """Return the window of a stroke; None where the car file does not say what it needs."""
    critical = critical_at_damper(car, end)
    if critical is None:
        return None
    least, most, why = WINDOWS[end, stroke]
    soft, firm = (share * critical * SLOW_M_S for share in (least, most))
    return ForceWindow(stroke, least, most, soft, firm, why)


def missing(car: Car, end: AxleEnd) -> list[str]:
    """Return what the car file would have to say for a window, as its keys."""
    axle = car.front if end == "front" else car.rear
    wanted = {
        f"masses.left_{end}": getattr(car.masses, f"left_{end}_kg"),
        f"masses.right_{end}": getattr(car.masses, f"right_{end}_kg"),
        f"masses.{end}_unsprung": getattr(car.masses, f"{end}_unsprung_kg"),
        f"{end}.motion_ratio": axle.motion_ratio,
        f"{end}.spring_rate": axle.spring_rate_n_per_m,
    }
    return [key for key, value in wanted.items() if value is None]


def count_within(
    car: Car,
    settings: Mapping[str, float],
    damper: Damper,
    knob: Knob,
    stroke: str,
    of: ForceWindow,
) -> tuple[float, float] | None:
    """Return the lowest and highest count [clicks or turns] whose force lies in a window.

    By the dyno table of the valving that is in; None without one, or where no count gives it.
    """
    rows = rows_with(car, damper, knob, stroke, valving_on(car, settings, damper.axle))
    if rows is None:
        return None
    from rules.launch.mechanics.crossover import EveryCount
    from rules.launch.mechanics.dyno import read_dyno_csv

    every = EveryCount(read_dyno_csv("\n".join(rows)))
    forces = {count: float(every.curve(count).force(SLOW_M_S)) for count in every.settings}
    inside = [count for count, force in forces.items() if of.soft <= force <= of.firm]
    return (min(inside), max(inside)) if inside else None
