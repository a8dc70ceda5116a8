"""Spring rates for a ride frequency and for a landing, over the cars that this one may be. SI.

The formulas stand in `rules.shop.springs.spring_rates` and `rules.chassis`; the cars are those of
a what-if. It needs the array library and is loaded when rates are first asked for.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, nan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rules.car.chassis import landing_energy
from rules.car.model import AxleEnd, Car
from rules.launch.car_number import front_mass, how_known, keys_of, sprung_on
from rules.launch.cloud.car_cloud import Deviates, LaunchCars, deviates, typical_cars
from rules.launch.cloud.ensemble import NAMES, RELATIVE
from rules.launch.cloud.knobs import curve_of
from rules.launch.cloud.on_paper import Known, Params
from rules.launch.mechanics.valve import Curve
from rules.launch.what_if import CARS, range_of
from rules.shop.spring_rates import Landing, rate_for_frequency, rates_for_landing

Array = NDArray[np.float64]

LANDS_BY = ("ms", "L", "a", "front_bump", "front_droop")
_CURVE = tuple(f"damper.front.comp.{part}" for part in ("kb", "F0", "chs"))
_STEPS = 200
# Beyond any spring of a car: a bound past it bounds nothing [N/m].
_STIFFEST = 1e6


@dataclass(frozen=True)
class Span:
    """The 10, 50 and 90 % quantiles of a rate over the cars that have one [N/m].

    An upper bound that no spring is stiff enough to meet is infinite.
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Rates:
    """The rates of one spring that do what is wanted, over the cars this one may be.

    least, most: the ends of what does it on a car, or of what is wanted; None where no spring does.
    share: of the cars on which any spring does [-].
    alone, alone_share: as least and share, the dampers taking nothing.
    missing: keys of the car file without which nothing can be said.
    guessed: keys that are guessed, or of a typical car.
    """

    least: Span | None = None
    most: Span | None = None
    share: float = 0.0
    alone: Span | None = None
    alone_share: float = 0.0
    missing: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()


def rates_for_hertz(
    car: Car, settings: Mapping[str, float], end: AxleEnd, wanted: tuple[float, float]
) -> Rates:
    """Return the rates that give an axle a ride frequency from the first to the second [Hz].

    settings: by adjuster id.  least, most: at the one end and at the other of what is wanted.

    Raises:
        ValueError: numbers that no car can have, or a frequency not above 0.
    """
    cars = _Cars.of(car, settings, end)
    told = cars.told(("ms", "a"), (f"m{end[0]}",))
    if told.missing:
        return told
    ends = [
        [
            rate_for_frequency(hertz, sprung_on(one, end), ratio)
            for one, ratio in zip(cars.cloud.cars, cars.ratios, strict=True)
        ]
        for hertz in wanted
    ]
    return replace(told, least=_span(ends[0]), most=_span(ends[1]), share=1.0)


def rates_for_touchdown(
    car: Car, settings: Mapping[str, float], speed: float, thrust: bool
) -> Rates:
    """Return the rates with which a touchdown is taken up within the front travel there is.

    speed: of the front axle at touchdown [m/s].  thrust: held on, at its peak, or none.
    What the dampers take at today's settings is counted in, `damper_work`.

    Raises:
        ValueError: numbers that no car can have.
    """
    cars = _Cars.of(car, settings, "front")
    also = ("hs", "Iyy", "mf", *_CURVE, *(("F_launch",) if thrust else ()))
    told = cars.told(LANDS_BY, also)
    if told.missing:
        return told
    landings = [
        landing_at(one, speed, one["F_launch"] if thrust else 0.0) for one in cars.cloud.cars
    ]
    curves = [curve_of(one["damper"]["front"]["comp"]) for one in cars.cloud.cars]
    works = [
        damper_work(curve, speed, landing.droop + landing.bump)
        for curve, landing in zip(curves, landings, strict=True)
    ]
    both = cars.of_springs(landings, works)
    alone = cars.of_springs(landings, [0.0] * len(landings))
    return replace(
        told,
        least=_span(both[:, 0]),
        most=_upper(both[:, 1]),
        share=range_of(both[:, 0]).known,
        alone=_span(alone[:, 0]),
        alone_share=range_of(alone[:, 0]).known,
    )


