"""What an owned spring would be on this car: its ride frequency, and what a landing leaves over."""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.car import AxleEnd, Car
from rules.chassis import effective_front_mass, frequency, landing_energy, wheel_rate
from rules.shop.findings import both
from rules.shop.springs import Landing, rate_for_frequency
from rules.units import STANDARD_GRAVITY_M_S2, Quantity


@dataclass(frozen=True)
class Seat:
    """An axle as springs meet it: sprung mass it carries [kg], spring's motion ratio [-]."""

    mass: float
    ratio: float


def seat_of(car: Car, end: AxleEnd) -> Seat | None:
    """Return an axle's sprung mass and motion ratio; None where the file does not say them."""
    sides = [getattr(car.masses, f"{side}_{end}_kg") for side in ("left", "right")]
    unsprung = getattr(car.masses, f"{end}_unsprung_kg")
    ratio = getattr(car, end).motion_ratio
    if None in sides or unsprung is None or ratio is None:
        return None
    return Seat(sum(sides) - unsprung, ratio)


def spring_words(
    car: Car, end: AxleEnd, rate: float, target: float | None, speed: float | None
) -> Iterator[str]:
    """Yield what a spring of this rate [N/m] does on an axle.

    target: ride frequency [Hz] the crew is after.  speed: of a touchdown [m/s], front only.
    """
    seat = seat_of(car, end)
    if seat is None:
        yield "For its ride frequency: corner weights, unsprung weight and motion ratio are wanted."
        return
    today = getattr(car, end).spring_rate_n_per_m
    now = f"; with today's {both(today, Quantity.SPRING_RATE)}, {_hz(seat, today)}" if today else ""
    yield f"Ride frequency with it {_hz(seat, rate)}{now}."
    if target is not None:
        wanted = rate_for_frequency(target, seat.mass, seat.ratio)
        yield f"{target:g} Hz wants {both(wanted, Quantity.SPRING_RATE)}."
    if end == "front" and speed is not None:
        yield from _landing_words(car, seat, rate, speed)


def _hz(seat: Seat, rate: float) -> str:
    return f"{frequency(wheel_rate(rate, seat.ratio), seat.mass):.2f} Hz"


def landing_of(car: Car, seat: Seat, speed: float) -> Landing | None:
    """Return what a touchdown at a speed [m/s] asks of the front, gravity's share in it.

    0.5 m_eff v^2 + (W_f - F h / L) s, `rules.chassis.landing_energy`, thrust held on; None where
    the file does not say mass, wheelbase, heights, pitch inertia or travel.
    """
    masses, geometry, front = car.masses, car.geometry, car.front
    total, base, height = masses.total_kg, geometry.wheelbase_m, geometry.cg_height_m
    inertia, bump, droop = masses.pitch_inertia_kg_m2, front.bump_travel_m, front.droop_travel_m
    sides = (masses.left_front_kg, masses.right_front_kg)
    if total is None or base is None or height is None or inertia is None:
        return None
    if bump is None or droop is None or sides[0] is None or sides[1] is None:
        return None
    weight = (sides[0] + sides[1]) * STANDARD_GRAVITY_M_S2
    ahead = base * (sides[0] + sides[1]) / total
    thrust = car.launch.thrust_n or (car.launch.peak_g or 0.0) * total * STANDARD_GRAVITY_M_S2
    moving = effective_front_mass(total, inertia, ahead, height, base)
    energy = landing_energy(moving, speed, weight, thrust, height, base, droop + bump)
    return Landing(max(0.0, energy), seat.mass * STANDARD_GRAVITY_M_S2, droop, bump)


def _landing_words(car: Car, seat: Seat, rate: float, speed: float) -> Iterator[str]:
    landing = landing_of(car, seat, speed)
    if landing is None:
        yield (
            "For the landing: total, corners, wheelbase, CG height, pitch inertia and front travel "
            "are wanted in the file."
        )
        return
    left = landing.left_to_dampers(wheel_rate(rate, seat.ratio))
    words = f"A landing at this speed asks {landing.energy:.0f} J from droop to bump, gravity in it"
    words += f"; this spring leaves {left:.0f} J to the dampers"
    today = car.front.spring_rate_n_per_m
    if today:
        before = landing.left_to_dampers(wheel_rate(today, seat.ratio))
        words += f", today's {before:.0f} J"
    yield f"{words}. Spring, bump travel and less lift each help; inspect the stops first."
