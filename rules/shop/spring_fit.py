"""What an owned spring would be on this car: frequency, fit, and what a landing leaves over."""

from collections.abc import Iterable, Iterator, Sequence

from rules.car.chassis import frequency, wheel_rate
from rules.car.model import AxleEnd, Car, Stock
from rules.shop.findings import Finding
from rules.shop.spring_rates import (
    Landing,
    Owned,
    Seat,
    SeatedSpring,
    rate_for_frequency,
    rate_for_landing,
    springs_in_seat,
    stop_of,
)
from rules.units import STANDARD_GRAVITY_M_S2, Quantity
from rules.wording import both

LOOSE, CONTACT = "loose-spring", "contact-marks"
_LOOSE_OR_SOLID = ("coil bind", "spring at full droop", "length at ride height")


def seat_of(car: Car, end: AxleEnd) -> Seat | None:
    """Return where an axle's springs go; None where the file does not say load or motion ratio."""
    sides = [getattr(car.masses, f"{side}_{end}_kg") for side in ("left", "right")]
    unsprung = getattr(car.masses, f"{end}_unsprung_kg")
    _, ratio = car.spring_seat(end)
    if None in sides or unsprung is None or ratio is None:
        return None
    mass = sum(sides) - unsprung
    along = [
        None if travel is None else travel * ratio
        for travel in (getattr(car, end).bump_travel_m, getattr(car, end).droop_travel_m)
    ]
    return Seat(mass / 2.0 * STANDARD_GRAVITY_M_S2 / ratio, ratio, mass, *along)


def springs_on_car(
    car: Car, springs: Sequence[Stock], target: float | None = None
) -> tuple[SeatedSpring, ...]:
    """Return owned springs of one axle as they would be on the car, the best first.

    target: ride frequency [Hz], today's where nobody says one. Empty where the car file does not
    say what its springs carry.
    """
    owned = [
        Owned(one.name, one.rate_n_per_m, one.free_length_m, one.solid_length_m, one.count)
        for one in springs
        if one.rate_n_per_m is not None
    ]
    seat = seat_of(car, springs[0].axle) if owned else None
    if seat is None:
        return ()
    today = getattr(car, springs[0].axle).spring_rate_n_per_m or owned[0].rate
    return springs_in_seat(
        owned, seat, target or frequency(wheel_rate(today, seat.ratio), seat.mass)
    )


def stopped(car: Car, spring: Stock) -> str:
    """Return why an owned spring may not go on the car; empty where nothing stops it."""
    return next((stop_of(one) for one in springs_on_car(car, [spring])), "")


def blocking(car: Car, spring: Stock) -> dict[str, str]:
    """Return what blocks advice with a spring on the car, by inspection, as the survey's coils do.

    A pair that is not whole or a collar that does not reach stops it from going on, and no more.
    """
    return by_inspection(
        (one, f"{spring.name}: {one.words}")
        for choice in springs_on_car(car, [spring])
        for one in choice.findings
        if one.name.endswith(_LOOSE_OR_SOLID)
    )


def is_loose(one: Finding) -> bool:
    """Tell whether a stop is a loose spring; it is a contact otherwise."""
    return one.name.endswith("spring at full droop")


def by_inspection(told: Iterable[tuple[Finding, str]]) -> dict[str, str]:
    """Return the words of what stops, by the inspection it wants, a line for each."""
    lines: dict[str, list[str]] = {}
    for one, words in told:
        if one.level == "stop":
            lines.setdefault(LOOSE if is_loose(one) else CONTACT, []).append(words)
    return {inspection: "\n".join(each) for inspection, each in lines.items()}


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


def landing_of(car: Car, speed: float) -> Landing | None:
    """Return what a touchdown at a speed [m/s] asks of the front, gravity's share in it.

    Thrust held on, as far as the file says it; None where it does not say mass, wheelbase, heights,
    pitch inertia or travel.
    """
    from rules.launch.cloud.on_paper import Known, on_paper
    from rules.shop.rate_ranges import LANDS_BY, landing_at

    paper = on_paper(car)
    if any(paper.known[name] is Known.UNKNOWN for name in (*LANDS_BY, "hs", "Iyy")):
        return None
    said = paper.known["F_launch"] is not Known.UNKNOWN
    return landing_at(paper.params, speed, paper.params["F_launch"] if said else 0.0)


def _landing_words(car: Car, seat: Seat, rate: float, speed: float) -> Iterator[str]:
    landing = landing_of(car, speed)
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
    alone = rate_for_landing(landing, 0.0)
    if alone is None:
        yield "No spring that stays tight in droop takes this landing alone, at this ride height."
    else:
        yield from _alone_words(landing, seat, alone / (2.0 * seat.ratio**2), today or 0.0)
    yield f"{words}. Spring, bump travel and less lift each help; inspect the stops first."


def _alone_words(landing: Landing, seat: Seat, each: float, today: float) -> Iterator[str]:
    """Yield which springs take a landing alone, from today's up [N/m]."""
    rate = wheel_rate(today, seat.ratio) if today else 0.0
    if each > today:
        yield f"Springs of {both(each, Quantity.SPRING_RATE)} would take this landing alone."
    elif rate and rate * landing.droop <= landing.static and landing.left_to_dampers(rate) <= 0.0:
        yield "Today's springs would take this landing alone."
