"""Which spring rates a ride frequency and a landing want, as findings, with what is owned."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from rules.car.model import AxleEnd, Car
from rules.car.usual import LABEL, TYPICAL
from rules.crew.sheets.sheet import Filling
from rules.faults import there
from rules.launch.forecast_words import measure_words
from rules.shop.findings import Finding, unknown
from rules.shop.stock import MOST_NAMED, others_owned, rate_today
from rules.units import Quantity
from rules.wording import both, both_range

if TYPE_CHECKING:
    from rules.shop.rate_ranges import Rates, Span

ID = "spring rates"
ENDS: tuple[AxleEnd, ...] = ("front", "rear")
FILM = "the touchdown speed: the key h in the pits reads it off a film"
_FEW = 0.1
_MOST = 0.9
# An owned spring this far off a wanted rate is no answer to it; common practice, no source.
_NEAR = 1.2
_LANDINGS = {True: "landing on full thrust", False: "landing without thrust"}
_CLICKS = "dampers at today's settings"
_MORE = "It wants more bump travel, firmer high-speed compression or less lift."
_BETWEEN = "Thrust has fallen off by then: a landing lies between this and none."
_LIGHTER = (
    "A lighter one lifts higher and lands faster: not on a car that stands big or lands hard."
)
BEFORE = Finding(
    "before a spring is changed", None, None, "ok",
    "Set preload and ride height again, and check bind and looseness by the maker's figures. It is "
    "one change, with a pass of its own.",
)  # fmt: skip


@dataclass(frozen=True)
class RatesWanted:
    """What the crew is after.

    hertz: of each axle, from and to [Hz].  usual: axles where that is only the usual range.
    touchdown: of the front axle [m/s].
    """

    hertz: Mapping[AxleEnd, tuple[float, float]]
    usual: frozenset[AxleEnd]
    touchdown: float | None


def asked(now: Filling) -> RatesWanted:
    """Return what was asked for on this sheet; a touchdown off the latest pass that has one."""
    wanted = {end: now.si(f"{end} target") for end in ENDS}
    hertz = {
        end: (TYPICAL[f"survey.{end}_frequency"].low, TYPICAL[f"survey.{end}_frequency"].high)
        if one is None
        else (one, one)
        for end, one in wanted.items()
    }
    usual = frozenset(end for end, one in wanted.items() if one is None)
    speed = now.si("touchdown", Quantity.PISTON_SPEED)
    return RatesWanted(hertz, usual, seen_touchdown(now) if speed is None else speed)


def last_asked(now: Filling) -> RatesWanted:
    """Return what was last asked for on the sheet of the spring rates."""
    rounds = now.state.sheets.get(ID, ())
    return asked(Filling(now.state, rounds[-1].answers if rounds else {}))


def seen_touchdown(now: Filling) -> float | None:
    """Return the touchdown speed of the latest pass that has one [m/s]."""
    speeds = [one.measured["touchdown"] for one in now.state.runs if "touchdown" in one.measured]
    return speeds[-1].value if speeds else None


def rate_findings(
    car: Car, settings: Mapping[str, float], wanted: RatesWanted
) -> tuple[Finding, ...]:
    """Return the rates of one spring for each axle, as ranges over the cars that this may be.

    settings: by adjuster id. What a landing wants is never answered with a spring lighter than
    today's.
    """
    try:
        return (*_for_hertz(car, settings, wanted), *_for_landing(car, settings, wanted), BEFORE)
    except ValueError as error:
        return (Finding(ID, None, Quantity.SPRING_RATE, "unknown", f"Not known yet: {error}."),)


def _for_hertz(car: Car, settings: Mapping[str, float], wanted: RatesWanted) -> Iterator[Finding]:
    from rules.shop.rate_ranges import rates_for_hertz

    for end in ENDS:
        low, high = wanted.hertz[end]
        hertz = f"{low:g} Hz" if low == high else f"{low:g} to {high:g} Hz"
        name = f"{end} spring for {hertz}"
        rates = rates_for_hertz(car, settings, end, (low, high))
        if rates.missing or rates.least is None or rates.most is None:
            yield unknown(name, _listed(rates.missing), Quantity.SPRING_RATE)
            continue
        span = (rates.least.low, rates.most.high)
        middle = (rates.least.middle + rates.most.middle) / 2.0
        says = [f"{both_range(*span, Quantity.SPRING_RATE)} each."]
        if end in wanted.usual:
            says.append(f"The usual range ({LABEL}).")
        today = rate_today(car, settings, end)
        if end == "front" and today is not None and middle < today:
            says.append(_LIGHTER)
        says += [*_guessed(rates), *_owned(car, settings, end, *span)]
        yield Finding(name, middle, Quantity.SPRING_RATE, "ok", " ".join(says))


def _for_landing(car: Car, settings: Mapping[str, float], wanted: RatesWanted) -> Iterator[Finding]:
    from rules.shop.rate_ranges import rates_for_touchdown

    if wanted.touchdown is None:
        yield unknown("front spring for the landing", FILM, Quantity.SPRING_RATE)
        return
    for thrust, words in _LANDINGS.items():
        name = f"front spring, {words}"
        rates = rates_for_touchdown(car, settings, wanted.touchdown, thrust)
        if rates.missing:
            yield unknown(name, _listed(rates.missing), Quantity.SPRING_RATE)
            continue
        at = f"At {both(wanted.touchdown, Quantity.PISTON_SPEED)}:"
        one = _landing(name, at, car, settings, rates)
        yield replace(one, says=f"{one.says} {_BETWEEN}") if thrust else one


def _landing(
    name: str, at: str, car: Car, settings: Mapping[str, float], rates: "Rates"
) -> Finding:
    """Return what a landing wants; a rate is named only from today's up."""
    today = rate_today(car, settings, "front")
    if words := _not_by_a_spring(rates, today):
        says = [f"{at} {words}", _MORE, *_guessed(rates)]
        return Finding(name, None, Quantity.SPRING_RATE, "look", " ".join(says))
    least, most = there(rates.least, "least rate"), there(rates.most, "most rate")
    says = [f"{at} {_bounds(least, most, today)}, {_CLICKS}.", *_alone(rates, today or 0.0)]
    if today is None or least.high < today:
        says.append(_LIGHTER)
    span = (least.high, most.low) if least.high <= most.low else (least.middle, most.middle)
    says += [*_guessed(rates), *_owned(car, settings, "front", *span, lightest=today or 0.0)]
    value = max(least.middle, today or 0.0) or None
    return Finding(name, value, Quantity.SPRING_RATE, "ok", " ".join(says))


