"""Numbers of the standing car and of its landing, in closed form. SI throughout.

Sources: T. D. Gillespie, Fundamentals of Vehicle Dynamics; W. F. and D. L. Milliken, Race Car
Vehicle Dynamics; J. C. Dixon, The Shock Absorber Handbook; S. S. Rao, Mechanical Vibrations. All
from memory, the books were not opened; each formula follows from a free body or the one-mass
oscillator. `h` is a centre-of-gravity height over the ground, `b` its distance ahead of the
rear contact, `base` the wheelbase.
"""

from math import isfinite, pi, sqrt


def _positive(**numbers: float) -> None:
    for name, value in numbers.items():
        if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
            raise ValueError(f"{name.replace('_', ' ')}: found {value}, wanted a number above 0")


def load_transfer(mass: float, acceleration: float, h: float, base: float) -> float:
    """Return the load that leaves the front axle for the rear [N].

    mass [kg], acceleration [m/s2], h, base [m]: of the whole car.
    Formula: m a h / L (Gillespie, chapter 1). Locked suspension; a soft car that rises moves a
    few per cent more.

    Raises:
        ValueError: a mass or length not above 0.
    """
    _positive(mass=mass, cg_height=h, wheelbase=base)
    return mass * acceleration * h / base


def whole_cg(parts: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    """Return mass [kg] and centre height (or place) [m] of parts given as (mass, place).

    Formula: sum(m h) / sum(m). The sprung mass's centre lies tens of millimetres above the car's.

    Raises:
        ValueError: no part, or a mass not above 0.
    """
    if not parts:
        raise ValueError("found no parts, wanted at least one")
    for mass, _ in parts:
        _positive(mass=mass)
    total = sum(mass for mass, _ in parts)
    return total, sum(mass * place for mass, place in parts) / total


def wheelie_threshold(b: float, h: float) -> float:
    """Return the acceleration over gravity at which the front axle carries nothing [-].

    b: centre of gravity ahead of the rear contact [m].  h: its height [m].
    Formula: a / g = b / h, moments about the rear contact; locked suspension.

    Raises:
        ValueError: a length not above 0.
    """
    _positive(cg_ahead_of_rear=b, cg_height=h)
    return b / h


def wheel_rate(spring: float, motion_ratio: float, springs: int = 2) -> float:
    """Return the axle's rate at the wheel [N/m].

    spring: rate of one spring [N/m].  motion_ratio: spring travel over wheel travel [-], see
    `rules.car.Car.spring_seat`.
    Formula: n k MR^2 (Milliken and Milliken, chapter 16); constant motion ratio.

    Raises:
        ValueError: a rate or ratio not above 0.
    """
    _positive(spring_rate=spring, motion_ratio=motion_ratio, springs=springs)
    return springs * spring * motion_ratio**2


def frequency(rate: float, mass: float) -> float:
    """Return the undamped natural frequency [Hz].

    rate [N/m], mass [kg].  Formula: sqrt(k / m) / 2 pi (Rao, chapter 2).

    Raises:
        ValueError: a rate or mass not above 0.
    """
    _positive(rate=rate, mass=mass)
    return sqrt(rate / mass) / (2.0 * pi)


def damping_ratio(damping: float, rate: float, mass: float) -> float:
    """Return the damping over the critical one [-].

    damping [N s/m]: of a curve, its slope at low speed (`Valve.damping`); rate [N/m]; mass [kg].
    Formula: c / (2 sqrt(k m)) (Rao, chapter 2).

    Raises:
        ValueError: a rate or mass not above 0, or a damping below 0.
    """
    _positive(rate=rate, mass=mass)
    if not (isfinite(damping) and damping >= 0.0):
        raise ValueError(f"damping: found {damping}, wanted a number not below 0")
    return damping / (2.0 * sqrt(rate * mass))


def anti_squat(ic_height: float, ic_ahead: float, h: float, base: float) -> float:
    """Return the anti-squat [%].

    ic_height, ic_ahead: instant centre above and ahead of the rear contact [m].
    Formula: 100 (d / e) / (h / L) (Milliken and Milliken, chapter 17; Gillespie, chapter 7,
    solid axle). Over 100 % the rear rises under thrust.

    Raises:
        ValueError: a length (other than the instant centre's height) not above 0.
    """
    _positive(instant_centre_ahead=ic_ahead, cg_height=h, wheelbase=base)
    return 100.0 * (ic_height / ic_ahead) / (h / base)


def effective_front_mass(mass: float, inertia: float, b: float, h: float, base: float) -> float:
    """Return the mass that the front axle seems to have as the car pivots on its rear wheels [kg].

    mass [kg] and pitch inertia [kg m2] of the car; b, h: its centre ahead of the rear contact and
    its height [m]; base [m].
    Formula: (Iyy + m (b^2 + h^2)) / L^2, the inertia about the rear contact (parallel axes).

    Raises:
        ValueError: a mass, inertia or length not above 0.
    """
    _positive(mass=mass, pitch_inertia=inertia, cg_ahead_of_rear=b, cg_height=h, wheelbase=base)
    return (inertia + mass * (b**2 + h**2)) / base**2


def landing_energy(
    front_mass: float, speed: float, front_weight: float, thrust: float, h: float, base: float,
    travel: float,
) -> float:  # fmt: skip
    """Return the energy that the front must take up over a landing [J].

    front_mass: `effective_front_mass` [kg].  speed: axle speed at touchdown [m/s].
    front_weight: static front load [N].  thrust [N].  travel: over which it lands [m].
    Formula: 0.5 m_eff v^2 + (W_f - F h / L) s, energy balance about the rear contact.

    Raises:
        ValueError: a mass, weight or length not above 0, or a travel below 0.
    """
    _positive(front_mass=front_mass, front_weight=front_weight, cg_height=h, wheelbase=base)
    if not (isfinite(travel) and travel >= 0.0):
        raise ValueError(f"travel: found {travel}, wanted a number not below 0")
    return 0.5 * front_mass * speed**2 + (front_weight - thrust * h / base) * travel


def drop_of_part(ahead: float, front: float, rear: float, base: float) -> float:
    """Return how far a part of the body comes down as the suspension compresses [m].

    ahead: the part ahead of the front axle, negative behind it [m].
    front, rear: drop of the body at each axle, compression plus tyre squash [m].  base [m].
    Formula: the straight line through both, front (L + o) / L - rear o / L.

    Raises:
        ValueError: a wheelbase not above 0.
    """
    _positive(wheelbase=base)
    return front * (base + ahead) / base - rear * ahead / base


def clearance_at_full_bump(
    clearance: float, ahead: float, front_bump: float, rear_bump: float,
    front_squash: float, rear_squash: float, base: float,
) -> float:  # fmt: skip
    """Return what is left under a part with the suspension metal-solid [m].

    clearance: under the part at rest [m].  ahead: of the front axle, negative behind it [m].
    front_bump, rear_bump: travel from rest to metal-solid, not to the stop's first touch [m].
    front_squash, rear_squash: further tyre deflection at the peak load [m], see `tyre_squash`.
    Formula: clearance - `drop_of_part`. Negative: metal meets the road before the stop does.

    Raises:
        ValueError: a wheelbase not above 0.
    """
    front, rear = front_bump + front_squash, rear_bump + rear_squash
    return clearance - drop_of_part(ahead, front, rear, base)


def tyre_squash(peak_load: float, static_load: float, rate: float) -> float:
    """Return how much further a tyre is pressed at its peak load than at rest [m].

    peak_load, static_load: of the axle [N].  rate: of its tyres together [N/m].
    Formula: (N - N_static) / k_t; a linear tyre.

    Raises:
        ValueError: a rate not above 0.
    """
    _positive(tyre_rate=rate)
    return (peak_load - static_load) / rate
