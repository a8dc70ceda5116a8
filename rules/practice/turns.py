"""Every single turn that a hand could make: a pair of knobs as one, and every other lever."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from rules.car.adjusters import Adjuster, Settings, adjusters, pair_of
from rules.car.model import Car

_MOST_PLACES = 6


@dataclass(frozen=True)
class SingleTurn:
    """One lever, or a pair, from where it stands to somewhere else.

    levers: what turns together.  settings: where everything stands after it.
    """

    levers: tuple[Adjuster, ...]
    before: float
    after: float
    settings: Settings

    @property
    def title(self) -> str:
        """What is turned, from where to where."""
        one = self.levers[0]
        name = f"{one.axle} {one.name}" if one.part == "knob" else one.id
        return f"{name} {one.show(self.before)} -> {one.show(self.after)}"


def alike(car: Car) -> list[tuple[Adjuster, ...]]:
    """Return what turns together, in the order of the car file; a valving stays what it is."""
    found: list[tuple[Adjuster, ...]] = []
    done: set[str] = set()
    fitted = adjusters(car)
    for one in fitted.values():
        if one.id in done or one.part == "valving":
            continue
        group = tuple(pair_of(fitted, one))
        done |= {each.id for each in group}
        found.append(group)
    return found


def at_places(group: tuple[Adjuster, ...], now: float) -> list[float]:
    """Return the settings that are tried, over the whole range and next to where it stands."""
    one = group[0]
    near = {now + step * one.step for step in (-2, -1, 1, 2)}
    if isfinite(one.marks):
        places = round((one.high - one.floor) / one.step)
        every = max(1, -(-places // _MOST_PLACES))
        near |= {one.floor + step * one.step for step in range(0, places + 1, every)}
    near = {round(value, 6) for value in near} - {round(now, 6)}
    return sorted(value for value in near if value >= one.floor and one.holds(value))


def single_turns(car: Car, settings: Settings) -> Iterator[SingleTurn]:
    """Yield every single turn from here, both ways; right stands off left by the pair's offset."""
    for group in alike(car):
        first = group[0]
        now = settings[first.id]
        for value in at_places(group, now):
            moved = {each.id: settings[each.id] + value - now for each in group}
            if all(each.holds(moved[each.id]) for each in group):
                yield SingleTurn(group, now, value, {**settings, **moved})
