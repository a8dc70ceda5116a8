"""What is in the trailer: springs and valvings owned, and what each would be on the car."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from rules.adjusters import adjusters
from rules.car import AxleEnd, Car, Lever, Stock
from rules.kept_force import crossing
from rules.shop.findings import both
from rules.shop.spring_words import stopped
from rules.units import Quantity
from rules.valvings import STROKES

if TYPE_CHECKING:
    from rules.launch.crossover import Match
    from rules.launch.dyno import DynoTable

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


def _springs(car: Car, settings: Mapping[str, float], text: str, axle: AxleEnd) -> Iterator[str]:
    on_car = fitted_name(car, settings, "spring", axle)
    springs = owned(car, "spring", axle)
    rates = [one.rate_n_per_m for one in springs if one.name == on_car]
    now = rates[0] if rates else getattr(car, axle).spring_rate_n_per_m
    for one in springs:
        rate = one.rate_n_per_m
        if one.name == on_car or rate is None or stopped(car, one):
            continue
        if now is not None and (
            ("stiffer" in text and rate <= now) or ("lighter" in text and rate >= now)
        ):
            continue
        yield f"{one.name}, {both(rate, Quantity.SPRING_RATE)}"


def _valvings(car: Car, settings: Mapping[str, float], text: str, axle: AxleEnd) -> Iterator[str]:
    on_car = fitted_name(car, settings, "valving", axle)
    for one in owned(car, "valving", axle):
        if one.name == on_car:
            continue
        asked = [stroke for stroke in STROKES if stroke in text] or list(STROKES)
        counts = [
            f"{stroke} {words}"
            for stroke in asked
            if (words := crossing_words(car, settings, one, stroke))
        ]
        yield f"{one.name} ({'; '.join(counts)})" if counts else one.name


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
    from rules.launch.dyno import read_dyno_csv

    return read_dyno_csv("\n".join(rows))


def firmness(one: Stock) -> float:
    """Return how firm a valving is by its tables: the mean force of its fastest rows [N]."""
    tables = [_table(rows) for s in STROKES if (rows := getattr(one, f"{s}_dyno")) is not None]
    return sum(float(table.forces[-1].mean()) for table in tables) / max(1, len(tables))
