"""The car as its crew describes it: bodies, springs, tyres, dampers, knobs and other levers.

Attributes are SI and carry their unit; the file's keys (the aliases) carry none, because the
file says once whether it speaks US or metric.
"""

from math import cos, radians
from typing import Annotated, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from rules.units import Quantity, System, reader

Mass = Annotated[float, BeforeValidator(reader(Quantity.MASS, 1.0, 5000.0))]
Length = Annotated[float, BeforeValidator(reader(Quantity.LENGTH, 0.001, 10.0))]
SignedLength = Annotated[float, BeforeValidator(reader(Quantity.LENGTH, -5.0, 20.0))]
SpringRate = Annotated[float, BeforeValidator(reader(Quantity.SPRING_RATE, 500.0, 1_000_000.0))]
Pressure = Annotated[float, BeforeValidator(reader(Quantity.PRESSURE, 5_000.0, 700_000.0))]
Inertia = Annotated[float, BeforeValidator(reader(Quantity.INERTIA, 20.0, 50_000.0))]
Thrust = Annotated[float, BeforeValidator(reader(Quantity.FORCE, 500.0, 300_000.0))]
Power = Annotated[float, BeforeValidator(reader(Quantity.POWER, 5_000.0, 10_000_000.0))]
DamperForce = Annotated[float, BeforeValidator(reader(Quantity.FORCE, 1.0, 50_000.0))]
PistonSpeed = Annotated[float, BeforeValidator(reader(Quantity.PISTON_SPEED, 0.001, 5.0))]
Slug = Annotated[str, Field(pattern=r"^[a-z0-9]+([ -][a-z0-9]+)*$", max_length=32)]
Name = Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[^\x00-\x1f\x7f]*$")]

AxleEnd = Literal["front", "rear"]
Corner = Literal["left front", "right front", "left rear", "right rear"]
CORNERS: tuple[Corner, ...] = ("left front", "right front", "left rear", "right rear")
RearSuspension = Literal[
    "four-link", "ladder bar", "leaf with traction device", "torque arm", "other"
]
Tyre = Literal["bias slick", "radial", "drag radial", "front runner", "street", "other"]
Controls = Literal["compression", "rebound", "both"]
SpeedRange = Literal["all", "low", "high", "unknown"]
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


class Part(BaseModel):
    """A frozen part of the car file: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Masses(Part):
    """Masses as raced, driver aboard."""

    total_kg: Mass | None = Field(None, alias="total")
    left_front_kg: Mass | None = Field(None, alias="left_front")
    right_front_kg: Mass | None = Field(None, alias="right_front")
    left_rear_kg: Mass | None = Field(None, alias="left_rear")
    right_rear_kg: Mass | None = Field(None, alias="right_rear")
    front_unsprung_kg: Mass | None = Field(None, alias="front_unsprung")
    rear_unsprung_kg: Mass | None = Field(None, alias="rear_unsprung")
    pitch_inertia_kg_m2: Inertia | None = Field(None, alias="pitch_inertia")


class Geometry(Part):
    """Lengths of the standing car; the lowest part is whatever meets the road first."""

    wheelbase_m: Length | None = Field(None, alias="wheelbase")
    cg_height_m: Length | None = Field(None, alias="cg_height")
    sprung_cg_height_m: Length | None = Field(None, alias="sprung_cg_height")
    front_track_m: Length | None = Field(None, alias="front_track")
    rear_track_m: Length | None = Field(None, alias="rear_track")
    ground_clearance_m: Length | None = Field(None, alias="ground_clearance")
    instant_centre_height_m: SignedLength | None = Field(None, alias="instant_centre_height")
    instant_centre_ahead_m: SignedLength | None = Field(None, alias="instant_centre_ahead")


class Axle(Part):
    """Springs, travel and tyres of one end of the car, per wheel."""

    spring_rate_n_per_m: SpringRate | None = Field(None, alias="spring_rate")
    motion_ratio: float | None = Field(None, gt=0.1, le=1.5)
    damper_angle: float | None = Field(None, ge=0, lt=80)
    spring_motion_ratio: float | None = Field(None, gt=0.1, le=1.5)
    bump_travel_m: Length | None = Field(None, alias="bump_travel")
    droop_travel_m: Length | None = Field(None, alias="droop_travel")
    tyre: Tyre | None = None
    tyre_diameter_m: Length | None = Field(None, alias="tyre_diameter")
    tyre_rate_n_per_m: SpringRate | None = Field(None, alias="tyre_rate")

    @property
    def damper_ratio(self) -> float | None:
        """Damper travel over wheel travel [-], its lean in it."""
        if self.motion_ratio is None:
            return None
        return self.motion_ratio * cos(radians(self.damper_angle or 0.0))


class Launch(Part):
    """What the engine and the tyres give at the hit, with the levers where the file starts them."""

    thrust_n: Thrust | None = Field(None, alias="thrust")
    peak_g: float | None = Field(None, ge=0.1, le=6)
    rise_s: float | None = Field(None, alias="rise", ge=0, le=2)
    power_w: Power | None = Field(None, alias="power")
    grip: float | None = Field(None, ge=0.2, le=6)


class Point(Part):
    """One published point of a damper's curve."""

    speed_m_per_s: PistonSpeed = Field(alias="speed")
    force_n: DamperForce = Field(alias="force")


