"""What part of an elapsed time the air explains.

How an engine's power goes with the dry density of the air is in `breathing`; under constant power
the elapsed time goes with power to the minus one third (Fox, Am. J. Phys. 41, 311, 1973, from
memory), so +1 % power is -0.33 % of the time. To the 60-foot most cars are held by grip, so it is
nearly free of the air.
"""

from dataclasses import dataclass
from math import cbrt, hypot

from rules.passes.breathing import Breathing, power_by_density

# What share of the constant-power effect reaches the 60-foot, and its give; common practice.
SIXTY_SHARE, SIXTY_GIVE = 0.1, 0.15


@dataclass(frozen=True)
class AirPart:
    """Seconds that the air adds (below zero: takes off), with one standard deviation."""

    seconds: float
    give_s: float


def air_part(
    elapsed_s: float,
    dry_then: float,
    dry_now: float,
    sixty: bool = False,
    breathing: Breathing | None = "unblown",
) -> AirPart:
    """Return what a time run in air of dry density `dry_then` changes by in `dry_now` [kg/m3].

    Raises:
        ValueError: a time or a density that is not above zero.
    """
    if min(elapsed_s, dry_then, dry_now) <= 0.0:
        raise ValueError(
            f"time, densities: found {elapsed_s:g}, {dry_then:g}, {dry_now:g}; wanted above 0"
        )
    share, give = _share(sixty, breathing)
    full = elapsed_s * (cbrt(dry_then / dry_now) - 1.0)
    return AirPart(full * share, abs(full) * give)


def air_prior(
    elapsed_s: float, sixty: bool = False, breathing: Breathing | None = "unblown"
) -> AirPart:
    """Return seconds per unit of relative dry density, near the density it is relative to.

    breathing: None where nobody said it.
    """
    share, give = _share(sixty, breathing)
    slope = -elapsed_s / 3.0
    return AirPart(slope * share, abs(slope) * give)


def _share(sixty: bool, breathing: Breathing | None) -> tuple[float, float]:
    """Return what part of an effect at constant power there is, with one standard deviation."""
    share, give = power_by_density(breathing)
    if not sixty:
        return share, give
    return share * SIXTY_SHARE, hypot(share * SIXTY_GIVE, give * SIXTY_SHARE)


def told(part: AirPart, scatter_s: float) -> str:
    """Say what the air did, beside the car's own scatter [s]."""
    if abs(part.seconds) + part.give_s < scatter_s / 4.0:
        return "The air explains next to nothing of it."
    way = "slower" if part.seconds > 0 else "quicker"
    return (
        f"The air alone makes it {abs(part.seconds):.3f} s {way}, give or take {part.give_s:.3f}."
    )
