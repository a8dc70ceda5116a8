"""Everything on the car that can be set, seen alike: a number, its bounds, its steps, its words.

A knob's number is kept in whole marks (clicks, or witness marks of a turn) as its crew counts
it; a lever's number is kept in its own unit, or as an index where it has named positions.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import inf, isfinite
from types import MappingProxyType
from typing import Literal

from rules.car.body import Tyre
from rules.car.hand_words import HAND_WORDS, HandWords
from rules.car.model import Car, Controls, CountFrom, Curve, Damper, Knob, Lever, SpeedRange

Direction = Literal[
    "firmer", "softer", "more", "less", "longer", "shorter", "stiffer", "lighter", "raise", "lower"
]


UPWARD: frozenset[str] = frozenset({"firmer", "more", "longer", "stiffer", "raise"})


DIRECTIONS: dict[str, tuple[Direction, Direction]] = {
    "knob": ("firmer", "softer"),
    "travel limiter": ("longer", "shorter"),
    "tyre pressure": ("more", "less"),
    "launch rpm": ("more", "less"),
    "spring": ("stiffer", "lighter"),
    "ride height": ("raise", "lower"),
    "preload": ("more", "less"),
    "link position": ("raise", "lower"),
    "anti-roll bar": ("stiffer", "lighter"),
    "valving": ("firmer", "softer"),
}


@dataclass(frozen=True)
class Turn:
    """One adjuster, from a setting to a setting, in the adjuster's own numbers."""

    adjuster: str
    before: float
    after: float

    def __post_init__(self) -> None:
        # As whole numbers lie in a log, too.
        object.__setattr__(self, "before", float(self.before))
        object.__setattr__(self, "after", float(self.after))


Settings = dict[str, float]


