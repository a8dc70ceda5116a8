"""The car as its crew describes it: bodies, springs, tyres, dampers, knobs and other levers.

Attributes are SI and carry their unit; the file's keys (the aliases) carry none, because the
file says once whether it speaks US or metric.
"""

from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from rules.car.body import Axle, CarPart, Geometry, Length, Masses, SpringRate
from rules.car.hit import Launch
from rules.car.links import LinkEnd, LinkPlace, RearLinks
from rules.units import Quantity, Reader, System

DamperForce = Annotated[float, BeforeValidator(Reader(Quantity.FORCE, 1.0, 50_000.0))]
PistonSpeed = Annotated[float, BeforeValidator(Reader(Quantity.PISTON_SPEED, 0.001, 5.0))]


def small_letters(name: object) -> object:
    """Return a name as the log has it: somebody's capitals are no other name."""
    return name.lower() if isinstance(name, str) else name


Slug = Annotated[
    str,
    BeforeValidator(small_letters),
    Field(pattern=r"^[a-z0-9]+([ -][a-z0-9]+)*$", max_length=32),
]
Name = Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[^\x00-\x1f\x7f]*$")]

TABLES = ("masses", "geometry", "front", "rear", "launch")
"""The tables that hold the numbers of the car itself."""

AxleEnd = Literal["front", "rear"]
Corner = Literal["left front", "right front", "left rear", "right rear"]
CORNERS: tuple[Corner, ...] = ("left front", "right front", "left rear", "right rear")
RearSuspension = Literal[
    "four-link", "ladder bar", "leaf with traction device", "torque arm", "other"
]
Controls = Literal["compression", "rebound", "both"]
SpeedRange = Literal["all", "low", "high", "unknown"]
Curve = Literal["even", "needle", "unknown"]
ClickShare = Annotated[float, Field(ge=0, le=400)]
CountFrom = Literal["full soft", "full hard"]
LeverKind = Literal[
    "travel limiter",
    "tyre pressure",
    "launch rpm",
    "spring",
    "ride height",
    "preload",
    "link position",
    "anti-roll bar",
    "valving",
]


# Both wheels of an axle on leaf springs move the leaf's seat by as much as themselves.
LEAF_RATIO = 1.0
# What a change of a lever takes, both sides, where nobody says: common practice, no source, and
# rather long than short, because a job that is thought short is begun too late.
USUAL_MINUTES: dict[str, int] = {
    "travel limiter": 20,
    "tyre pressure": 5,
    "launch rpm": 5,
    "spring": 60,
    "ride height": 30,
    "preload": 20,
    "link position": 45,
    "anti-roll bar": 20,
    "valving": 240,
}


class Point(CarPart):
    """One published point of a damper's curve."""

    speed_m_per_s: PistonSpeed = Field(alias="speed", description="Of the piston.")
    force_n: DamperForce = Field(alias="force", description="Of one damper.")


class Points(CarPart):
    """Two published points of one stroke at each end of a knob, the other knobs at their start."""

    soft_low: Point = Field(description="Knob at its soft end, the slower point.")
    soft_high: Point = Field(description="Knob at its soft end, the faster point.")
    firm_low: Point = Field(description="Knob at its firm end, the slower point.")
    firm_high: Point = Field(description="Knob at its firm end, the faster point.")


DynoRows = Annotated[
    tuple[Annotated[str, Field(max_length=20_000)], ...], Field(min_length=1, max_length=200)
]


