"""The car as its crew describes it: bodies, springs, tyres, dampers, knobs and other levers.

Attributes are SI and carry their unit; the file's keys (the aliases) carry none, because the
file says once whether it speaks US or metric.
"""

from functools import cached_property
from typing import Annotated, Any, Literal, Self

from rules.car.body import Axle, CarPart, Geometry, Length, Masses, SpringRate
from rules.car.hit import Launch
from rules.car.links import LinkEnd, LinkPlace, RearLinks
from rules.part import Within, said
from rules.units import Quantity, Reader, System

DamperForce = Annotated[float, Reader(Quantity.FORCE, 1.0, 50_000.0)]
PistonSpeed = Annotated[float, Reader(Quantity.PISTON_SPEED, 0.001, 5.0)]


def small_letters(name: object) -> object:
    """Return a name as the log has it: somebody's capitals are no other name."""
    return name.lower() if isinstance(name, str) else name


Slug = Annotated[str, Within(small_letters, pattern=r"^[a-z0-9]+([ -][a-z0-9]+)*$", max_length=32)]
Name = Annotated[str, Within(min_length=1, max_length=40, pattern=r"^[^\x00-\x1f\x7f]*$")]

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
ClickShare = Annotated[float, Within(ge=0, le=400)]
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

    speed_m_per_s: PistonSpeed = said("Of the piston.", key="speed")
    force_n: DamperForce = said("Of one damper.", key="force")


class Points(CarPart):
    """Two published points of one stroke at each end of a knob, the other knobs at their start."""

    soft_low: Point = said("Knob at its soft end, the slower point.")
    soft_high: Point = said("Knob at its soft end, the faster point.")
    firm_low: Point = said("Knob at its firm end, the slower point.")
    firm_high: Point = said("Knob at its firm end, the faster point.")


DynoRows = Annotated[
    tuple[Annotated[str, Within(max_length=20_000)], ...], Within(min_length=1, max_length=200)
]