class Points(Part):
    """Two published points of one stroke at each end of a knob, the other knobs at their start."""

    soft_low: Point
    soft_high: Point
    firm_low: Point
    firm_high: Point


DynoRows = Annotated[
    tuple[Annotated[str, Field(max_length=20_000)], ...], Field(min_length=1, max_length=200)
]


class Knob(Part):
    """One knob of one damper, counted as its crew counts it."""

    id: Slug
    controls: Controls
    speed: SpeedRange = "unknown"
    clicks: int | None = Field(None, ge=1, le=200, strict=True)
    turns: float | None = Field(None, gt=0, le=30)
    marks_per_turn: int = Field(8, ge=1, le=64, strict=True)
    count_from: CountFrom
    start: float = Field(ge=0)
    firmer_turn: Literal["clockwise", "anticlockwise", "unknown"] = "unknown"
    pair: Literal["axle", "none"] = "axle"
    offset: float = 0.0
    minutes: int = Field(5, ge=1, le=240, strict=True)
    lift_car: bool = False
    compression_dyno: DynoRows | None = None
    rebound_dyno: DynoRows | None = None
    compression_points: Points | None = None
    rebound_points: Points | None = None

    @property
    def marks(self) -> int:
        """Whole steps from end to end: clicks, or witness marks of a turn."""
        return self.clicks if self.clicks is not None else round((self.turns or 0) * self.per_unit)

    @property
    def per_unit(self) -> int:
        """Steps in one unit of the file's counts: 1 for clicks, marks per turn otherwise."""
        return 1 if self.clicks is not None else self.marks_per_turn


class Damper(Part):
    """One damper at its corner."""

    corner: Corner
    name: Name = "damper"
    knobs: tuple[Knob, ...] = ()

    @property
    def axle(self) -> AxleEnd:
        """The end of the car it stands at."""
        return "front" if self.corner.endswith("front") else "rear"


class Lever(Part):
    """Anything else the crew can set, in its own unit and steps."""

    id: Slug
    kind: LeverKind
    axle: Literal["front", "rear", "car"]
    unit: Annotated[str, Field(max_length=12)] = ""
    step: float = Field(1.0, gt=0)
    low: float | None = None
    high: float | None = None
    positions: tuple[Name, ...] = ()
    start: float | str
    makers_minimum: float | None = None
    minutes: int = Field(default_factory=lambda: 240, ge=1, le=600, strict=True)
    lift_car: bool = False
    tools: Annotated[str, Field(max_length=40)] = ""

    @model_validator(mode="before")
    @classmethod
    def _usual_minutes(cls, raw: object) -> object:
        """Take what such a lever usually takes where the file says no minutes."""
        if not isinstance(raw, dict) or "minutes" in raw:
            return raw
        usual = USUAL_MINUTES.get(str(raw.get("kind")))
        return raw if usual is None else {**raw, "minutes": usual}


class Stock(Part):
    """What the crew owns: springs by their rate, valvings by their curves, per axle."""

    kind: Literal["spring", "valving"]
    axle: AxleEnd
    name: Name
    count: int = Field(2, ge=1, le=20, strict=True)
    rate_n_per_m: SpringRate | None = Field(None, alias="rate")
    free_length_m: Length | None = Field(None, alias="free_length")
    solid_length_m: Length | None = Field(None, alias="solid_length")
    compression_dyno: DynoRows | None = None
    rebound_dyno: DynoRows | None = None


class Car(Part):
    """A car and everything on it that can be adjusted."""

    format: Literal[1] = Field(1, alias="setdown_car")
    id: Slug
    name: Name
    units: System
    invented: bool = False
    rear_suspension: RearSuspension = "other"
    wheelie_bars: bool = False
    guesses: tuple[str, ...] = ()
    masses: Masses = Masses.model_validate({})
    geometry: Geometry = Geometry.model_validate({})
    front: Axle = Axle.model_validate({})
    rear: Axle = Axle.model_validate({})
    launch: Launch = Launch.model_validate({})
    dampers: tuple[Damper, ...] = Field((), max_length=4)
    levers: tuple[Lever, ...] = ()
    stock: tuple[Stock, ...] = Field((), max_length=60)

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