class Knob(CarPart):
    """One knob of one damper, counted as its crew counts it."""

    id: Slug = Field(
        description="What the crew calls it; left and right with the same id make a pair."
    )
    controls: Controls = Field(
        description="Which movement it damps; both when one knob moves both."
    )
    speed: SpeedRange = Field(
        "unknown", description="low (bleed), high, all, or unknown when nobody has told."
    )
    clicks: int | None = Field(
        None,
        ge=1,
        le=200,
        strict=True,
        description="From end to end, counted by hand and without force.",
    )
    turns: float | None = Field(
        None, gt=0, le=30, description="From end to end, for a knob without clicks."
    )
    marks_per_turn: int = Field(
        8, ge=1, le=64, strict=True, description="Steps in one turn, for a knob without clicks."
    )
    count_from: CountFrom = Field(description="The end the crew counts from.")
    start: float = Field(ge=0, description="Today's count from that end, in clicks or turns.")
    firmer_turn: Literal["clockwise", "anticlockwise", "unknown"] = Field(
        "unknown", description="Which way is firmer, seen from the knob."
    )
    pair: Literal["axle", "none"] = Field(
        "axle", description="axle: left and right turn together. none: turned alone."
    )
    offset: float = Field(
        0.0, description="Right minus left, in clicks or turns, written at the right one."
    )
    minutes: int = Field(5, ge=1, le=240, strict=True, description="What a turn costs, both sides.")
    lift_car: bool = Field(False, description="Whether the car must be lifted to reach it.")
    curve: Curve = Field(
        "unknown",
        description="even: each click does about as much. needle: the last ones to shut do most.",
    )
    compression_click_soft: ClickShare | None = Field(
        None, description="Percent of compression force that one click adds, next to full soft."
    )
    compression_click_hard: ClickShare | None = Field(
        None, description="Percent of compression force that one click adds, next to full hard."
    )
    rebound_click_soft: ClickShare | None = Field(
        None, description="Percent of rebound force that one click adds, next to full soft."
    )
    rebound_click_hard: ClickShare | None = Field(
        None, description="Percent of rebound force that one click adds, next to full hard."
    )
    compression_dyno: DynoRows | None = Field(
        None, description="Dyno table of compression: a head row with units, then rows."
    )
    rebound_dyno: DynoRows | None = Field(
        None, description="Dyno table of rebound: a head row with units, then rows."
    )
    compression_points: Points | None = Field(
        None, description="Published points of compression at both ends of the knob."
    )
    rebound_points: Points | None = Field(
        None, description="Published points of rebound at both ends of the knob."
    )

    @property
    def marks(self) -> int:
        """Whole steps from end to end: clicks, or witness marks of a turn."""
        return self.clicks if self.clicks is not None else round((self.turns or 0) * self.per_unit)

    @property
    def per_unit(self) -> int:
        """Steps in one unit of the file's counts: 1 for clicks, marks per turn otherwise."""
        return 1 if self.clicks is not None else self.marks_per_turn


class Damper(CarPart):
    """One damper at its corner."""

    corner: Corner = Field(description="Where it stands.")
    name: Name = Field("damper", description="What it is.")
    knobs: tuple[Knob, ...] = Field((), description="One for each knob.")

    @property
    def axle(self) -> AxleEnd:
        """The end of the car it stands at."""
        return "front" if self.corner.endswith("front") else "rear"


class Lever(CarPart):
    """Anything else the crew can set, in its own unit and steps."""

    id: Slug = Field(description="What the crew calls it.")
    kind: LeverKind = Field(description="What it sets.")
    axle: Literal["front", "rear", "car"] = Field(description="Where it acts.")
    unit: Annotated[str, Field(max_length=12)] = Field("", description="Unit of its numbers.")
    step: float = Field(1.0, gt=0, description="The smallest step, in its unit.")
    low: float | None = Field(None, description="Lowest number.")
    high: float | None = Field(None, description="Highest number.")
    positions: tuple[Name, ...] = Field(
        (), description="Names in place of numbers, from the lowest or softest to the highest."
    )
    moves: LinkEnd | None = Field(
        None, description="Of a link position: which end its places are of, seen from the side."
    )
    places: tuple[LinkPlace, ...] = Field(
        (), description="Of a link position: where that end is in each position, in their order."
    )
    at_springs: bool = Field(
        False,
        description="Of a preload: the seats of both the axle's springs, alike, as a length.",
    )
    start: float | str = Field(description="Today's number, or today's position by its name.")
    makers_minimum: float | None = Field(
        None, description="From the maker's sheet; never advised below."
    )
    minutes: int = Field(
        default_factory=lambda: 240,
        ge=1,
        le=600,
        strict=True,
        description="What a change costs; what such a lever usually takes where it is left out.",
    )
    lift_car: bool = Field(False, description="Whether the car must be lifted.")
    tools: Annotated[str, Field(max_length=40)] = Field("", description="What has to be at hand.")

    @property
    def start_number(self) -> float:
        """Where it starts as a number: of a name its place among the positions."""
        named = isinstance(self.start, str)
        return float(self.positions.index(str(self.start)) if named else self.start)

    @model_validator(mode="before")
    @classmethod
    def _usual_minutes(cls, raw: object) -> object:
        """Take what such a lever usually takes where the file says no minutes."""
        if not isinstance(raw, dict) or "minutes" in raw:
            return raw
        usual = USUAL_MINUTES.get(str(raw.get("kind")))
        return raw if usual is None else {**raw, "minutes": usual}