def _not_by_a_spring(rates: "Rates", today: float | None) -> str:
    """Say why no spring is the answer to a landing; empty where one may be."""
    does = "that stays tight in droop takes it within the bump travel"
    most = rates.most
    if rates.least is None or most is None or rates.share < _FEW:
        return f"no spring {does}, {_CLICKS}."
    if rates.share < _MOST:
        share = f"{100 * rates.share:.0f} % of the cars this may be"
        return f"on {share}, a spring {does}, {_CLICKS}; on the rest none does."
    if today is not None and most.low < today:
        on = "" if most.high < today else ", on some of the cars this may be"
        past = both(today, Quantity.SPRING_RATE)
        takes = "stays tight in droop and takes it within the bump travel"
        return f"today's {past} is past what {takes}, {_CLICKS}{on}. {_LIGHTER}"
    return ""


def _bounds(least: "Span", most: "Span", today: float | None) -> str:
    """Say from which rate a spring takes a landing, and up to which it stays tight and does."""
    if today is not None and least.high <= today:
        takes = f"today's {both(today, Quantity.SPRING_RATE)} takes it"
        return f"{takes}, and so does a stiffer one, {_upper(most)}"
    if least.high <= 0.0:
        return f"{_upper(most)} each, past which it goes loose or too stiff; no least"
    low = max(least.low, today or 0.0)
    return f"at least {both_range(low, least.high, Quantity.SPRING_RATE)}, {_upper(most)}, each"


def _upper(most: "Span") -> str:
    if most.low == inf:
        return "no upper bound"
    if most.high == inf:
        return (
            f"at most {both(most.low, Quantity.SPRING_RATE)} on some cars, no upper bound on others"
        )
    return f"at most {both_range(most.low, most.high, Quantity.SPRING_RATE)}"


def _alone(rates: "Rates", lightest: float) -> Iterator[str]:
    """Say what springs would take a landing with dampers that take nothing."""
    alone = rates.alone
    if alone is None or rates.alone_share < _FEW:
        yield "Springs alone do not take it."
    elif rates.alone_share < _MOST:
        yield f"Springs alone take it on {100 * rates.alone_share:.0f} % of the cars."
    elif alone.high > lightest:
        span = both_range(max(alone.low, lightest), alone.high, Quantity.SPRING_RATE)
        yield f"Springs alone: at least {span}."


def _guessed(rates: "Rates") -> Iterator[str]:
    if rates.guessed:
        yield f"Guessed: {_listed(rates.guessed)}."


def _listed(keys: tuple[str, ...]) -> str:
    return ", ".join(measure_words(key) for key in keys)


def _owned(
    car: Car,
    settings: Mapping[str, float],
    end: AxleEnd,
    low: float,
    high: float,
    lightest: float = 0.0,
) -> Iterator[str]:
    """Name the owned springs within a range of rates, or the one that comes nearest to it."""

    def off(spring: tuple[str, float]) -> float:
        rate = spring[1]
        return max(low / rate, rate / high, 1.0)

    springs = sorted(
        (one for one in others_owned(car, settings, end) if one[1] >= lightest), key=off
    )
    named = [one for one in springs if off(one) <= 1.0] or springs[:1]
    if named:
        told = "; ".join(
            f"{name}, {both(rate, Quantity.SPRING_RATE)}" for name, rate in named[:MOST_NAMED]
        )
        if off(named[0]) > _NEAR:
            yield f"None in the trailer comes near it; the nearest is {told}."
            return
        near = "In the trailer" if off(named[0]) <= 1.0 else "Nearest in the trailer"
        yield f"{near}: {told}."
