"""A leaf spring: its rate, by weights or by its pack, and what winds the axle up. SI throughout.

A leaf carries the axle itself, so that its rate at the wheel is its own; the damper's ratio stands
apart. It has no length of a coil and no coil bind.

Sources, from memory: deflection of a leaf spring with n_g graduated and n_f full-length leaves,
12 F l^3 / (E w t^3 (2 n_g + 3 n_f)), M. F. Spotts, Design of Machine Elements, chapter on springs;
its halves of unequal length as in SAE HS-788, Spring Design Manual, k ~ L / (a^2 b^2). Steel's
modulus 207 GPa. Limits are common practice, no source.
"""

from dataclasses import dataclass
from math import isfinite

from rules.shop.findings import Finding, unknown
from rules.units import INCH_M, Quantity
from rules.wording import both, both_range

STEEL_PA = 207e9
PACK_WITHIN = 0.15
"""How far a rate by the pack is off: thickness counts threefold, and leaves rub."""
DROOP_APART = 0.25
GAPS_APART_M = INCH_M / 8
NOTHING = "Nothing but the leaves"


@dataclass(frozen=True)
class LeafPack:
    """Leaves alike, the main one over the full length.

    leaves: how many.  width, thickness: of one [m].  front, rear: from the centre bolt to the
    front eye and to the rear one, along the flat leaf [m].
    """

    leaves: int
    width: float
    thickness: float
    front: float
    rear: float

    @property
    def rate(self) -> float:
        """Rate at the axle, clamped nowhere but at the bolt [N/m].

        Formula: k = E w t^3 (2 n + 1) L / (12 a^2 b^2), n leaves of which one is full-length.
        """
        long = self.front + self.rear
        stiff = STEEL_PA * self.width * self.thickness**3 * (2 * self.leaves + 1)
        return stiff * long / (12.0 * self.front**2 * self.rear**2)


@dataclass(frozen=True)
class Leaf:
    """One leaf spring in its place.

    bump, droop: its rate either way from ride height [N/m]; droop None where it is the same or not
    known.  by_pack: worked out of its leaves, not measured.
    """

    bump: float
    droop: float | None = None
    by_pack: bool = False

    def __post_init__(self) -> None:
        for way in ("bump", "droop"):
            rate = getattr(self, way)
            if rate is not None and not (isfinite(rate) and rate > 0.0):
                raise ValueError(f"leaf rate in {way}: found {rate}, wanted a number above 0")


@dataclass(frozen=True)
class WindUp:
    """What winds an axle up on its leaves, and what holds it.

    device: in words, "" where nobody said.  gap_left, gap_right: from it to what it meets, at ride
    height [m].  rise: of the pinion nose at full thrust.  nose_down: of the pinion against the
    driveshaft, at rest [deg].
    """

    device: str = ""
    gap_left: float | None = None
    gap_right: float | None = None
    rise: float | None = None
    nose_down: float | None = None


def leaf_findings(corner: str, leaf: Leaf | None) -> tuple[Finding, ...]:
    """Return a leaf's findings, always in the same order."""
    ratio = Finding(
        f"{corner} spring ratio", 1.0, None, "ok",
        "1 at the axle: a leaf carries the axle itself. The damper's own ratio stands apart.",
    )  # fmt: skip
    return ratio, _rate(f"{corner} leaf rate", leaf)


def _rate(name: str, leaf: Leaf | None) -> Finding:
    what = Quantity.SPRING_RATE
    if leaf is None:
        return unknown(name, "the leaf's rate, or its pack", what)
    if leaf.by_pack:
        low, high = leaf.bump * (1.0 - PACK_WITHIN), leaf.bump * (1.0 + PACK_WITHIN)
        says = (
            f"{both_range(low, high, what)} by its pack, a guess: clamps, linings and rub are left "
            "out. Weights on the axle, and how far it went down, tell it better."
        )
        return Finding(name, leaf.bump, what, "look", says)
    if leaf.droop is None:
        return Finding(name, leaf.bump, what, "ok", f"{both(leaf.bump, what)}, bump and droop.")
    says = f"{both(leaf.bump, what)} in bump, {both(leaf.droop, what)} in droop."
    if abs(leaf.droop - leaf.bump) <= DROOP_APART * leaf.bump:
        return Finding(name, leaf.bump, what, "ok", f"{says} Reckoned with the one in bump.")
    says += (
        f" Over {100 * DROOP_APART:.0f} % apart: what is reckoned takes the one in bump, and is "
        "off where the car separates."
    )
    return Finding(name, leaf.bump, what, "look", says)


def wind_up_findings(end: str, wound: WindUp) -> tuple[Finding, ...]:
    """Return what is found of an axle's wind-up: the device, its gaps, the pinion under thrust."""
    return _device(end, wound), _gaps(end, wound), _pinion(end, wound)


def _device(end: str, wound: WindUp) -> Finding:
    name = f"{end} traction device"
    if not wound.device:
        return unknown(name, "what holds the axle from winding up")
    if wound.device == NOTHING:
        says = "Nothing holds the axle but the leaves: wheel hop starts there. A knob is no cure."
        return Finding(name, None, None, "look", says)
    says = f"{wound.device}. Fasteners, U-bolts and bushings tight, both sides alike."
    return Finding(name, None, None, "ok", says)


def _gaps(end: str, wound: WindUp) -> Finding:
    name = f"{end} traction device gap"
    left, right = wound.gap_left, wound.gap_right
    if wound.device == NOTHING:
        return Finding(name, None, Quantity.LENGTH, "ok", "There is none.")
    if left is None or right is None:
        return unknown(name, "the gap on both sides at ride height", Quantity.LENGTH)
    told = f"Left {both(left, Quantity.LENGTH)}, right {both(right, Quantity.LENGTH)}."
    if abs(right - left) <= GAPS_APART_M + 1e-9:
        return Finding(name, right - left, Quantity.LENGTH, "ok", told)
    told += (
        " The side with less meets first and loads its tyre first. Set apart on purpose for a "
        "straight launch is one change, written down; otherwise set both alike."
    )
    return Finding(name, right - left, Quantity.LENGTH, "look", told)


def _pinion(end: str, wound: WindUp) -> Finding:
    name = f"{end} pinion under thrust"
    if wound.rise is None or wound.nose_down is None:
        return unknown(name, "the pinion's angle at rest, and its rise under thrust")
    left = wound.nose_down - wound.rise
    says = (
        f"{wound.nose_down:g} deg nose down at rest, {wound.rise:g} deg of wind-up: {left:g} left."
    )
    if left >= 0.0:
        return Finding(name, left, None, "ok", says)
    says += " The joint passes straight and goes beyond: more nose down, or less wind-up."
    return Finding(name, left, None, "look", says)
