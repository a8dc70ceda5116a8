"""What door cars mostly have, field by field: for prompts and for doubt, never used as a value.

All ranges are common practice, no source, from memory.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from rules.units import HORSEPOWER_W, INCH_M, POUND_FORCE_N, POUND_KG, Quantity
from rules.wording import both_range

_RATE = POUND_FORCE_N / INCH_M
_PSI = POUND_FORCE_N / INCH_M**2
LABEL = "common practice, no source"


@dataclass(frozen=True)
class Typical:
    """One field's usual range.

    key: of the car file, or of the survey (``survey.toe``).  name: what it is, in words.
    low, high: SI, or plain numbers in `unit` where there is no quantity.
    """

    key: str
    name: str
    quantity: Quantity | None
    low: float
    high: float
    unit: str = ""

    @property
    def says(self) -> str:
        """The range in words."""
        if self.quantity is not None:
            span = both_range(self.low, self.high, self.quantity)
        else:
            span = f"{self.low:g} to {self.high:g} {self.unit}".rstrip()
        return f"mostly {span} ({LABEL})"


def _table(
    quantity: Quantity | None, size: float, rows: Iterable[tuple[str, str, float, float]],
    unit: str = "",
) -> dict[str, Typical]:  # fmt: skip
    return {
        key: Typical(key, name, quantity, low * size, high * size, unit)
        for key, name, low, high in rows
    }


TYPICAL: dict[str, Typical] = {
    **_table(Quantity.MASS, POUND_KG, [
        ("masses.total", "weight as raced, driver aboard", 2200, 4000),
        ("masses.left_front", "left front scale", 450, 1100),
        ("masses.right_front", "right front scale", 450, 1100),
        ("masses.left_rear", "left rear scale", 450, 1100),
        ("masses.right_rear", "right rear scale", 450, 1100),
        ("masses.front_unsprung", "front unsprung weight", 100, 260),
        ("masses.rear_unsprung", "rear unsprung weight", 240, 480),
    ]),
    **_table(Quantity.LENGTH, INCH_M, [
        ("geometry.wheelbase", "wheelbase", 92, 120),
        ("geometry.cg_height", "height of the centre of gravity", 16, 26),
        ("geometry.sprung_cg_height", "height of the sprung centre of gravity", 17, 28),
        ("geometry.front_track", "front track", 52, 66),
        ("geometry.rear_track", "rear track", 44, 64),
        ("geometry.ground_clearance", "clearance under the lowest part", 2.5, 6.5),
        ("geometry.instant_centre_height", "instant centre height", 2, 16),
        ("geometry.instant_centre_ahead", "instant centre ahead of the rear axle", 25, 90),
        ("front.bump_travel", "front bump travel at the wheel", 1.5, 4),
        ("front.droop_travel", "front droop travel at the wheel", 1.5, 5.5),
        ("rear.bump_travel", "rear bump travel at the wheel", 2, 5),
        ("rear.droop_travel", "rear droop travel at the wheel", 2, 5),
        ("front.tyre_diameter", "front tyre diameter", 22, 28.5),
        ("rear.tyre_diameter", "rear tyre diameter", 25, 34.5),
        ("survey.toe", "front toe-in, both sides together", 0, 0.1875),
        ("survey.bump_steer", "toe change of one wheel over its travel", 0, 0.0625),
        ("survey.axle_square", "rear axle out of square, side to side", 0, 0.0625),
        ("survey.rollout_difference", "rollout of right rear less left rear", -0.5, 0.5),
        ("survey.front_limiters", "front limiters, right less left", -0.0625, 0.0625),
        ("survey.rear_limiters", "rear limiters, right less left", -0.0625, 0.0625),
        ("survey.wheelie_bars", "wheelie bar heights, right less left", -0.125, 0.125),
    ]),
    **_table(Quantity.SPRING_RATE, _RATE, [
        ("front.spring_rate", "front spring rate", 120, 500),
        ("rear.spring_rate", "rear spring rate", 80, 250),
        ("front.tyre_rate", "front tyre rate", 700, 1800),
        ("rear.tyre_rate", "rear tyre rate", 500, 1500),
    ]),
    **_table(Quantity.PRESSURE, _PSI, [
        ("survey.slick_pressure", "rear slick pressure", 5, 15),
        ("survey.radial_pressure", "rear radial pressure", 10, 24),
        ("survey.rear_pressure", "rear tyre pressure", 5, 24),
        ("survey.front_pressure", "front tyre pressure", 22, 50),
    ]),
    **_table(None, 1.0, [
        ("front.motion_ratio", "front damper travel over wheel travel", 0.5, 1.0),
        ("rear.motion_ratio", "rear damper travel over wheel travel", 0.7, 1.05),
        ("front.spring_motion_ratio", "front spring travel over wheel travel", 0.4, 1.0),
        ("rear.spring_motion_ratio", "rear spring travel over wheel travel", 0.5, 1.05),
    ]),
    **_table(None, 1.0, [("launch.peak_g", "peak forward acceleration", 1.0, 3.2)], "g"),
    **_table(None, 1.0, [("launch.rise", "first move to full thrust", 0.02, 0.25)], "s"),
    **_table(None, 1.0, [
        ("front.damper_angle", "front damper lean", 0, 25),
        ("rear.damper_angle", "rear damper lean", 0, 30),
        ("survey.pinion_angle", "pinion nose down against the driveshaft", 1, 7),
    ], "deg"),
    **_table(None, 1.0, [
        ("survey.front_frequency", "front ride frequency", 1.0, 1.8),
        ("survey.rear_frequency", "rear ride frequency", 1.1, 2.0),
    ], "Hz"),
    **_table(Quantity.POWER, HORSEPOWER_W, [("launch.power", "power at the tyres", 250, 1500)]),
}  # fmt: skip


def typically(key: str) -> str:
    """Return a field's usual range in words, "" for one that has none."""
    return TYPICAL[key].says if key in TYPICAL else ""
