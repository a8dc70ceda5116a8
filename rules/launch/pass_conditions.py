"""Lane, air and track of a pass as the launch takes them: only what was noted."""

from dataclasses import dataclass, fields, replace
from typing import Literal

from rules.passes.breathing import Breathing


@dataclass(frozen=True)
class PassConditions:
    """What was noted of a pass beside the car; None is what nobody noted.

    density: of the dry air [kg/m3].  track_c: temperature of the track [degrees C].
    surface: what the launch area is like, in the words of the log.  breathing: how the engine does,
    the same for every pass.
    """

    lane: Literal["left", "right"] | None = None
    density: float | None = None
    track_c: float | None = None
    surface: str | None = None
    breathing: Breathing | None = None

    def or_else(self, other: "PassConditions") -> "PassConditions":
        """Return these, with what was not noted as in `other`."""
        gaps = [one.name for one in fields(self) if getattr(self, one.name) is None]
        return replace(self, **{name: getattr(other, name) for name in gaps})


NOT_NOTED = PassConditions()
