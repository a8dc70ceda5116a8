"""Which spring: by ride frequency, by what a landing asks, from what the crew owns. SI throughout.

Sources: natural frequency, S. S. Rao, Mechanical Vibrations, chapter 2, from memory; the landing is
an energy balance about the rear contact (`rules.chassis.landing_energy`). Same ride height
throughout: another rate means another collar place.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite, pi

from rules.car.chassis import frequency, wheel_rate
from rules.shop.coil import Coil, coil_findings
from rules.shop.findings import Finding, gravest
from rules.units import Quantity
from rules.wording import both


def rate_for_frequency(wanted: float, mass: float, ratio: float, springs: int = 2) -> float:
    """Return the rate of one spring that gives an axle a ride frequency [N/m].

    wanted [Hz].  mass: sprung mass that the axle carries [kg].  ratio: the spring's motion ratio.
    Formula: f = sqrt(k / m) / 2 pi with k = n K MR^2, solved for K; tyres taken as rigid.

    Raises:
        ValueError: a number not above 0.
    """
    _positive(frequency=wanted, sprung_mass=mass, motion_ratio=ratio, springs=springs)
    return (2.0 * pi * wanted) ** 2 * mass / (springs * ratio**2)


def spring_work(rate: float, static: float, droop: float, bump: float) -> float:
    """Return what an axle's springs take up from full droop to full bump [J].

    rate: of the axle at the wheel [N/m].  static: sprung load it carries at ride height [N].
    droop, bump: travel at the wheel from ride height [m].
    Formula: the integral of max(0, W + k q) over q from -droop to bump; a loose spring pushes
    nothing.

    Raises:
        ValueError: a rate or load not above 0, or a travel below 0.
    """
    _positive(wheel_rate=rate, static_load=static)
    _not_negative(droop=droop, bump=bump)
    start = -min(droop, static / rate)
    return static * (bump - start) + rate * (bump**2 - start**2) / 2.0


@dataclass(frozen=True)
class Landing:
    """What a landing asks of one axle's springs and dampers.

    energy: to take up from full droop to full bump, gravity's share in it [J], see
    `rules.chassis.landing_energy`.  static: sprung load at ride height [N].
    droop, bump: travel at the wheel from ride height [m].
    """

    energy: float
    static: float
    droop: float
    bump: float

    def left_to_dampers(self, rate: float) -> float:
        """Return what the springs leave to the dampers [J]; not above 0: nothing.

        rate: of the axle at the wheel [N/m].
        """
        return max(0.0, self.energy - spring_work(rate, self.static, self.droop, self.bump))


def rates_for_landing(landing: Landing, by_dampers: float) -> tuple[float, float] | None:
    """Return the least and the greatest wheel rate that leave the dampers no more than this [N/m].

    by_dampers: what the dampers can take over the stroke [J].
    Formula: W s + k (bump^2 - droop^2) / 2 >= E - E_d for a spring that is never loose,
    k droop <= W. With less bump than droop a stiffer spring at the same ride height takes up less
    over the whole stroke, not more: then only the greatest rate is a bound. None where no spring
    does it; infinite where nothing bounds it.

    Raises:
        ValueError: a number below 0, or a load or stroke not above 0.
    """
    _not_negative(energy=landing.energy, droop=landing.droop, bump=landing.bump)
    _not_negative(by_dampers=by_dampers)
    _positive(static_load=landing.static, stroke=landing.droop + landing.bump)
    tight = landing.static / landing.droop if landing.droop > 0.0 else inf
    short = landing.energy - by_dampers - landing.static * (landing.droop + landing.bump)
    gain = (landing.bump**2 - landing.droop**2) / 2.0
    if gain > 0.0:
        least = max(0.0, short / gain)
        return (least, max(least, tight)) if least <= tight * (1.0 + 1e-9) else None
    if short > 0.0:
        return None
    return 0.0, min(tight, short / gain) if gain < 0.0 else tight


def rate_for_landing(landing: Landing, by_dampers: float) -> float | None:
    """Return the least wheel rate of `rates_for_landing` [N/m], None where no spring does it.

    Raises:
        ValueError: a number below 0, or a load or stroke not above 0.
    """
    rates = rates_for_landing(landing, by_dampers)
    return None if rates is None else rates[0]


@dataclass(frozen=True)
class Owned:
    """A spring in the trailer: rate [N/m], free and solid length [m], how many there are."""

    name: str
    rate: float
    free: float | None = None
    solid: float | None = None
    count: int = 2


@dataclass(frozen=True)
class Seat:
    """Where the springs of one axle go.

    load: what one spring carries at ride height [N].  ratio: the spring's motion ratio.
    mass: sprung mass on the axle [kg].  bump, droop: the spring's travel along itself from ride
    height, metal-solid and full droop [m].  at_ride: today's spring length at ride height [m].
    shortest, longest: between which the collar can hold the spring at ride height [m].
    """

    load: float
    ratio: float
    mass: float
    bump: float | None = None
    droop: float | None = None
    at_ride: float | None = None
    shortest: float | None = None
    longest: float | None = None


@dataclass(frozen=True)
class SeatedSpring:
    """One owned spring tried in its seat.

    frequency [Hz]; at_ride: its length at ride height [m], None without a free length.
    collar: how far its seat moves away from the spring, against today [m].
    left_to_dampers: of a landing [J], None without one.
    findings: in a fixed order.
    """

    spring: Owned
    frequency: float
    at_ride: float | None
    collar: float | None
    left_to_dampers: float | None
    findings: tuple[Finding, ...]


def springs_in_seat(
    stock: Sequence[Owned], seat: Seat, wanted: float, landing: Landing | None = None
) -> tuple[SeatedSpring, ...]:
    """Return every owned spring tried in its seat, the best first.

    wanted: ride frequency [Hz]. First those that stop nothing, then by how near the frequency
    comes, as a ratio. What fits is not yet advice: the gates of the rule book come after it.

    Raises:
        ValueError: a rate, load, mass, ratio or frequency not above 0.
    """
    _positive(frequency=wanted, spring_load=seat.load, sprung_mass=seat.mass)
    tried = [_try(spring, seat, landing) for spring in stock]
    order = {"ok": 0, "unknown": 0, "look": 0, "stop": 1}

    def off(choice: SeatedSpring) -> tuple[int, float]:
        ratio = choice.frequency / wanted
        return order[gravest(choice.findings)], max(ratio, 1.0 / ratio)

    return tuple(sorted(tried, key=off))


def stop_of(choice: SeatedSpring) -> str:
    """Return in words why a spring may not go on the car; empty where nothing stops it."""
    return next((one.says for one in choice.findings if one.level == "stop"), "")


def _try(spring: Owned, seat: Seat, landing: Landing | None) -> SeatedSpring:
    _positive(spring_rate=spring.rate)
    rate = wheel_rate(spring.rate, seat.ratio)
    at_ride = None if spring.free is None else spring.free - seat.load / spring.rate
    collar = None if at_ride is None or seat.at_ride is None else seat.at_ride - at_ride
    return SeatedSpring(
        spring=spring,
        frequency=frequency(rate, seat.mass),
        at_ride=at_ride,
        collar=collar,
        left_to_dampers=None if landing is None else landing.left_to_dampers(rate),
        findings=(_pair(spring), *_fits(spring, seat, at_ride)),
    )


def _pair(spring: Owned) -> Finding:
    if spring.count >= 2:
        return Finding(f"{spring.name}, pair", spring.count, None, "ok", "There are two of them.")
    says = "STOP: only one is there; both sides take the same spring."
    return Finding(f"{spring.name}, pair", spring.count, None, "stop", says)


def _fits(spring: Owned, seat: Seat, at_ride: float | None) -> tuple[Finding, ...]:
    name = f"{spring.name}, length at ride height"
    if at_ride is None:
        says = "Not known yet: it needs the spring's free length."
        return (Finding(name, None, Quantity.LENGTH, "unknown", says),)
    if at_ride <= (spring.solid or 0.0):
        says = "STOP: the car's weight alone would close it."
        return (Finding(name, at_ride, Quantity.LENGTH, "stop", says),)
    says = f"{both(at_ride, Quantity.LENGTH)} long at ride height."
    short = seat.shortest is not None and at_ride < seat.shortest
    long = seat.longest is not None and at_ride > seat.longest
    if short or long:
        way = "far enough up" if short else "far enough down"
        says += f" STOP: the collar does not go {way} for today's ride height."
    coil = Coil(at_ride, spring.free, spring.solid, spring.rate, seat.bump, seat.droop)
    return (
        Finding(name, at_ride, Quantity.LENGTH, "stop" if short or long else "ok", says),
        *coil_findings(spring.name, coil)[:3],
    )


def _positive(**numbers: float) -> None:
    for name, value in numbers.items():
        if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
            raise ValueError(f"{name.replace('_', ' ')}: found {value}, wanted a number above 0")


def _not_negative(**numbers: float) -> None:
    for name, value in numbers.items():
        if isinstance(value, bool) or not (isfinite(value) and value >= 0.0):
            raise ValueError(
                f"{name.replace('_', ' ')}: found {value}, wanted a number not below 0"
            )
