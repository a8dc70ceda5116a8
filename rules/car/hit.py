"""What engine and tyres give at the hit, each number with what is known of it beside its value.

Attributes are SI and carry their unit, as in `rules.car.model`.
"""

from typing import Annotated

from rules.car.body import CarPart
from rules.car.fact import Fact
from rules.part import said
from rules.units import Quantity, Reader

Thrust = Annotated[float, Reader(Quantity.FORCE, 500.0, 300_000.0)]
Power = Annotated[float, Reader(Quantity.POWER, 5_000.0, 10_000_000.0)]


class Launch(CarPart):
    """What the engine and the tyres give at the hit, with the levers where the file starts them."""

    thrust_n: Annotated[
        Thrust | None, Fact(how="From peak g and weight, or off a chassis dyno.")
    ] = said("Push of both rear tyres at the hit.", key="thrust", default=None)
    peak_g: Annotated[
        float | None,
        Fact(
            name="peak forward acceleration",
            to_measure="peak g off the line",
            usual=(1.0, 3.2),
            unit="g",
            asked=(0.1, 6.0),
            note="peak forward acceleration over gravity; or thrust = in {lb|N}",
            how="A logger or a phone tied down level: highest forward g off the line.",
        ),
    ] = said(
        "Peak forward acceleration over gravity, in place of thrust.", default=None, ge=0.1, le=6
    )
    rise_s: Annotated[
        float | None,
        Fact(
            name="first move to full thrust",
            to_measure="time to full thrust",
            usual=(0.02, 0.25),
            unit="s",
            typical=0.05,
            note="s, from the first move to full thrust",
            how="From a logger: first move to full thrust.",
        ),
    ] = said(
        "Time from the first move to full thrust, in seconds.", key="rise", default=None, ge=0, le=2
    )
    power_w: Annotated[
        Power | None,
        Fact(
            name="power at the tyres",
            usual=(250, 1500),
            note="{hp|kW} at the tyres",
            how="From a chassis dyno, or speed and weight on the time slip.",
        ),
    ] = said("At the tyres.", key="power", default=None)
    grip: Annotated[
        float | None,
        Fact(
            to_measure="tyre grip",
            note="the most thrust the rear tyres hold, over the load they carry",
            how="From a logger: forward g when the tyres just spin, over the rear's load.",
        ),
    ] = said(
        "The most thrust the rear tyres hold over the load they carry.", default=None, ge=0.2, le=6
    )
    first_change_at_s: Annotated[
        float | None,
        Fact(
            name="first gear change",
            usual=(0.8, 2.5),
            unit="s",
            asked=(0.1, 10.0),
            note="s, from the first move to the first gear change",
            how="From an rpm trace, a film or its sound: first move to first change.",
        ),
    ] = said(
        "Time from the first move to the first gear change, in seconds.",
        key="first_change_at",
        default=None,
        gt=0,
        le=30,
    )
    second_change_at_s: Annotated[
        float | None,
        Fact(
            name="second gear change",
            usual=(1.8, 4.5),
            unit="s",
            asked=(0.2, 15.0),
            note="s, to the second one",
        ),
    ] = said(
        "Time from the first move to the second gear change, in seconds.",
        key="second_change_at",
        default=None,
        gt=0,
        le=30,
    )
    change_lasts_s: Annotated[
        float | None,
        Fact(
            name="length of a gear change",
            usual=(0.05, 0.4),
            unit="s",
            typical=0.15,
            asked=(0.005, 1.5),
            note="s, how long a gear change takes thrust away",
            how="From an rpm or g trace: how long thrust is down at a change.",
        ),
    ] = said(
        "How long a gear change takes thrust away, in seconds.",
        key="change_lasts",
        default=None,
        gt=0,
        le=3,
    )
    change_loses: Annotated[
        float | None,
        Fact(
            name="share of thrust lost in a gear change",
            usual=(0.2, 1.0),
            typical=0.5,
            asked=(0.02, 1.0),
            note="0 to 1, the share of the thrust that it takes",
            how="From a g trace: how far forward g drops at a change, over g before.",
        ),
    ] = said("Share of the thrust that a gear change takes, 0 to 1.", default=None, ge=0, le=1)
