"""Height of the centre of gravity from weighings with one axle raised. SI throughout.

The suspension is locked and the wheels roll freely, so that each axle's load acts through its
centre. With D between the axle centres, th the angle of the line through them (rear higher:
positive), s and p the place of the centre of gravity along that line from the rear and square to
it, moments about the rear axle give W_f / W = s / D + (p / D) tan th: a straight line in tan th.

Sources: W. F. and D. L. Milliken, Race Car Vehicle Dynamics, chapter 18 (raised-axle method),
from memory; the steps of ISO 10392:2011, 6.2 (axle lift); the form for unequal tyres follows from
the free body. Reading errors as even
within their bounds: Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008), 4.3.7,
from memory.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, isfinite, sqrt

from rules.shop.findings import Finding
from rules.shop.scales import axle_distances
from rules.straight_line import straight, t_factor
from rules.units import Quantity
from rules.wording import both, both_range

SCALE_ERROR_KG = 0.9
TAPE_ERROR_M = 0.002
ENOUGH_HEIGHTS = 3
PLAUSIBLE_GIVE_M = 0.25
_LEAST_TILT = 0.03
# 95 % of errors that lie evenly within their bounds, several of them together.
_OF_BOUND = 1.96 / sqrt(3.0)
_ODD_SCATTER = 2.0
PROCEDURE = (
    "Driver's weight in the seat as ballast, tanks full or empty so that nothing sloshes; nobody "
    "in or under the car.",
    "Lock the suspension at ride height with solid links in place of the dampers, or blocks.",
    "Weigh level first: front and rear, and the height of each axle centre over the pads' plane.",
    "Raise one axle on wide stands or ramps made for the load, wheels free to roll, the other "
    "axle on the scales, brakes off, chocked just clear of the tyres.",
    "At each height read the scales and both axle centres' heights over the same plane, and once "
    "more on the way down: what differs is friction. Then raise the other axle, if that can be "
    "done.",
    "At least three heights, the highest {20 in|0.5 m} or more if the car and stands allow it. "
    "Stop if anything slips or leans.",
)


@dataclass(frozen=True)
class Weighing:
    """One reading with the suspension locked.

    front: load of the front axle [kg].  front_hub, rear_hub: heights of the axle centres over one
    level plane [m]; with the car level on its tyres these are the loaded radii.
    """

    front: float
    front_hub: float
    rear_hub: float


@dataclass(frozen=True)
class CgHeight:
    """Height of a centre of gravity over the ground [m], and how far off it can be either way.

    each: the height that every raised weighing alone would give [m].
    by_scales, by_tape, by_scatter: what each leaves open at 95 % [m]; scatter None with nothing to
    spare.  agrees: the weighings scatter no more than scales and tape allow.
    """

    height: float
    give: float
    each: tuple[float, ...]
    by_scales: float
    by_tape: float
    by_scatter: float | None
    agrees: bool

    @property
    def low(self) -> float:
        """Lower end of the range [m]."""
        return self.height - self.give

    @property
    def high(self) -> float:
        """Upper end of the range [m]."""
        return self.height + self.give


def cg_height(
    level: Weighing, rear: float, base: float, raised: Sequence[Weighing],
    scale_error: float = SCALE_ERROR_KG, tape_error: float = TAPE_ERROR_M,
) -> CgHeight:  # fmt: skip
    """Return the height of the whole car's centre of gravity as it stands level.

    level: the weighing on level pads.  rear: rear axle's load then [kg].  base: wheelbase as it
    stands level [m].  raised: one axle up, one or more heights; three or more for a fair range.
    scale_error: how far one front reading can be off [kg].  tape_error: one hub height [m].
    Formula: h = R_f b / L + R_r a / L + h1, h1 = dW_f L / (W (tan th1 - tan th0)) / cos^2 th0,
    the slope dW_f / d(tan th) by least squares over all heights. The last factor is 1 with equal
    tyres. The range holds 95 %: of the instruments' errors, each by itself and even within its
    bounds; where the weighings scatter over twice as far as these, of the scatter if it is wider.

    Raises:
        ValueError: a load or length not above 0, no raised weighing, hubs farther apart than the
            axles, a tilt under 3 % against level, or a front load that cannot be.
    """
    a, b = axle_distances(level.front, rear, base)
    total = level.front + rear
    _check(level, "level", total)
    if not raised:
        raise ValueError("raised weighings: found none, wanted at least one")
    start = (level.rear_hub - level.front_hub) / base
    apart = base * sqrt(1.0 + start**2)
    tilts = [start]
    for number, one in enumerate(raised, 1):
        _check(one, f"raised weighing {number}", total)
        tilts.append(_tilt(one, apart, number, start))
    # D / W is the height square to the line for a unit of slope; D / L more makes it upright.
    upright = apart**2 / base / total
    line = straight(tilts, [level.front, *(one.front for one in raised)])
    on_line = (level.front_hub * b + level.rear_hub * a) / base
    each = tuple(
        on_line + upright * (one.front - level.front) / (tilt - start)
        for one, tilt in zip(raised, tilts[1:], strict=True)
    )
    pull = sqrt(sum(one**2 for one in line.pulls))
    by_scales = _OF_BOUND * upright * pull * scale_error
    tilt_error = sqrt(2.0) * tape_error / apart
    by_tape = _OF_BOUND * hypot(upright * line.slope * pull * tilt_error, tape_error)
    give = instruments = hypot(by_scales, by_tape)
    by_scatter, agrees = None, True
    if line.slope_error is not None:
        scatter = upright * line.slope_error
        by_scatter = scatter * t_factor(line.to_spare)
        agrees = scatter <= _ODD_SCATTER * instruments / 1.96
        give = instruments if agrees else max(instruments, by_scatter)
    return CgHeight(
        height=on_line + upright * line.slope,
        give=give,
        each=each,
        by_scales=by_scales,
        by_tape=by_tape,
        by_scatter=by_scatter,
        agrees=agrees,
    )


@dataclass(frozen=True)
class SprungCentre:
    """Where the sprung mass has its centre.

    mass [kg]; height over the ground, its give either way, behind_front and ahead_of_rear: from
    the axles [m].
    """

    mass: float
    height: float
    give: float
    behind_front: float
    ahead_of_rear: float


def sprung_centre(
    front: float, rear: float, base: float, height: float, front_unsprung: float,
    rear_unsprung: float, front_hub: float, rear_hub: float, give: float = 0.0,
) -> SprungCentre:  # fmt: skip
    """Return the sprung mass's centre from the whole car's.

    front, rear: axle loads [kg].  base: wheelbase [m].  height, give: of the whole car's centre
    [m].  front_unsprung, rear_unsprung [kg]: taken at their axle centres, front_hub, rear_hub [m].
    Formula: h_s = (W h - w_f R_f - w_r R_r) / W_s, a_s = (W a - w_r L) / W_s; moments of masses.

    Raises:
        ValueError: an unsprung mass not above 0 or not below its axle's load, or another number
            not above 0.
    """
    a, _ = axle_distances(front, rear, base)
    for end, unsprung, load in (("front", front_unsprung, front), ("rear", rear_unsprung, rear)):
        if not 0.0 < unsprung < load:
            raise ValueError(
                f"{end} unsprung: found {both(unsprung, Quantity.MASS)}, wanted above 0 and under "
                f"the axle's {both(load, Quantity.MASS)}"
            )
    for name, value in (("height", height), ("front hub", front_hub), ("rear hub", rear_hub)):
        if not (isfinite(value) and value > 0.0):
            found = both(value, Quantity.LENGTH)
            raise ValueError(f"{name}: found {found}, wanted a length above 0")
    total = front + rear
    sprung = total - front_unsprung - rear_unsprung
    up = total * height - front_unsprung * front_hub - rear_unsprung * rear_hub
    behind = (total * a - rear_unsprung * base) / sprung
    return SprungCentre(sprung, up / sprung, give * total / sprung, behind, base - behind)


def is_plausible(found: CgHeight, wheelbase: float) -> bool:
    """Tell whether a door car can have its centre of gravity there. wheelbase [m].

    Common practice, no source: a tenth to a third of the wheelbase, known to within 250 mm.
    """
    return 0.1 * wheelbase < found.height < 0.35 * wheelbase and found.give < PLAUSIBLE_GIVE_M


def height_findings(found: CgHeight, wheelbase: float) -> tuple[Finding, ...]:
    """Return the height in words, then whether the weighings agree. wheelbase [m]."""
    says = (
        f"Centre of gravity {both_range(found.low, found.high, Quantity.LENGTH)} over the ground, "
        f"19 times in 20; most likely {both(found.height, Quantity.LENGTH)}."
    )
    few = len(found.each) < ENOUGH_HEIGHTS
    odd = not is_plausible(found, wheelbase)
    if few:
        says += f" Only {len(found.each)} raised: weigh at {ENOUGH_HEIGHTS} heights or more."
    if odd:
        says += " That is far from any door car: look at the readings again."
    height = Finding(
        "centre of gravity height", found.height, Quantity.LENGTH,
        "look" if few or odd or not found.agrees else "ok", says,
    )  # fmt: skip
    apart = max(found.each) - min(found.each)
    texts = ", ".join(both(one, Quantity.LENGTH) for one in found.each)
    agreement = f"Each height alone gives {texts}."
    if not found.agrees:
        agreement += " More apart than the scales allow: is the suspension locked, do wheels roll?"
    return (
        height,
        Finding(
            "heights against each other",
            apart,
            Quantity.LENGTH,
            "ok" if found.agrees else "look",
            agreement,
        ),
    )  # fmt: skip


def friction_findings(pairs: Mapping[str, tuple[float, float]]) -> tuple[Finding, ...]:
    """Return how far apart the readings up and down are, the widest named; none without any.

    pairs: each height's reading on the way up and on the way down [kg].
    """
    if not pairs:
        return ()
    where = max(pairs, key=lambda one: abs(pairs[one][1] - pairs[one][0]))
    up, down = pairs[where]
    apart = abs(down - up)
    says = f"At most {both(apart, Quantity.MASS)} apart, at {where[0].lower()}{where[1:]}."
    if apart <= 2.0 * SCALE_ERROR_KG + 1e-9:
        return (Finding("up against down", apart, Quantity.MASS, "ok", says),)
    says += " That is friction: wheels free to roll, pads level, suspension locked? Weigh again."
    return (Finding("up against down", apart, Quantity.MASS, "look", says),)


def sprung_findings(found: SprungCentre) -> tuple[Finding, ...]:
    """Return where the sprung mass has its centre, in words, always in the same order."""
    low, high = found.height - found.give, found.height + found.give
    return (
        Finding(
            "sprung centre of gravity height", found.height, Quantity.LENGTH, "ok",
            f"Sprung centre of gravity {both_range(low, high, Quantity.LENGTH)} over the ground, "
            f"for {both(found.mass, Quantity.MASS)} of sprung mass.",
        ),
        Finding(
            "sprung centre of gravity behind front axle", found.behind_front, Quantity.LENGTH, "ok",
            f"It is {both(found.behind_front, Quantity.LENGTH)} behind the front axle, "
            f"{both(found.ahead_of_rear, Quantity.LENGTH)} ahead of the rear axle.",
        ),
    )  # fmt: skip


def _check(one: Weighing, name: str, total: float) -> None:
    for what in ("front_hub", "rear_hub"):
        value = getattr(one, what)
        if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
            raise ValueError(
                f"{name}, {what.replace('_', ' ')}: found {both(value, Quantity.LENGTH)}, "
                "wanted a height above 0"
            )
    if not 0.0 < one.front < total:
        raise ValueError(
            f"{name}, front load: found {both(one.front, Quantity.MASS)}, wanted above 0 and "
            f"under the total, {both(total, Quantity.MASS)}"
        )


def _tilt(one: Weighing, apart: float, number: int, start: float) -> float:
    """Return tan th of the line through the axle centres."""
    rise = one.rear_hub - one.front_hub
    if abs(rise) >= apart:
        raise ValueError(
            f"raised weighing {number}: found hubs {both(abs(rise), Quantity.LENGTH)} apart in "
            f"height, wanted less than {both(apart, Quantity.LENGTH)}"
        )
    tilt = rise / sqrt(apart**2 - rise**2)
    if abs(tilt - start) < _LEAST_TILT:
        raise ValueError(
            f"raised weighing {number}: found a tilt of {100 * (tilt - start):.1f} % against level,"
            f" wanted {100 * _LEAST_TILT:.0f} % or more"
        )
    return tilt
