"""Changes put to the launch model, on the shipped invented cars."""

from functools import lru_cache
from typing import Any

from profiles.files import SHIPPED_CARS, load_car
from rules.car.adjusters import Settings, adjusters, starts
from rules.car.model import Car
from rules.car.steps import moved
from rules.launch.proposed_change import ProposedChange


@lru_cache
def shipped_car(name: str) -> Car:
    """Return a shipped car."""
    return load_car(SHIPPED_CARS / f"{name}.toml")


def pair(name: str, end: str = "front") -> tuple[str, ...]:
    """Return the adjusters of a pair."""
    return (f"left {end} {name}", f"right {end} {name}")


def turned(car: Car, levers: tuple[str, ...], upward: bool, steps: int) -> Settings:
    """Return the starts of a car with levers turned."""
    settings, fitted = starts(car), adjusters(car)
    return {
        key: moved(fitted[key], value, upward, steps) if key in levers else value
        for key, value in settings.items()
    }


def question(
    car: Car, levers: tuple[str, ...], upward: bool, steps: int, symptom: str, **facts: Any
) -> ProposedChange:
    """Ask about 1 to `steps` steps; facts by prompt, with _ for -."""
    return ProposedChange(
        car=car,
        settings=starts(car),
        steps=tuple(turned(car, levers, upward, n) for n in range(1, steps + 1)),
        symptom=symptom,
        upward=upward,
        levers=levers,
        facts={key.replace("_", "-"): value for key, value in facts.items()},
    )