def _span(values: ArrayLike) -> Span | None:
    """Return where rates lie, NaN standing for a car without one; None where no car has one."""
    found = range_of(values)
    if found.low is None or found.middle is None or found.high is None:
        return None
    return Span(found.low, found.middle, found.high)


def _upper(values: ArrayLike) -> Span | None:
    """Return where upper bounds lie, infinite where they are past any spring."""
    span = _span(np.minimum(values, _STIFFEST))
    if span is None:
        return None
    ends = (inf if one >= _STIFFEST else one for one in (span.low, span.middle, span.high))
    return Span(*ends)


def landing_at(car: Params, speed: float, thrust: float) -> Landing:
    """Return what a touchdown asks of the front of a car, from full droop to full bump.

    car: by the names of `rules.launch.parameters`.  speed: of the axle [m/s].  thrust [N].
    Formula: 0.5 m_eff v^2 + (W_f - F h / L) s, `rules.chassis.landing_energy`, of the sprung mass,
    as the landing of a what-if takes it.
    """
    weight = sprung_on(car, "front") * car["g"]
    droop, bump = float(car["front_droop"]), float(car["front_bump"])
    energy = landing_energy(
        front_mass(car), speed, weight, thrust, car["hs"], car["L"], droop + bump
    )
    return Landing(max(0.0, energy), weight, droop, bump)


def damper_work(curve: Curve, speed: float, stroke: float) -> float:
    """Return what an axle's dampers take up while the front stops within a stroke [J].

    curve: at the wheel.  speed: at its start [m/s].  stroke [m].
    Formula: the integral of F(v) over the stroke for a steady deceleration, v = v0 sqrt(1 - x / s),
    by midpoints. Against the step-by-step landing of `rules.launch.landing` that just meets the
    stop, from -5 to +3 % of the landing's energy on the demonstration cars.
    """
    along = (np.arange(_STEPS) + 0.5) / _STEPS
    return float(stroke * np.mean(curve.force(speed * np.sqrt(1.0 - along))))


@dataclass(frozen=True)
class _Cars:
    """The cars this one may be, with the spring's motion ratio of each, (n,)."""

    cloud: LaunchCars
    ratios: tuple[float, ...]
    key: str
    known: Known

    @classmethod
    def of(cls, car: Car, settings: Mapping[str, float], end: AxleEnd) -> "_Cars":
        key, ratio = car.spring_seat(end)
        known = Known.GUESSED if key in car.guesses else Known.MEASURED
        drawn = deviates(car, CARS)
        cloud = typical_cars(car, settings, drawn)
        if ratio is None:
            return cls(cloud, (1.0,) * CARS, key, Known.UNKNOWN)
        return cls(cloud, _drawn_ratios(ratio, end, known, drawn), key, known)

    def told(self, needs: Sequence[str], also: Sequence[str]) -> Rates:
        """Return what is missing, or what is guessed of all that the rates hang on."""
        cloud = self.cloud
        missing = keys_of(cloud, (one for one in needs if cloud.known[one] is Known.UNKNOWN))
        if self.known is Known.UNKNOWN:
            missing = (*missing, self.key)
        _, guessed = how_known(cloud, (*needs, *also))
        own = (self.key,) if self.known is Known.GUESSED else ()
        return Rates(missing=missing, guessed=(*own, *guessed))

    def of_springs(self, landings: Sequence[Landing], works: Sequence[float]) -> Array:
        """Return least and greatest rate of one spring on each car, (n, 2); NaN where none does.

        A car that wants one stiffer than any has none.
        """
        rows = np.full((len(landings), 2), nan)
        for row, (landing, work) in enumerate(zip(landings, works, strict=True)):
            rates = rates_for_landing(landing, work)
            if rates is not None:
                rows[row] = np.asarray(rates) / (2.0 * self.ratios[row] ** 2)
        rows[rows[:, 0] > _STIFFEST] = nan
        return rows


def _drawn_ratios(ratio: float, end: AxleEnd, known: Known, drawn: Deviates) -> tuple[float, ...]:
    """Return the ratio of each car, spread so that a wheel rate spreads as the cloud's does."""
    deviate = drawn.numbers[:, NAMES.index(f"k{end[0]}")]
    spread = RELATIVE[f"k{end[0]}"][known is Known.GUESSED]
    return tuple((ratio * np.exp(spread * deviate / 2.0)).tolist())