@dataclass(frozen=True)
class Adjuster:
    """One knob or lever. `partner` is the other side of a pair, `offset` right minus left."""

    id: str
    place: str
    part: str
    axle: str
    name: str
    low: float
    high: float
    step: float
    unit: str
    start: float
    minutes: int
    lift_car: bool
    tools: str = ""
    per_unit: int = 1
    count_from: CountFrom | None = None
    firmer_turn: str = "unknown"
    controls: Controls | None = None
    speed: SpeedRange = "unknown"
    curve: Curve = "unknown"
    partner: str | None = None
    offset: float = 0.0
    positions: tuple[str, ...] = ()
    makers_minimum: float | None = None
    tyre: Tyre | None = None

    @property
    def label(self) -> str:
        """Corner and name, as the work order says them."""
        return f"{self.place} {self.name}" if self.place else self.name

    @property
    def floor(self) -> float:
        """The least setting: never below the tyre maker's minimum where there is one."""
        return self.low if self.makers_minimum is None else max(self.low, self.makers_minimum)

    @property
    def marks(self) -> float:
        """Steps from end to end; infinite where the file names no ends."""
        return (self.high - self.low) / self.step

    def up(self, upward: bool) -> int:
        """Return the sign of the number's change when going firmer (or more, longer, stiffer)."""
        sign = -1 if self.count_from == "full hard" else 1
        return sign if upward else -sign

    def room(self, value: float, upward: bool) -> float:
        """Return the whole steps left from `value` to the end it goes to."""
        distance = self.high - value if self.up(upward) > 0 else value - self.floor
        steps = distance / self.step
        return inf if not isfinite(steps) else max(0.0, (steps + 1e-9) // 1)

    def firmness(self, value: float) -> float | None:
        """Return where the setting stands, 0 at its softest (least) end and 1 at its firmest."""
        if not isfinite(self.marks) or self.marks <= 0:
            return None
        share = (value - self.low) / (self.high - self.low)
        return 1 - share if self.count_from == "full hard" else share

    def holds(self, value: float) -> bool:
        """Tell whether `value` is a setting this adjuster can stand at."""
        if self.part == "knob" and value != int(value):
            return False
        return self.low - 1e-9 <= value <= self.high + 1e-9

    def show(self, value: float) -> str:
        """Write a setting as the crew says it."""
        if self.positions:
            place = int(value)
            known = 0 <= place < len(self.positions)
            return self.positions[place] if known else f"position {place + 1}"
        if self.part == "knob":
            return mixed(Fraction(int(value), self.per_unit))
        return f"{value:g} {self.unit}".strip()

    def show_steps(self, steps: float) -> str:
        """Write a distance of whole steps, without its direction: 2 clicks, 1/4 turn, 1 psi."""
        steps = abs(steps)
        if self.positions:
            return f"{steps:g} position" + ("" if steps == 1 else "s")
        if self.part != "knob":
            apart = steps * self.step
            unit = self.unit or "steps"
            # What is counted has its singular: 1 flat, 1 step; psi and lbs have none.
            one = apart == 1 and len(unit) > len("lbs") + 1
            return f"{apart:g} {unit.removesuffix('s') if one else unit}"
        amount = Fraction(int(steps), self.per_unit)
        noun = "click" if self.unit == "clicks" else "turn"
        return f"{mixed(amount)} {noun}" + ("s" if amount > 1 else "")

    def parse(self, text: str | float) -> float:
        """Read a setting that somebody typed, in the file's unit or a position's name.

        Raises:
            ValueError: saying what was found and what is wanted.
        """
        from rules.typed import amount

        if self.positions and isinstance(text, str) and text in self.positions:
            return float(self.positions.index(text))
        try:
            value = float(amount(str(text).split()) * self.per_unit)
        except ValueError:
            raise ValueError(
                f"{self.label}: found {str(text)[:20]!r}, wanted {self.wanted()}"
            ) from None
        value = round(value, 6)
        if not self.holds(value):
            raise ValueError(f"{self.label}: found {str(text)[:20]}, wanted {self.wanted()}")
        return value

    def wanted(self) -> str:
        """Say which settings exist."""
        if self.positions:
            return "one of " + ", ".join(self.positions)
        if not isfinite(self.marks):
            return f"a number of {self.unit}" if self.unit else "a number"
        ends = f"{self.show(self.low)} to {self.show(self.high)}"
        if self.part != "knob":
            return ends
        if self.unit == "clicks":
            return f"whole clicks, {ends}, counted from {self.count_from}"
        return f"turns in steps of 1/{self.per_unit}, {ends}, counted from {self.count_from}"

    def direction_word(self, upward: bool) -> Direction:
        """Return the word for going up or down: firmer or softer, more or less, ..."""
        return DIRECTIONS[self.part][0 if upward else 1]

    @property
    def hand(self) -> HandWords:
        """The words for what a hand does with it."""
        return HAND_WORDS[self.part]

    def way(self, upward: bool) -> str:
        """Say how a hand turns the knob to go that way, or how many to count."""
        if self.part != "knob" or self.firmer_turn == "unknown":
            return ""
        clockwise = (self.firmer_turn == "clockwise") == upward
        return "clockwise" if clockwise else "anticlockwise"


def mixed(amount: Fraction) -> str:
    """Write a fraction of turns as a mixed number: 1 3/8."""
    sign, amount = ("-", -amount) if amount < 0 else ("", amount)
    whole, rest = divmod(amount, 1)
    if rest == 0:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


@lru_cache(maxsize=32)
def adjusters(car: Car) -> Mapping[str, Adjuster]:
    """Return every adjuster of the car by id: dampers in file order, then the levers.

    The mapping is shared by all who ask for the same car, so nobody can write to it.
    """
    found: dict[str, Adjuster] = {}
    for damper in car.dampers:
        for knob in damper.knobs:
            one = _from_knob(car, damper, knob)
            found[one.id] = one
    for lever in car.levers:
        found[lever.id] = _from_lever(lever, _tyre_under(car, lever))
    return MappingProxyType(found)


def starts(car: Car) -> Settings:
    """Return the settings the car file starts from."""
    return {one.id: one.start for one in adjusters(car).values()}


def pair_of(all_of: Mapping[str, Adjuster], one: Adjuster) -> list[Adjuster]:
    """Return the adjusters that move together with `one`, itself first."""
    partner = all_of.get(one.partner) if one.partner else None
    return [one, partner] if partner else [one]


def across(key: str) -> str:
    """Return the id of an adjuster's other side, by the words left and right in it."""
    swapped = {"left": "right", "right": "left"}
    return " ".join(swapped.get(word, word) for word in key.split())


def job_minutes(ones: Iterable[Adjuster]) -> int:
    """Return what turning all of these costs; the minutes of a pair are for both sides."""
    jobs: dict[frozenset[str], int] = {}
    for one in ones:
        job = frozenset({one.id, one.partner or one.id})
        jobs[job] = max(jobs.get(job, 0), one.minutes)
    return sum(jobs.values())


# What a knob is called that moves both strokes: "left rear both" says nothing to a hand.
KNOB_FOR_BOTH = "knob"


def _from_knob(car: Car, damper: Damper, knob: Knob) -> Adjuster:
    side, axle = damper.corner.split()
    other = f"{'right' if side == 'left' else 'left'} {axle}"
    twin = next(
        (
            k
            for d in car.dampers
            if d.corner == other
            for k in d.knobs
            if k.id == knob.id and k.pair == knob.pair == "axle"
        ),
        None,
    )
    right = knob if side == "right" else twin
    return Adjuster(
        id=f"{damper.corner} {knob.id}",
        place=damper.corner,
        part="knob",
        axle=axle,
        name=KNOB_FOR_BOTH if knob.id == "both" else knob.id,
        low=0,
        high=knob.marks,
        step=1,
        unit="clicks" if knob.clicks is not None else "turns",
        start=float(round(knob.start * knob.per_unit)),
        minutes=knob.minutes,
        lift_car=knob.lift_car,
        per_unit=knob.per_unit,
        count_from=knob.count_from,
        firmer_turn=knob.firmer_turn,
        controls=knob.controls,
        speed=knob.speed,
        curve=knob.curve,
        partner=f"{other} {knob.id}" if twin else None,
        offset=float(round(right.offset * right.per_unit)) if twin and right else 0.0,
    )


def _tyre_under(car: Car, lever: Lever) -> Tyre | None:
    if lever.kind != "tyre pressure" or lever.axle == "car":
        return None
    return car.front.tyre if lever.axle == "front" else car.rear.tyre


def _from_lever(lever: Lever, tyre: Tyre | None) -> Adjuster:
    named = lever.positions
    return Adjuster(
        id=lever.id,
        place="",
        part=lever.kind,
        axle=lever.axle,
        name=lever.id,
        low=0.0 if named else (-inf if lever.low is None else lever.low),
        high=len(named) - 1.0 if named else (inf if lever.high is None else lever.high),
        step=1.0 if named else lever.step,
        unit=lever.unit,
        start=lever.start_number,
        minutes=lever.minutes,
        lift_car=lever.lift_car,
        tools=lever.tools,
        positions=named,
        makers_minimum=lever.makers_minimum,
        tyre=tyre,
    )
