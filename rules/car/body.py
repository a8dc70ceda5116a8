"""The numbers of the car as it stands, each with what is known of it beside its value.

Attributes are SI and carry their unit, as in `rules.car.model`.
"""

from math import cos, radians
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from rules.car.fact import Fact
from rules.units import Quantity, Reader

Mass = Annotated[float, BeforeValidator(Reader(Quantity.MASS, 1.0, 5000.0))]
Length = Annotated[float, BeforeValidator(Reader(Quantity.LENGTH, 0.001, 10.0))]
SignedLength = Annotated[float, BeforeValidator(Reader(Quantity.LENGTH, -5.0, 20.0))]
SpringRate = Annotated[float, BeforeValidator(Reader(Quantity.SPRING_RATE, 500.0, 1_000_000.0))]
Inertia = Annotated[float, BeforeValidator(Reader(Quantity.INERTIA, 20.0, 50_000.0))]
Tyre = Literal["bias slick", "radial", "drag radial", "front runner", "street", "other"]


class CarPart(BaseModel):
    """A frozen part of the car file: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True, allow_inf_nan=False)

    @classmethod
    def attributes(cls) -> dict[str, str]:
        """Return the attributes by their keys in the file."""
        return {info.alias or name: name for name, info in cls.model_fields.items()}


class Masses(CarPart):
    """Masses as raced, driver aboard."""

    total_kg: Annotated[
        Mass | None,
        Fact(
            name="weight as raced, driver aboard",
            to_measure="total mass",
            usual=(2200, 4000),
            note="",
            asked=(300.0, 5000.0),
            how="Weigh the car as raced, driver in it; the track's scale will do.",
        ),
    ] = Field(None, alias="total", description="The whole car.")
    left_front_kg: Annotated[
        Mass | None,
        Fact(
            name="left front scale",
            to_measure="corner scales",
            usual=(450, 1100),
            how="Four scales, level, race pressures, bar unhooked, rolled to settle.",
            note="four corner scales, level ground, car rolled before reading",
        ),
    ] = Field(None, alias="left_front", description="Scale under the left front wheel.")
    right_front_kg: Annotated[
        Mass | None, Fact(name="right front scale", usual=(450, 1100), note="")
    ] = Field(None, alias="right_front", description="Scale under the right front wheel.")
    left_rear_kg: Annotated[
        Mass | None, Fact(name="left rear scale", usual=(450, 1100), note="")
    ] = Field(None, alias="left_rear", description="Scale under the left rear wheel.")
    right_rear_kg: Annotated[
        Mass | None, Fact(name="right rear scale", usual=(450, 1100), note="")
    ] = Field(None, alias="right_rear", description="Scale under the right rear wheel.")
    front_unsprung_kg: Annotated[
        Mass | None,
        Fact(
            name="front unsprung weight",
            to_measure="front unsprung mass",
            usual=(100, 260),
            how="Weigh wheels, brakes, hubs and half of the arms.",
            note="both wheels, brakes, hubs and half of the arms",
        ),
    ] = Field(
        None,
        alias="front_unsprung",
        description="Both front wheels, brakes, hubs and half of the arms.",
    )
    rear_unsprung_kg: Annotated[
        Mass | None,
        Fact(
            name="rear unsprung weight",
            to_measure="rear unsprung mass",
            usual=(240, 480),
            how="Weigh wheels, axle, brakes and half of the links.",
            note="both wheels, axle, brakes and half of the links",
        ),
    ] = Field(
        None,
        alias="rear_unsprung",
        description="Both rear wheels, axle, brakes and half of the links.",
    )
    pitch_inertia_kg_m2: Annotated[
        Inertia | None,
        Fact(
            to_measure="pitch inertia",
            note="{lb ft2|kg m2}, of the sprung mass",
            how="Rarely measured: swing the car, or take it from a drawing.",
        ),
    ] = Field(None, alias="pitch_inertia", description="Of the sprung mass about its own centre.")


class Geometry(CarPart):
    """Lengths of the standing car; the lowest part is whatever meets the road first."""

    wheelbase_m: Annotated[
        Length | None,
        Fact(
            name="wheelbase",
            usual=(92, 120),
            typical=2.7,
            asked=(1.2, 5.0),
            note="",
            how="Tape from wheel centre to wheel centre, both sides, level ground.",
        ),
    ] = Field(None, alias="wheelbase", description="Front axle to rear axle.")
    cg_height_m: Annotated[
        Length | None,
        Fact(
            name="height of the centre of gravity",
            short="CG height",
            usual=(16, 26),
            asked=(0.2, 1.2),
            note="",
            how="Suspension locked: weigh level, then an axle raised to three heights.",
        ),
    ] = Field(None, alias="cg_height", description="Height of the whole car's centre of gravity.")
    sprung_cg_height_m: Annotated[
        Length | None,
        Fact(
            name="height of the sprung centre of gravity",
            short="sprung CG height",
            usual=(17, 28),
            how="From the car's height and both unsprung masses; no new weighing.",
        ),
    ] = Field(
        None,
        alias="sprung_cg_height",
        description="Height of the sprung mass's centre, in place of cg_height.",
    )
    front_track_m: Annotated[
        Length | None,
        Fact(name="front track", usual=(52, 66), note="centre to centre of the tyres"),
    ] = Field(None, alias="front_track", description="Centre to centre of the front tyres.")
    rear_track_m: Annotated[Length | None, Fact(name="rear track", usual=(44, 64), note="")] = (
        Field(None, alias="rear_track", description="Centre to centre of the rear tyres.")
    )
    ground_clearance_m: Annotated[
        Length | None,
        Fact(
            name="clearance under the lowest part",
            short="ground clearance",
            usual=(2.5, 6.5),
            asked=(0.005, 1.0),
            note="under the lowest part, whatever meets the road first",
            how="Tape under the lowest part ahead of and behind the front axle.",
        ),
    ] = Field(
        None,
        alias="ground_clearance",
        description="Under the lowest part, whatever meets the road first.",
    )
    bar_height_m: Annotated[
        Length | None,
        Fact(
            name="height of the wheelie bars' wheels",
            to_measure="wheelie bar height",
            usual=(2, 12),
            asked=(0.005, 0.8),
            note="{in|mm} under the wheels of the wheelie bars",
            how="Car as raced on level ground: gap under each bar's wheel.",
        ),
    ] = Field(None, alias="bar_height", description="Ground to the wheels of the wheelie bars.")
    bar_length_m: Annotated[
        Length | None,
        Fact(
            name="length of the wheelie bars",
            to_measure="wheelie bar length",
            usual=(36, 75),
            typical=1.4,
            asked=(0.2, 3.0),
            note="rear axle to the wheels of the wheelie bars",
            how="Tape from the rear wheel's centre back to the bar's wheel, level.",
        ),
    ] = Field(
        None,
        alias="bar_length",
        description="Rear axle to the wheels of the wheelie bars, along the ground.",
    )
    bar_rate_n_per_m: Annotated[
        SpringRate | None, Fact(name="rate of the wheelie bars", usual=(500, 3000), typical=200e3)
    ] = Field(None, alias="bar_rate", description="Of both wheelie bars together, at their wheels.")
    instant_centre_height_m: Annotated[
        SignedLength | None,
        Fact(
            name="instant centre height",
            usual=(2, 16),
            note="",
            how="From the link ends' places: how high their lines cross.",
        ),
    ] = Field(
        None,
        alias="instant_centre_height",
        description="Where the link lines cross, seen from the side: above ground.",
    )
    instant_centre_ahead_m: Annotated[
        SignedLength | None,
        Fact(
            name="instant centre ahead of the rear axle",
            to_measure="instant centre distance",
            usual=(25, 90),
            note="ahead of the rear axle",
            how="From the link ends' places: how far ahead their lines cross.",
        ),
    ] = Field(
        None,
        alias="instant_centre_ahead",
        description="Where the link lines cross: ahead of the rear axle.",
    )


class Axle(CarPart):
    """Springs, travel and tyres of one end of the car, per wheel."""

    spring_rate_n_per_m: Annotated[
        SpringRate | None,
        Fact(
            usual=(120, 500),
            rear_usual=(80, 250),
            asked=(500.0, 1e6),
            note="{lb/in|N/mm}, of the spring itself",
            how="Read it off the spring, or have it rated; never compress it by hand.",
        ),
    ] = Field(None, alias="spring_rate", description="Of the spring itself.")
    motion_ratio: Annotated[
        float | None,
        Fact(
            name="damper travel over wheel travel",
            usual=(0.5, 1.0),
            rear_usual=(0.7, 1.05),
            typical=0.9,
            asked=(0.11, 1.5),
            note="damper travel divided by wheel travel",
            how="Springs out: damper's length at five or more wheel heights.",
        ),
    ] = Field(None, gt=0.1, le=1.5, description="Damper travel divided by wheel travel.")
    damper_angle: Annotated[
        float | None, Fact(name="damper lean", usual=(0, 25), rear_usual=(0, 30), unit="deg")
    ] = Field(
        None,
        ge=0,
        lt=80,
        description="Lean from the path of the lower mount, in degrees, if not in the ratio.",
    )
    spring_motion_ratio: Annotated[
        float | None,
        Fact(
            name="spring travel over wheel travel",
            usual=(0.4, 1.0),
            rear_usual=(0.5, 1.05),
            note="spring travel divided by wheel travel, if it is not on the damper",
            how="Springs out: distance of its seats at five wheel heights.",
        ),
    ] = Field(
        None,
        gt=0.1,
        le=1.5,
        description="Spring travel over wheel travel, if off the damper; of a leaf 1.",
    )
    bump_travel_m: Annotated[
        Length | None,
        Fact(
            name="bump travel at the wheel",
            usual=(1.5, 4),
            rear_usual=(2, 5),
            typical=0.065,
            rear_typical=0.09,
            asked=(0.005, 0.4),
            note="{in|mm} at the wheel, from ride height up to the stop",
            how="Springs out, on stands: wheel from ride height to metal-solid.",
        ),
    ] = Field(
        None, alias="bump_travel", description="At the wheel, from ride height up to the stop."
    )
    droop_travel_m: Annotated[
        Length | None,
        Fact(
            name="droop travel at the wheel",
            usual=(1.5, 5.5),
            rear_usual=(2, 5),
            typical=0.095,
            rear_typical=0.09,
            asked=(0.005, 0.4),
            note="{in|mm} at the wheel, from ride height down",
            how="On stands, wheel from ride height to hanging on its limiter.",
            rear_how="On stands, wheel from ride height to hanging on limiter or damper.",
        ),
    ] = Field(
        None,
        alias="droop_travel",
        description="At the wheel, from ride height down to stop or limiter.",
    )
    tyre: Annotated[
        Tyre | None,
        Fact(note='"bias slick", "radial", "drag radial", "front runner", "street", "other"'),
    ] = Field(None, description="Kind of tyre.")
    tyre_diameter_m: Annotated[
        Length | None,
        Fact(
            usual=(22, 28.5),
            rear_usual=(25, 34.5),
            typical=0.65,
            rear_typical=0.73,
            asked=(0.3, 1.2),
            note="{in|mm}",
            how="Tape from the ground to the top of the standing tyre.",
        ),
    ] = Field(
        None,
        alias="tyre_diameter",
        description="From the ground to the top, as it stands; also the ruler on a video.",
    )
    tyre_rate_n_per_m: Annotated[
        SpringRate | None,
        Fact(
            usual=(700, 1800),
            rear_usual=(500, 1500),
            note="{lb/in|N/mm}, of one standing tyre",
            how="Load on a scale against the axle's height, at race pressure.",
        ),
    ] = Field(
        None, alias="tyre_rate", description="Of one tyre, standing, at the pressure it races with."
    )

    @property
    def damper_ratio(self) -> float | None:
        """Damper travel over wheel travel [-], its lean in it."""
        if self.motion_ratio is None:
            return None
        return self.motion_ratio * cos(radians(self.damper_angle or 0.0))
