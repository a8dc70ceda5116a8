"""What differs between the two sides of an axle. SI throughout.

Limits are common practice, no source.
"""

from collections.abc import Iterator

from rules.car.model import AxleEnd
from rules.shop.findings import Finding, unknown
from rules.shop.ratio import MeasuredRatio
from rules.shop.surveyed import CornerSurvey
from rules.units import INCH_M, Quantity
from rules.wording import both

APART_M = INCH_M / 8
_APART = "{1/8 in|3 mm}"
APART_SHARE = 0.05
_LENGTHS = {
    "damper at ride height": "ride", "damper at full bump": "full_bump",
    "damper at full droop": "full_droop", "damper fully closed": "shortest",
    "damper fully open": "longest",
}  # fmt: skip
_COIL = {
    "spring at ride height": "at_ride", "spring free length": "free",
    "spring solid length": "solid",
}  # fmt: skip


def side_findings(end: AxleEnd, left: CornerSurvey, right: CornerSurvey) -> tuple[Finding, ...]:
    """Return what differs between an axle's sides, or one finding that nothing does.

    value: of each finding, right less left, "look" where a length is over 1/8 in apart, or a ratio
    or rate over 5 % of the mean of both.
    """
    name = f"{end} sides"
    if right.as_other_side:
        says = "The right side is taken as the left, not measured."
        return (Finding(name, None, None, "ok", says),)
    pairs = [
        (what, quantity, one, other)
        for what, quantity, one, other in _pairs(left, right)
        if one is not None and other is not None
    ]
    if not pairs and _measured(left) and not _measured(right):
        return (Finding(name, None, None, "unknown", "Nothing of the right side is known yet."),)
    if not pairs:
        return (unknown(name, "the same lengths on both sides"),)
    apart = [
        _finding(f"{name}, {what}", quantity, one, other)
        for what, quantity, one, other in pairs
        if _differ(quantity, one, other)
    ]
    says = f"Alike within {_APART} and {100 * APART_SHARE:.0f} %."
    return tuple(apart) or (Finding(name, None, None, "ok", says),)


def _pairs(
    left: CornerSurvey, right: CornerSurvey
) -> Iterator[tuple[str, Quantity | None, float | None, float | None]]:
    """Yield what is measured on both sides: name, quantity, left and right."""
    for names, part in ((_LENGTHS, "lengths"), (_COIL, "coil")):
        one, other = getattr(left, part), getattr(right, part)
        for what, name in names.items():
            yield what, Quantity.LENGTH, getattr(one, name, None), getattr(other, name, None)
    yield "spring rate", Quantity.SPRING_RATE, spring_rate_of(left), spring_rate_of(right)
    yield "damper ratio", None, _ratio(left.damper_ratio), _ratio(right.damper_ratio)
    yield "spring ratio", None, _ratio(left.spring_ratio), _ratio(right.spring_ratio)


def _measured(side: CornerSurvey) -> bool:
    """Tell whether anything was measured at a corner."""
    ratios = (_ratio(side.damper_ratio), _ratio(side.spring_ratio))
    return any(one is not None for one in (side.lengths, side.coil, side.leaf, *ratios))


def spring_rate_of(side: CornerSurvey) -> float | None:
    """Return the rate of a corner's spring [N/m]; of a leaf the one in bump."""
    if side.leaf is not None:
        return side.leaf.bump
    return None if side.coil is None else side.coil.rate


def _ratio(ratio: MeasuredRatio | None) -> float | None:
    """Return a ratio that was measured on its own side; one that was only given is none."""
    return None if ratio is None or ratio.error is None else ratio.ratio


def _differ(quantity: Quantity | None, left: float, right: float) -> bool:
    if quantity is Quantity.LENGTH:
        return abs(right - left) > APART_M + 1e-9
    return abs(right - left) > APART_SHARE * (left + right) / 2.0 + 1e-9


def _finding(name: str, quantity: Quantity | None, left: float, right: float) -> Finding:
    told = [f"{one:.3f}" if quantity is None else both(one, quantity) for one in (left, right)]
    limit = _APART if quantity is Quantity.LENGTH else f"{100 * APART_SHARE:.0f} %"
    says = (
        f"Left {told[0]}, right {told[1]}: over {limit} apart (common practice, no source). Look "
        "for a collar, a mount or a bent part before the car runs."
    )
    return Finding(name, right - left, quantity, "look", says)
