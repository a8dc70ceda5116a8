"""A coil spring at both ends of its travel: bind, clash allowance, looseness. SI throughout.

Sources: clash allowance as fractional overrun to closure, 15 % of the deflection at the greatest
working load, J. E. Shigley, Mechanical Engineering Design, chapter on springs, from memory. The
1/4 in over solid length and the loose-spring rule are common practice, no source.
"""

from dataclasses import dataclass
from math import isfinite

from rules.shop.findings import Finding, unknown
from rules.units import INCH_M, Quantity
from rules.wording import both

OVER_SOLID_M = INCH_M / 4
CLASH_ALLOWANCE = 0.15
LOAD_WITHIN = 0.10


@dataclass(frozen=True)
class Coil:
    """A coil in its place.

    rate: of the spring [N/m].  free, solid: its length unloaded and with all coils touching [m].
    at_ride: its length with the car at ride height [m].  bump, droop: by how much it shortens to
    the metal-solid stop and lengthens to full droop, along the spring [m].
    """

    at_ride: float
    free: float | None = None
    solid: float | None = None
    rate: float | None = None
    bump: float | None = None
    droop: float | None = None

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            low = 0.0 if name in ("bump", "droop") else 1e-9
            if value is not None and not (isfinite(value) and value >= low):
                what = Quantity.SPRING_RATE if name == "rate" else Quantity.LENGTH
                found = both(value, what)
                raise ValueError(f"spring {name.replace('_', ' ')}: found {found}, wanted above 0")
        at_ride = both(self.at_ride, Quantity.LENGTH)
        if self.free is not None and self.free <= self.at_ride:
            found = both(self.free, Quantity.LENGTH)
            raise ValueError(
                f"spring free length: found {found}, wanted over its length at ride height, "
                f"{at_ride}"
            )
        if self.solid is not None and self.solid >= self.at_ride:
            found = both(self.solid, Quantity.LENGTH)
            raise ValueError(
                f"spring solid length: found {found}, wanted under its length at ride height, "
                f"{at_ride}"
            )

    @property
    def bind_margin(self) -> float | None:
        """Length at solid bump less solid length [m]; not above 0: it binds first."""
        if self.solid is None or self.bump is None:
            return None
        return self.at_ride - self.bump - self.solid

    @property
    def clash_allowance(self) -> float | None:
        """What is left to solid over the deflection at solid bump [-]."""
        if self.bind_margin is None or self.free is None or self.bump is None:
            return None
        return self.bind_margin / (self.free - self.at_ride + self.bump)

    @property
    def preload(self) -> float | None:
        """How far the spring is still compressed at full droop [m]; negative: it is loose."""
        if self.free is None or self.droop is None:
            return None
        return self.free - self.at_ride - self.droop

    @property
    def force_at_ride(self) -> float | None:
        """What the spring carries at ride height [N]: K (free - at ride)."""
        if self.free is None or self.rate is None:
            return None
        return self.rate * (self.free - self.at_ride)


def coil_findings(corner: str, coil: Coil, carries: float | None = None) -> tuple[Finding, ...]:
    """Return a coil's findings, always in the same order.

    carries: what the spring should carry at ride height by the scales, sprung corner weight over
    its motion ratio [N].
    """
    return (
        _bind(corner, coil),
        _clash(corner, coil.clash_allowance),
        _preload(corner, coil),
        _load(corner, coil.force_at_ride, carries),
    )


def _bind(corner: str, coil: Coil) -> Finding:
    name, margin = f"{corner} coil bind", coil.bind_margin
    if margin is None:
        wants = "the spring's solid length and its travel to full bump"
        return unknown(name, wants, Quantity.LENGTH)
    room = both(OVER_SOLID_M, Quantity.LENGTH)
    if margin <= 0.0:
        says = "STOP: the coils touch before the suspension is at its stop."
        return Finding(name, margin, Quantity.LENGTH, "stop", says)
    says = f"{both(margin, Quantity.LENGTH)} left to solid at full bump, at least {room} wanted."
    if margin < OVER_SOLID_M - 1e-9:
        return Finding(name, margin, Quantity.LENGTH, "stop", f"STOP: only {says}")
    return Finding(name, margin, Quantity.LENGTH, "ok", says)


def _clash(corner: str, share: float | None) -> Finding:
    name = f"{corner} clash allowance"
    if share is None:
        return unknown(name, "free and solid length and the travel to full bump")
    says = f"{100 * share:.0f} % of the spring's compression is left at full bump"
    good = share >= CLASH_ALLOWANCE - 1e-9
    says += (
        "." if good else f", under {100 * CLASH_ALLOWANCE:.0f} %: coils may clash when it rings."
    )
    return Finding(name, share, None, "ok" if good else "look", says)


def _preload(corner: str, coil: Coil) -> Finding:
    name, preload = f"{corner} spring at full droop", coil.preload
    if preload is None:
        wants = "the spring's free length and its travel to full droop"
        return unknown(name, wants, Quantity.LENGTH)
    if preload < 0.0:
        says = (
            f"STOP: the spring is loose by {both(-preload, Quantity.LENGTH)} at full droop and can "
            "leave its seat: shorter limiter, helper spring or longer spring."
        )
        return Finding(name, preload, Quantity.LENGTH, "stop", says)
    says = f"Still compressed by {both(preload, Quantity.LENGTH)} at full droop."
    if coil.rate is not None:
        says = f"{says[:-1]}, {both(coil.rate * preload, Quantity.FORCE)}."
    return Finding(name, preload, Quantity.LENGTH, "ok", says)


def _load(corner: str, force: float | None, carries: float | None) -> Finding:
    name = f"{corner} spring against scales"
    if force is None or carries is None:
        wants = "rate, free length, motion ratio, corner weight and unsprung mass"
        return unknown(name, wants, Quantity.FORCE)
    says = (
        f"By its length the spring carries {both(force, Quantity.FORCE)}, "
        f"by the scales {both(carries, Quantity.FORCE)}."
    )
    if abs(force - carries) <= LOAD_WITHIN * carries:
        return Finding(name, force - carries, Quantity.FORCE, "ok", says)
    says += " Over 10 % apart: rate, a length, or the motion ratio is off, or a bar helps."
    return Finding(name, force - carries, Quantity.FORCE, "look", says)
