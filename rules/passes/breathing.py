"""How an engine breathes, and how its power goes with the air.

An unblown engine's power goes about with the dry density of the air, and so does that of a blower
on a belt, which moves the same volumes. A turbo on its spring adds a fixed pressure to the air's,
one whose boost is held makes most of it up, nitrous brings part of its own oxygen, and an electric
motor needs none. The shares are common practice, no source.
"""

from typing import Literal, get_args

Breathing = Literal["unblown", "belt", "turbo", "turbo held", "nitrous", "electric"]
KINDS: tuple[Breathing, ...] = get_args(Breathing)

# Per cent of power for each per cent of dry density, with one standard deviation.
POWER_BY_DENSITY: dict[Breathing, tuple[float, float]] = {
    "unblown": (1.0, 0.25),
    "belt": (1.0, 0.25),
    "turbo": (0.6, 0.3),
    "turbo held": (0.15, 0.2),
    "nitrous": (0.65, 0.2),
    "electric": (0.0, 0.1),
}
# Where nobody said how it breathes: most cars are unblown, and any of the others may be meant.
NOT_SAID = (0.75, 0.4)
CALLED: dict[Breathing, str] = {
    "unblown": "unblown",
    "belt": "with a blower on a belt",
    "turbo": "with a turbo on its spring",
    "turbo held": "with a turbo whose boost is held",
    "nitrous": "on nitrous",
    "electric": "electric",
}


def power_by_density(breathing: Breathing | None) -> tuple[float, float]:
    """Return by what power of the dry density an engine's power goes, with one sd."""
    return NOT_SAID if breathing is None else POWER_BY_DENSITY[breathing]
