"""Who knows the true car: tries every single turn on it and picks the one with the best outcome."""

from collections.abc import Iterator

from rules.car.adjusters import Settings, adjusters
from tests.bench.virtual.cars import Air, TrueCar
from tests.bench.virtual.faults import badness, clearly_worse, faults_of
from tests.bench.virtual.truth import Outcome

MOST_PLACES = 9
# The oracle knows the car, not the next pass's scatter.
AIRS = (Air(), Air(1.01, 0.99), Air(0.992, 1.005))


def around(air: Air) -> list[Air]:
    """Return what a pass may find in such air, as far as who knows the car can tell."""
    return [Air(air.thrust * one.thrust, air.grip * one.grip) for one in AIRS]


def groups(car: TrueCar) -> dict[str, tuple[str, ...]]:
    """Return what is turned as one: a pair of knobs, or a lever."""
    found: dict[str, tuple[str, ...]] = {}
    for one in adjusters(car.file).values():
        name = f"{one.axle} {one.name}" if one.part == "knob" else one.id
        found[name] = (*found.get(name, ()), one.id)
    return found


def turns(car: TrueCar, settings: Settings) -> Iterator[tuple[str, Settings]]:
    """Yield every single turn, both ways, in several sizes up to the end of the range."""
    fitted = adjusters(car.file)
    for name, ids in groups(car).items():
        one = fitted[ids[0]]
        now = settings[one.id]
        places = round((one.high - one.floor) / one.step)
        every = max(1, round(places / MOST_PLACES))
        to = {round(one.floor + n * one.step, 6) for n in range(0, places + 1, every)}
        near = {round(now + n * one.step, 6) for n in (-2, -1, 1, 2)}
        for value in sorted((to | near) - {now}):
            if one.floor <= value <= one.high:
                yield name, {**settings, **dict.fromkeys(ids, value)}


def cure_at_hand(car: TrueCar, settings: Settings, air: Air) -> bool:
    """Tell whether some single turn leaves no fault and no worse danger."""
    return any(not faults_of(car.run(turned, air)) for _, turned in turns(car, settings))


def best_turn(car: TrueCar, settings: Settings, air: Air) -> tuple[str, Settings] | None:
    """Return the turn with the best outcome over a pass's scatter; None where none is better."""
    before = car.run(settings, air)
    tried: list[tuple[float, str, Settings, Outcome]] = []
    for name, turned in turns(car, settings):
        after = car.run(turned, air)
        tried.append((badness(after) + 3.0 * clearly_worse(before, after), name, turned, after))
    tried.sort(key=lambda one: one[0])
    least = tried[0][0] if tried else 0.0
    near = [one for one in tried if one[0] <= least + 0.3]
    # Of those that are as good, the ones in the middle of their kind bear the scatter best.
    near = near[:: max(1, len(near) // 8)][:8]

    def over_airs(turned: Settings) -> float:
        return sum(badness(car.run(turned, one)) for one in around(air))

    chosen = min(near, key=lambda one: over_airs(one[2]), default=None)
    if chosen is None or chosen[0] >= badness(before):
        return None
    return chosen[1], chosen[2]


def oracle_day(car: TrueCar, airs: list[Air], start: Settings, most: int = 6) -> int | None:
    """Return after how many turns the car was good and repeated; None where it was not."""
    settings, made, good = dict(start), 0, 0
    for air in airs:
        if not faults_of(car.run(settings, air)):
            good += 1
            if good == 2:
                return made
            continue
        good = 0
        if made == most:
            return None
        # It knows the day's drift, not the scatter of the pass to come.
        found = best_turn(car, settings, air)
        if found is not None:
            settings, made = found[1], made + 1
    return None
