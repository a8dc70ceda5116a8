"""A damper as a thing that the crew owns: what it is, what is in it, how it is mounted.

Apart from `rules.car.model.Damper`, which is what stands at a corner: this one keeps its id when it
is taken off, sent away and put on elsewhere. Lengths are SI. Gas pressure is kept as it was noted,
in words, because nothing here ever sets it.
"""

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from rules.units import Quantity, System, show

Stroke = Literal["compression", "rebound"]
Tube = Literal["mono tube", "twin tube"]
Reservoir = Literal["none", "on the body", "on a hose"]
HoseSide = Literal["frame side", "tyre side"]
BodyEnd = Literal["body up", "body down"]
Words = Annotated[str, Field(max_length=200)]


class InsideStroke(BaseModel):
    """What is in one stroke of a damper: its valving by name, its shims in the crew's words.

    `valving` is the name of its dyno table in stock, where there is one.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    valving: Words = ""
    shims: Words = ""

    @property
    def says(self) -> str:
        """Name it as the crew does; empty where nobody said."""
        return ", ".join(filter(None, (self.valving, self.shims)))


class DamperRecord(BaseModel):
    """One damper by an id that stays. What is empty or None was not said."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True, allow_inf_nan=False)

    id: Words
    maker: Words = ""
    serial: Words = ""
    stroke_m: float | None = Field(None, gt=0, le=1)
    open_m: float | None = Field(None, gt=0, le=3)
    closed_m: float | None = Field(None, gt=0, le=3)
    tube: Tube | None = None
    gas: Words = ""
    reservoir: Reservoir | None = None
    reservoir_mount: Words = ""
    hose_side: HoseSide | None = None
    body: BodyEnd | None = None
    knobs_point: Words = ""
    from_outside: bool | None = None
    strokes: dict[Stroke, InsideStroke] = {}
    serviced: date | None = None
    spares: Words = ""

    @property
    def name(self) -> str:
        """Name it as it is written on it: maker and serial."""
        return " ".join(filter(None, (self.maker, self.serial))) or "no serial noted"

    def rows(self, system: System) -> list[tuple[str, str]]:
        """Return what is known of it, label and words in the crew's units."""
        lengths = (("Stroke", self.stroke_m), ("Open", self.open_m), ("Closed", self.closed_m))
        said = [
            ("Maker and serial", self.name),
            *((label, show(m, Quantity.LENGTH, system)) for label, m in lengths if m is not None),
            ("Tube", self.tube or ""),
            ("Gas pressure, as noted", self.gas),
            ("Reservoir", ", ".join(filter(None, (self.reservoir, self.reservoir_mount)))),
            ("Hose", self.hose_side or ""),
            ("Mounted", self.body or ""),
            ("Knobs point", self.knobs_point),
            *((f"In its {stroke}", inside.says) for stroke, inside in self.strokes.items()),
            ("Last serviced", self.serviced.isoformat() if self.serviced else ""),
            ("In the trailer", self.spares),
        ]
        return [(label, words) for label, words in said if words]
