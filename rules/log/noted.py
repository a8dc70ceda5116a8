"""What a pass keeps of the events about it, as plain values: a log opens without their classes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

if TYPE_CHECKING:
    from rules.log.advice import Advice
    from rules.log.events.passes import ConditionsNoted, Measured, MeasuredWhat, PressureKind
    from rules.passes.slip import Lane
    from rules.units import System

    AsNoted: TypeAlias = "Conditions | ConditionsNoted"
    AsMeasured: TypeAlias = "Measurement | Measured"


Surface = Literal["prepared", "cold", "new", "unprepared"]
"""What the launch area is like, the best first."""


@dataclass(frozen=True)
class Conditions:
    """Lane, air, track and its elevation, as read; what is None was not said."""

    units: System
    lane: Lane | None = None
    air_temperature: float | None = None
    humidity: float | None = None
    pressure: float | None = None
    track_temperature: float | None = None
    dew_point: float | None = None
    pressure_kind: PressureKind | None = None
    elevation: float | None = None
    surface: Surface | None = None

    @classmethod
    def of(cls, said: ConditionsNoted) -> Conditions:
        """Return what was said."""
        return cls(**{one.name: getattr(said, one.name) for one in fields(cls)})

    def then(self, later: Conditions) -> Conditions:
        """Return what is known once more was said: the latter alone where its units are others.

        A dew point takes the place of a humidity and the other way round.
        """
        if self.units != later.units:
            return later
        said = {key: one for key, one in vars(later).items() if one is not None}
        known = self
        if "humidity" in said or "dew_point" in said:
            known = replace(known, humidity=None, dew_point=None)
        if "pressure" in said:
            known = replace(known, pressure_kind=None)
        return replace(known, **said)


@dataclass(frozen=True)
class Measurement:
    """A number from a picture, a ring or a tape, and what it was worked out from; all SI."""

    what: MeasuredWhat
    value: float
    give: float
    inputs: Mapping[str, float]

    @classmethod
    def of(cls, said: Measured) -> Measurement:
        """Return what was said."""
        return cls(said.what, said.value, said.give, said.inputs)


@dataclass(frozen=True)
class Given:
    """An advice that was given about a pass, as stored."""

    stored: Mapping[str, Any]

    @cached_property
    def advice(self) -> Advice:
        """The advice, read when it is asked for; what this program does not know is passed over."""
        from rules.log.advice import Advice

        return Advice.model_validate(dict(self.stored), extra="ignore")