class Knob(CarPart):
    """One knob of one damper, counted as its crew counts it."""

    id: Slug = said("What the crew calls it; left and right with the same id make a pair.")
    controls: Controls = said("Which movement it damps; both when one knob moves both.")
    speed: SpeedRange = said(
        "low (bleed), high, all, or unknown when nobody has told.", default="unknown"
    )
    clicks: int | None = said(
        "From end to end, counted by hand and without force.",
        default=None,
        ge=1,
        le=200,
        strict=True,
    )
    turns: float | None = said(
        "From end to end, for a knob without clicks.", default=None, gt=0, le=30
    )
    marks_per_turn: int = said(
        "Steps in one turn, for a knob without clicks.", default=8, ge=1, le=64, strict=True
    )
    count_from: CountFrom = said("The end the crew counts from.")
    start: float = said("Today's count from that end, in clicks or turns.", ge=0)
    firmer_turn: Literal["clockwise", "anticlockwise", "unknown"] = said(
        "Which way is firmer, seen from the knob.", default="unknown"
    )
    pair: Literal["axle", "none"] = said(
        "axle: left and right turn together. none: turned alone.", default="axle"
    )
    offset: float = said(
        "Right minus left, in clicks or turns, written at the right one.", default=0.0
    )
    minutes: int = said("What a turn costs, both sides.", default=5, ge=1, le=240, strict=True)
    lift_car: bool = said("Whether the car must be lifted to reach it.", default=False)
    curve: Curve = said(
        "even: each click does about as much. needle: the last ones to shut do most.",
        default="unknown",
    )
    compression_click_soft: ClickShare | None = said(
        "Percent of compression force that one click adds, next to full soft.", default=None
    )
    compression_click_hard: ClickShare | None = said(
        "Percent of compression force that one click adds, next to full hard.", default=None
    )
    rebound_click_soft: ClickShare | None = said(
        "Percent of rebound force that one click adds, next to full soft.", default=None
    )
    rebound_click_hard: ClickShare | None = said(
        "Percent of rebound force that one click adds, next to full hard.", default=None
    )
    compression_dyno: DynoRows | None = said(
        "Dyno table of compression: a head row with units, then rows.", default=None
    )
    rebound_dyno: DynoRows | None = said(
        "Dyno table of rebound: a head row with units, then rows.", default=None
    )
    compression_points: Points | None = said(
        "Published points of compression at both ends of the knob.", default=None
    )
    rebound_points: Points | None = said(
        "Published points of rebound at both ends of the knob.", default=None
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

    corner: Corner = said("Where it stands.")
    name: Name = said("What it is.", default="damper")
    knobs: tuple[Knob, ...] = said("One for each knob.", default=())

    @property
    def axle(self) -> AxleEnd:
        """The end of the car it stands at."""
        return "front" if self.corner.endswith("front") else "rear"


class Lever(CarPart):
    """Anything else the crew can set, in its own unit and steps."""

    id: Slug = said("What the crew calls it.")
    kind: LeverKind = said("What it sets.")
    axle: Literal["front", "rear", "car"] = said("Where it acts.")
    unit: Annotated[str, Within(max_length=12)] = said("Unit of its numbers.", default="")
    step: float = said("The smallest step, in its unit.", default=1.0, gt=0)
    low: float | None = said("Lowest number.", default=None)
    high: float | None = said("Highest number.", default=None)
    positions: tuple[Name, ...] = said(
        "Names in place of numbers, from the lowest or softest to the highest.", default=()
    )
    moves: LinkEnd | None = said(
        "Of a link position: which end its places are of, seen from the side.", default=None
    )
    places: tuple[LinkPlace, ...] = said(
        "Of a link position: where that end is in each position, in their order.", default=()
    )
    at_springs: bool = said(
        "Of a preload: the seats of both the axle's springs, alike, as a length.", default=False
    )
    start: float | str = said("Today's number, or today's position by its name.")
    makers_minimum: float | None = said(
        "From the maker's sheet; never advised below.", default=None
    )
    minutes: int = said(
        "What a change costs; what such a lever usually takes where it is left out.",
        default_factory=lambda: 240,
        ge=1,
        le=600,
        strict=True,
    )
    lift_car: bool = said("Whether the car must be lifted.", default=False)
    tools: Annotated[str, Within(max_length=40)] = said("What has to be at hand.", default="")

    @property
    def start_number(self) -> float:
        """Where it starts as a number: of a name its place among the positions."""
        named = isinstance(self.start, str)
        return float(self.positions.index(str(self.start)) if named else self.start)

    @classmethod
    def before_read(cls, raw: object) -> object:
        """Take what such a lever usually takes where the file says no minutes."""
        if not isinstance(raw, dict) or "minutes" in raw:
            return raw
        usual = USUAL_MINUTES.get(str(raw.get("kind")))
        return raw if usual is None else {**raw, "minutes": usual}


class Stock(CarPart):
    """What the crew owns: springs by their rate, valvings by their curves, per axle."""

    kind: Literal["spring", "valving"] = said("A spring, by its rate, or a valving, by its curves.")
    axle: AxleEnd = said("The end of the car it fits.")
    name: Name = said("What is written on it; the spring or valving that is on the car as well.")
    count: int = said("How many there are.", default=2, ge=1, le=20, strict=True)
    rate_n_per_m: SpringRate | None = said("Of one spring.", key="rate", default=None)
    free_length_m: Length | None = said(
        "Of the spring off the car.", key="free_length", default=None
    )
    solid_length_m: Length | None = said(
        "Of the spring with all coils touching.", key="solid_length", default=None
    )
    compression_dyno: DynoRows | None = said(
        "Dyno table of compression: a head row with units, then rows.", default=None
    )
    rebound_dyno: DynoRows | None = said(
        "Dyno table of rebound: a head row with units, then rows.", default=None
    )
    compression_knob: Slug | None = said(
        "Which knob the compression table counts, where there are several.", default=None
    )
    rebound_knob: Slug | None = said(
        "Which knob the rebound table counts, where there are several.", default=None
    )
    note: Annotated[str, Within(max_length=200)] = said(
        "Of a valving: its shims, as noted.", default=""
    )

    def counted(self, stroke: str) -> str:
        """Return the id of the knob that a stroke's table says it counts; "" where it says none."""
        return str(getattr(self, f"{stroke}_knob") or "")


class Car(CarPart):
    """A car and everything on it that can be adjusted."""

    format: Literal[1, 2, 3, 4, 5] = said(
        "The kind and version of this file; leave it at 5.", key="setdown_car", default=5
    )
    id: Slug = said("Short name for the log: letters, digits, - or space.")
    name: Name = said("What the screen shows.")
    units: System = said("us: lb, in, lb/in, psi. metric: kg, mm, N/mm, kPa. For the whole file.")
    invented: bool = said("true: not a real car.", default=False)
    rear_suspension: RearSuspension = said("How the rear axle is located.", default="other")
    wheelie_bars: bool = said("Whether bars are fitted.", default=False)
    guesses: tuple[str, ...] = said(
        "Keys that were guessed and not measured, such as geometry.cg_height.", default=()
    )
    masses: Masses = said("Masses as raced: fuel in, driver aboard.", default=Masses())
    geometry: Geometry = said("Lengths of the car standing as raced.", default=Geometry())
    front: Axle = said("The front axle, per wheel.", default=Axle())
    rear: Axle = said("The rear axle, per wheel.", default=Axle())
    links: RearLinks = said("The rear axle's links, seen from the side.", default=RearLinks())
    launch: Launch = said("What engine and tyres give at the hit.", default=Launch())
    dampers: tuple[Damper, ...] = said("One for each corner.", default=(), max_length=4)
    levers: tuple[Lever, ...] = said("Everything else that can be set.", default=())
    stock: tuple[Stock, ...] = said(
        "Springs and valvings the crew owns.", default=(), max_length=60
    )

    @property
    def may_have_bars(self) -> bool:
        """Whether wheelie bars are fitted for all that anybody knows."""
        return self.wheelie_bars or "wheelie_bars" in self.guesses

    @cached_property
    def whole(self) -> str:
        """All it holds, as one text: two cars are alike where it is."""
        return repr(self)  # Which needs no machinery of the library built.

    def __eq__(self, other: object) -> bool:
        # What is worked out of a car is found by the car, at every question many times.
        return self is other or (isinstance(other, Car) and self.whole == other.whole)

    def __hash__(self) -> int:
        return hash(self.whole)

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
