"""The numbers of the car as it stands, each with what is known of it beside its value.

Attributes are SI and carry their unit, as in `rules.car.model`.
"""

from math import cos, radians
from typing import Annotated, Literal

from rules.car.fact import Fact
from rules.part import FilePart, said
from rules.units import Quantity, Reader

Mass = Annotated[float, Reader(Quantity.MASS, 1.0, 5000.0)]
Length = Annotated[float, Reader(Quantity.LENGTH, 0.001, 10.0)]
SignedLength = Annotated[float, Reader(Quantity.LENGTH, -5.0, 20.0)]
SpringRate = Annotated[float, Reader(Quantity.SPRING_RATE, 500.0, 1_000_000.0)]
Inertia = Annotated[float, Reader(Quantity.INERTIA, 20.0, 50_000.0)]
Tyre = Literal["bias slick", "radial", "drag radial", "front runner", "street", "other"]


class CarPart(FilePart):
    """A part of the car file, whose numbers are finite."""

    takes_inf = False


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
    ] = said("The whole car.", key="total", default=None)
    left_front_kg: Annotated[
        Mass | None,
        Fact(
            name="left front scale",
            to_measure="corner scales",
            usual=(450, 1100),
            how="Four scales, level, race pressures, bar unhooked, rolled to settle.",
            note="four corner scales, level ground, car rolled before reading",
        ),
    ] = said("Scale under the left front wheel.", key="left_front", default=None)
    right_front_kg: Annotated[
        Mass | None, Fact(name="right front scale", usual=(450, 1100), note="")
    ] = said("Scale under the right front wheel.", key="right_front", default=None)
    left_rear_kg: Annotated[
        Mass | None, Fact(name="left rear scale", usual=(450, 1100), note="")
    ] = said("Scale under the left rear wheel.", key="left_rear", default=None)
    right_rear_kg: Annotated[
        Mass | None, Fact(name="right rear scale", usual=(450, 1100), note="")
    ] = said("Scale under the right rear wheel.", key="right_rear", default=None)
    front_unsprung_kg: Annotated[
        Mass | None,
        Fact(
            name="front unsprung weight",
            to_measure="front unsprung mass",
            usual=(100, 260),
            how="Weigh wheels, brakes, hubs and half of the arms.",
            note="both wheels, brakes, hubs and half of the arms",
        ),
    ] = said(
        "Both front wheels, brakes, hubs and half of the arms.", key="front_unsprung", default=None
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
    ] = said(
        "Both rear wheels, axle, brakes and half of the links.", key="rear_unsprung", default=None
    )
    pitch_inertia_kg_m2: Annotated[
        Inertia | None,
        Fact(
            to_measure="pitch inertia",
            note="{lb ft2|kg m2}, of the sprung mass",
            how="Rarely measured: swing the car, or take it from a drawing.",
        ),
    ] = said("Of the sprung mass about its own centre.", key="pitch_inertia", default=None)


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
    ] = said("Front axle to rear axle.", key="wheelbase", default=None)
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
    ] = said("Height of the whole car's centre of gravity.", key="cg_height", default=None)
    sprung_cg_height_m: Annotated[
        Length | None,
        Fact(
            name="height of the sprung centre of gravity",
            short="sprung CG height",
            usual=(17, 28),
            how="From the car's height and both unsprung masses; no new weighing.",
        ),
    ] = said(
        "Height of the sprung mass's centre, in place of cg_height.",
        key="sprung_cg_height",
        default=None,
    )
    front_track_m: Annotated[
        Length | None,
        Fact(name="front track", usual=(52, 66), note="centre to centre of the tyres"),
    ] = said("Centre to centre of the front tyres.", key="front_track", default=None)
    rear_track_m: Annotated[Length | None, Fact(name="rear track", usual=(44, 64), note="")] = said(
        "Centre to centre of the rear tyres.", key="rear_track", default=None
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
    ] = said(
        "Under the lowest part, whatever meets the road first.",
        key="ground_clearance",
        default=None,
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
    ] = said("Ground to the wheels of the wheelie bars.", key="bar_height", default=None)
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
    ] = said(
        "Rear axle to the wheels of the wheelie bars, along the ground.",
        key="bar_length",
        default=None,
    )
    bar_rate_n_per_m: Annotated[
        SpringRate | None, Fact(name="rate of the wheelie bars", usual=(500, 3000), typical=200e3)
    ] = said("Of both wheelie bars together, at their wheels.", key="bar_rate", default=None)
    instant_centre_height_m: Annotated[
        SignedLength | None,
        Fact(
            name="instant centre height",
            usual=(2, 16),
            note="",
            how="From the link ends' places: how high their lines cross.",
        ),
    ] = said(
        "Where the link lines cross, seen from the side: above ground.",
        key="instant_centre_height",
        default=None,
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
    ] = said(
        "Where the link lines cross: ahead of the rear axle.",
        key="instant_centre_ahead",
        default=None,
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
    ] = said("Of the spring itself.", key="spring_rate", default=None)
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
    ] = said("Damper travel divided by wheel travel.", default=None, gt=0.1, le=1.5)
    damper_angle: Annotated[
        float | None, Fact(name="damper lean", usual=(0, 25), rear_usual=(0, 30), unit="deg")
    ] = said(
        "Lean from the path of the lower mount, in degrees, if not in the ratio.",
        default=None,
        ge=0,
        lt=80,
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
    ] = said(
        "Spring travel over wheel travel, if off the damper; of a leaf 1.",
        default=None,
        gt=0.1,
        le=1.5,
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
    ] = said("At the wheel, from ride height up to the stop.", key="bump_travel", default=None)
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
    ] = said(
        "At the wheel, from ride height down to stop or limiter.", key="droop_travel", default=None
    )
    tyre: Annotated[
        Tyre | None,
        Fact(note='"bias slick", "radial", "drag radial", "front runner", "street", "other"'),
    ] = said("Kind of tyre.", default=None)
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
    ] = said(
        "From the ground to the top, as it stands; also the ruler on a video.",
        key="tyre_diameter",
        default=None,
    )
    tyre_rate_n_per_m: Annotated[
        SpringRate | None,
        Fact(
            usual=(700, 1800),
            rear_usual=(500, 1500),
            note="{lb/in|N/mm}, of one standing tyre",
            how="Load on a scale against the axle's height, at race pressure.",
        ),
    ] = said("Of one tyre, standing, at the pressure it races with.", key="tyre_rate", default=None)

    @property
    def damper_ratio(self) -> float | None:
        """Damper travel over wheel travel [-], its lean in it."""
        if self.motion_ratio is None:
            return None
        return self.motion_ratio * cos(radians(self.damper_angle or 0.0))
