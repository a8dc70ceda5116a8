"""What part of an elapsed time the air explains.

An unblown engine's power goes about with the dry density of the air (common practice, no source);
under constant power the elapsed time goes with power to the minus one third (Fox, Am. J. Phys. 41,
311, 1973, from memory), so +1 % power is -0.33 % of the time. To the 60-foot most cars are held by
grip, so it is nearly free of the air.
"""

from dataclasses import dataclass
from math import cbrt

# How well power follows dry density, as a share of the effect: common practice, no source.
FOLLOWS_GIVE = 1.0 / 3.0
# What share of the constant-power effect reaches the 60-foot, and its give; common practice.
SIXTY_SHARE, SIXTY_GIVE = 0.1, 0.15


@dataclass(frozen=True)
class AirPart:
    """Seconds that the air adds (below zero: takes off), with one standard deviation."""

    seconds: float
    give_s: float


def air_part(elapsed_s: float, dry_then: float, dry_now: float, sixty: bool = False) -> AirPart:
    """Return what a time run in air of dry density `dry_then` changes by in `dry_now` [kg/m3].

    Raises:
        ValueError: a time or a density that is not above zero.
    """
    if min(elapsed_s, dry_then, dry_now) <= 0.0:
        raise ValueError(
            f"time, densities: found {elapsed_s:g}, {dry_then:g}, {dry_now:g}; wanted above 0"
        )
    full = elapsed_s * (cbrt(dry_then / dry_now) - 1.0)
    if sixty:
        return AirPart(full * SIXTY_SHARE, abs(full) * SIXTY_GIVE)
    return AirPart(full, abs(full) * FOLLOWS_GIVE)


def air_prior(elapsed_s: float, sixty: bool = False) -> AirPart:
    """Return seconds per unit of relative dry density, near the density it is relative to."""
    share, give = (SIXTY_SHARE, SIXTY_GIVE) if sixty else (1.0, FOLLOWS_GIVE)
    slope = -elapsed_s / 3.0
    return AirPart(slope * share, abs(slope) * give)


def told(part: AirPart, scatter_s: float) -> str:
    """Say what the air did, beside the car's own scatter [s]."""
    if abs(part.seconds) + part.give_s < scatter_s / 4.0:
        return "The air explains next to nothing of it."
    way = "slower" if part.seconds > 0 else "quicker"
    return (
        f"The air alone makes it {abs(part.seconds):.3f} s {way}, give or take {part.give_s:.3f}."
    )
