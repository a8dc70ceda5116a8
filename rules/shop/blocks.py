"""What the shop found that blocks advice, and what the ticks of its inspections belong to."""

from collections.abc import Iterator
from functools import lru_cache

from rules.car.model import AxleEnd, Car
from rules.log.rounds import CHECK, FIT, Round, first_of, in_one_line, reason_of
from rules.log.state import State
from rules.shop.damper_lists import asked_by_dampers
from rules.shop.fit_items import HELD, ITEMS

AXLES: tuple[AxleEnd, ...] = ("front", "rear")
Found = tuple[tuple[str, str], str]


def found_in_shop(state: State) -> Iterator[Found]:
    """Yield inspection and reason with the words, for what is not ticked anew.

    A later survey that finds nothing lifts nothing: only the inspection does.
    """
    yield from _failed_checks(state.sheets.get(FIT, ()))
    told: set[str] = set()
    for sheet, rounds in state.sheets.items():
        for one in rounds:
            for inspection, words in one.stops.items():
                told |= set(words.splitlines())
                reason = reason_of(sheet, first_of(rounds, one))
                yield (inspection, reason), in_one_line(words)
    yield from asked_by_dampers(state)
    for where, words in _springs_on_the_car(state):
        if not set(words.splitlines()) <= told:
            yield where, in_one_line(words)


def _failed_checks(rounds: tuple[Round, ...]) -> Iterator[Found]:
    failed: dict[str, int] = {}
    for one in rounds:
        marks = {key: one.answers[key] for key in ITEMS if key in one.answers}
        failed |= {key: first_of(rounds, one) for key, mark in marks.items() if mark == "fail"}
        failed = {key: at for key, at in failed.items() if marks.get(key, "fail") in HELD}
    for key, number in failed.items():
        if ITEMS[key].safety:
            words = f"Fit check failed: {ITEMS[key].failed}."
            yield (CHECK, reason_of(FIT, number, key)), words


def _springs_on_the_car(state: State) -> Iterator[Found]:
    """Yield what is wrong with the springs that the levers name as on the car now."""
    car = state.car
    if car is None or not car.stock:
        return
    from rules.shop.stock import fitted_name

    for axle in AXLES:
        name = fitted_name(car, state.settings, "spring", axle)
        for inspection, words in _blocked_by(car, axle, name):
            yield (inspection, f"{axle} spring {name}"), words


@lru_cache(maxsize=64)
def _blocked_by(car: Car, axle: AxleEnd, name: str) -> tuple[tuple[str, str], ...]:
    from rules.shop.spring_fit import blocking
    from rules.shop.stock import owned

    spring = next((one for one in owned(car, "spring", axle) if one.name == name), None)
    return tuple(blocking(car, spring).items()) if spring else ()