class Stock(CarPart):
    """What the crew owns: springs by their rate, valvings by their curves, per axle."""

    kind: Literal["spring", "valving"] = Field(
        description="A spring, by its rate, or a valving, by its curves."
    )
    axle: AxleEnd = Field(description="The end of the car it fits.")
    name: Name = Field(
        description="What is written on it; the spring or valving that is on the car as well."
    )
    count: int = Field(2, ge=1, le=20, strict=True, description="How many there are.")
    rate_n_per_m: SpringRate | None = Field(None, alias="rate", description="Of one spring.")
    free_length_m: Length | None = Field(
        None, alias="free_length", description="Of the spring off the car."
    )
    solid_length_m: Length | None = Field(
        None, alias="solid_length", description="Of the spring with all coils touching."
    )
    compression_dyno: DynoRows | None = Field(
        None, description="Dyno table of compression: a head row with units, then rows."
    )
    rebound_dyno: DynoRows | None = Field(
        None, description="Dyno table of rebound: a head row with units, then rows."
    )
    compression_knob: Slug | None = Field(
        None, description="Which knob the compression table counts, where there are several."
    )
    rebound_knob: Slug | None = Field(
        None, description="Which knob the rebound table counts, where there are several."
    )
    note: Annotated[str, Field(max_length=200)] = Field(
        "", description="Of a valving: its shims, as noted."
    )

    def counted(self, stroke: str) -> str:
        """Return the id of the knob that a stroke's table says it counts; "" where it says none."""
        return str(getattr(self, f"{stroke}_knob") or "")


class Car(CarPart):
    """A car and everything on it that can be adjusted."""

    format: Literal[1, 2, 3, 4, 5] = Field(
        5, alias="setdown_car", description="The kind and version of this file; leave it at 5."
    )
    id: Slug = Field(description="Short name for the log: letters, digits, - or space.")
    name: Name = Field(description="What the screen shows.")
    units: System = Field(
        description="us: lb, in, lb/in, psi. metric: kg, mm, N/mm, kPa. For the whole file."
    )
    invented: bool = Field(False, description="true: not a real car.")
    rear_suspension: RearSuspension = Field("other", description="How the rear axle is located.")
    wheelie_bars: bool = Field(False, description="Whether bars are fitted.")
    guesses: tuple[str, ...] = Field(
        (), description="Keys that were guessed and not measured, such as geometry.cg_height."
    )
    masses: Masses = Field(
        Masses.model_construct(), description="Masses as raced: fuel in, driver aboard."
    )
    geometry: Geometry = Field(
        Geometry.model_construct(), description="Lengths of the car standing as raced."
    )
    front: Axle = Field(Axle.model_construct(), description="The front axle, per wheel.")
    rear: Axle = Field(Axle.model_construct(), description="The rear axle, per wheel.")
    links: RearLinks = Field(
        RearLinks.model_construct(), description="The rear axle's links, seen from the side."
    )
    launch: Launch = Field(
        Launch.model_construct(), description="What engine and tyres give at the hit."
    )
    dampers: tuple[Damper, ...] = Field((), max_length=4, description="One for each corner.")
    levers: tuple[Lever, ...] = Field((), description="Everything else that can be set.")
    stock: tuple[Stock, ...] = Field(
        (), max_length=60, description="Springs and valvings the crew owns."
    )

    @cached_property
    def whole(self) -> str:
        """All it holds, as one text: two cars are alike where it is."""
        return repr(self)  # Which needs no machinery of the library built.

    def __eq__(self, other: object) -> bool:
        # What is worked out of a car is found by the car, at every question many times.
        return self is other or (isinstance(other, Car) and self.whole == other.whole)

    def __hash__(self) -> int:
        return hash(self.whole)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy, which is asked anew what it holds."""
        copied = super().model_copy(update=update, deep=deep)
        copied.__dict__.pop("whole", None)
        return copied

    def said(self, key: str) -> Any:
        """Return what stands under a key of the five tables, as "geometry.cg_height", in SI.

        Raises:
            KeyError: there is no such key.
        """
        table, _, name = key.partition(".")
        if table not in TABLES:
            raise KeyError(key)
        part: CarPart = getattr(self, table)
        return getattr(part, part.attributes()[name])

    def has_leaves(self, end: AxleEnd) -> bool:
        """Tell whether an axle stands on leaf springs, which never sit on its dampers."""
        return end == "rear" and self.rear_suspension.startswith("leaf")

    def spring_seat(self, end: AxleEnd) -> tuple[str, float | None]:
        """Return spring travel over wheel travel [-], and the key it stands under, "" for none.

        Its own where the file has one; a leaf carries the axle itself, so that its rate is the
        wheel's as it stands; any other spring is taken to sit on the damper.
        """
        axle: Axle = getattr(self, end)
        if axle.spring_motion_ratio is not None:
            return f"{end}.spring_motion_ratio", axle.spring_motion_ratio
        if self.has_leaves(end):
            return "", LEAF_RATIO
        return f"{end}.motion_ratio", axle.damper_ratio

    @classmethod
    def parse(cls, raw: object, system: System | None = None) -> Self:
        """Read a car: numbers in `system`'s units, or SI where `system` is None.

        Raises:
            pydantic.ValidationError: with every fault of every single field.
        """
        return cls.model_validate(raw, context={"units": system} if system else None)
