"""What is in the trailer: springs and valvings owned, and what each would be on the car."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from rules.car.adjusters import adjusters
from rules.car.model import AxleEnd, Car, Lever, Stock
from rules.car.valvings import STROKES
from rules.launch.kept_force import crossing
from rules.shop.spring_fit import stopped
from rules.units import Quantity
from rules.wording import both

if TYPE_CHECKING:
    from rules.launch.mechanics.crossover import Match
    from rules.launch.mechanics.dyno import DynoTable

MOST_NAMED = 3


def owned(car: Car, kind: str, axle: str) -> list[Stock]:
    """Return what is owned of a kind for an axle: springs from the lightest, valvings as filed."""
    found = [one for one in car.stock if one.kind == kind and one.axle == axle]
    return sorted(found, key=lambda one: one.rate_n_per_m or 0.0)


def fitted_name(car: Car, settings: Mapping[str, float], kind: str, axle: str) -> str:
    """Return the name of what is on the car now, by its lever; empty where nobody said."""
    lever = lever_for(car, kind, axle)
    if lever is None or not lever.positions:
        return ""
    return adjusters(car)[lever.id].show(settings.get(lever.id, 0.0))


def lever_for(car: Car, kind: str, axle: str) -> Lever | None:
    """Return the lever that names the springs or valvings of an axle."""
    return next((one for one in car.levers if one.kind == kind and one.axle == axle), None)


def in_trailer(car: Car, settings: Mapping[str, float], rung: str, about: str) -> str:
    """Return a rung of the ladder with what the crew owns for it.

    about: the symptom's name; the rung's own words say front or rear first.
    """
    text = rung.lower()
    axle: AxleEnd = (
        "rear"
        if "rear" in (text if "front" in text or "rear" in text else about.lower())
        else "front"
    )
    names = [*(_springs(car, settings, text, axle) if "spring" in text else ())]
    names += [*(_valvings(car, settings, text, axle) if "valving" in text else ())]
    if not names:
        return rung
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f"{rung}. In the trailer: {'; '.join(names[:MOST_NAMED])}{more}"


def rate_today(car: Car, settings: Mapping[str, float], axle: AxleEnd) -> float | None:
    """Return the rate of the spring on the car [N/m]: by its lever, or as the file says it."""
    on_car = fitted_name(car, settings, "spring", axle)
    rates = [one.rate_n_per_m for one in owned(car, "spring", axle) if one.name == on_car]
    said: float | None = rates[0] if rates else getattr(car, axle).spring_rate_n_per_m
    return said


def others_owned(
    car: Car, settings: Mapping[str, float], axle: AxleEnd
) -> Iterator[tuple[str, float]]:
    """Yield the owned springs that may go on in place of today's: name and rate [N/m]."""
    on_car = fitted_name(car, settings, "spring", axle)
    for one in owned(car, "spring", axle):
        if one.name != on_car and one.rate_n_per_m is not None and not stopped(car, one):
            yield one.name, one.rate_n_per_m


def _springs(car: Car, settings: Mapping[str, float], text: str, axle: AxleEnd) -> Iterator[str]:
    now = rate_today(car, settings, axle)
    for name, rate in others_owned(car, settings, axle):
        if now is not None and (
            ("stiffer" in text and rate <= now) or ("lighter" in text and rate >= now)
        ):
            continue
        yield f"{name}, {both(rate, Quantity.SPRING_RATE)}"


def _valvings(car: Car, settings: Mapping[str, float], text: str, axle: AxleEnd) -> Iterator[str]:
    on_car = fitted_name(car, settings, "valving", axle)
    lever = lever_for(car, "valving", axle)
    in_order = lever.positions if lever is not None else ()
    for one in owned(car, "valving", axle):
        if one.name == on_car or _other_way(in_order, on_car, one.name, text):
            continue
        asked = [stroke for stroke in STROKES if stroke in text] or list(STROKES)
        counts = [
            f"{stroke} {words}"
            for stroke in asked
            if (words := crossing_words(car, settings, one, stroke))
        ]
        told = counts or ([one.note] if one.note else [])
        yield f"{one.name} ({'; '.join(told)})" if told else one.name


def _other_way(in_order: Sequence[str], now: str, name: str, text: str) -> bool:
    """Tell whether a valving lies the other way than a rung says, from the one on the car."""
    if not {now, name} <= set(in_order):
        return False
    firmer = in_order.index(name) > in_order.index(now)
    return ("firmer" in text and not firmer) or ("softer" in text and firmer)


def crossing_words(car: Car, settings: Mapping[str, float], one: Stock, stroke: str) -> str:
    """Say which clicks on an owned valving give today's force back, low and high speed.

    Empty where either curve is missing, or today's count was not measured.
    """
    rows = getattr(one, f"{stroke}_dyno")
    every = (
        crossing(car, settings, damper, knob, stroke, rows)
        for damper in car.dampers
        for knob in damper.knobs
        if damper.axle == one.axle and knob.controls in (stroke, "both")
        if one.counted(stroke) in ("", knob.id)
    )
    found = next((one for one in every if one is not None), None)
    if found is None:
        return ""
    if found.agrees:
        return f"the same at {found.low.setting:g}"
    return f"the same at {_at(found.low)} slow, {_at(found.high)} fast"


def _at(match: "Match") -> str:
    if match.measured_to is not None:
        return "a count not known, measured too slow,"
    return "no click" if match.setting is None else f"{match.setting:g}"


def _table(rows: tuple[str, ...]) -> "DynoTable":
    from rules.launch.mechanics.dyno import read_dyno_csv

    return read_dyno_csv("\n".join(rows))


def tables_of(one: Stock) -> list[tuple[str, ...]]:
    """Return the tables of a valving."""
    return [rows for s in STROKES if (rows := getattr(one, f"{s}_dyno")) is not None]


def firmness(one: Stock) -> float:
    """Return how firm a valving is by its tables: the mean force of its fastest rows [N]."""
    tables = [_table(rows) for rows in tables_of(one)]
    return sum(float(table.forces[-1].mean()) for table in tables) / max(1, len(tables))
