"""The travel survey: everything measured with the springs out, as one list of findings.

Lengths in SI. Clearance is reckoned with the suspension metal-solid, not at the stop's first
touch (`rules.chassis.clearance_at_full_bump`); limits are common practice, no source.
"""

from rules.car.chassis import clearance_at_full_bump
from rules.car.model import CORNERS, LEAF_RATIO, AxleEnd, Corner
from rules.shop.coil import coil_findings
from rules.shop.entered import entered_findings, touch_findings
from rules.shop.findings import Finding, unknown
from rules.shop.leaf import leaf_findings, wind_up_findings
from rules.shop.ratio import ratio_finding, wheel_rate_at_ride, wheel_rate_finding
from rules.shop.sides import side_findings
from rules.shop.surveyed import AxleTravel, CornerSurvey, LowPart, Survey
from rules.shop.travel import at_wheel, travel_findings
from rules.units import INCH_M, Quantity
from rules.wording import both

ENDS: tuple[AxleEnd, ...] = ("front", "rear")
ROOM_M = INCH_M / 4


def survey_findings(survey: Survey) -> tuple[Finding, ...]:
    """Return the whole list, always in the same order: corners, sides, parts, entered, touches.

    Of an axle's sides only what differs, or that nothing does.
    """
    travels = {end: axle_travel(survey, end) for end in ENDS}
    return (
        *(one for corner in CORNERS for one in _corner(survey, corner)),
        *(one for end in ENDS for one in side_findings(end, *_sides(survey, end))),
        *(_wheel_rate(survey, end) for end in ENDS),
        *(one for end, wound in survey.leaves.items() for one in wind_up_findings(end, wound)),
        *(
            clearance_finding(part, survey.base, travels["front"], travels["rear"])
            for part in survey.parts
        ),
        *entered_findings(survey.entered, survey.without),
        *touch_findings(survey.touches),
    )


def _at_wheels(survey: Survey, end: AxleEnd) -> list[tuple[float | None, float | None]]:
    return [
        at_wheel(one.lengths, one.damper_ratio)
        for corner, one in survey.corners.items()
        if corner.endswith(end) and one.lengths is not None and one.damper_ratio is not None
    ]


def least_travel(survey: Survey, end: AxleEnd) -> AxleTravel:
    """Return the travel at the wheel that both sides have [m]: the first at its stop ends it."""
    sides = _at_wheels(survey, end)
    return AxleTravel(
        min((bump for bump, _ in sides if bump is not None), default=None),
        min((droop for _, droop in sides if droop is not None), default=None),
    )


def axle_travel(survey: Survey, end: AxleEnd) -> AxleTravel:
    """Return an axle's travel at the wheel, the larger side's where the two differ [m]."""
    sides = _at_wheels(survey, end)
    given = survey.at_wheel.get(end, AxleTravel())
    return AxleTravel(
        max((bump for bump, _ in sides if bump is not None), default=given.bump),
        max((droop for _, droop in sides if droop is not None), default=given.droop),
        given.squash,
    )


def clearance_finding(
    part: LowPart, base: float | None, front: AxleTravel, rear: AxleTravel
) -> Finding:
    """Return what is left under a part with the suspension metal-solid and the tyres pressed in.

    base: wheelbase [m]. The least of front solid, rear solid and both solid, the other axle at
    ride height: "stop" where it is not above 0. A part beyond an axle comes lower still while the
    other axle is at full droop: "look" where only that would touch.

    Raises:
        ValueError: a wheelbase not above 0.
    """
    name = f"clearance under {part.name}"
    front_bump, rear_bump = front.bump, rear.bump
    wants = "the wheelbase and both axles' travel to full bump"
    if base is None:
        return unknown(name, wants, Quantity.LENGTH)
    squash = {"front": front.squash or 0.0, "rear": rear.squash or 0.0}

    def left(front_at: float, rear_at: float) -> float:
        return clearance_at_full_bump(
            part.clearance, part.ahead, front_at, rear_at,
            squash["front"] if front_at > 0.0 else 0.0,
            squash["rear"] if rear_at > 0.0 else 0.0, base,
        )  # fmt: skip

    cases = {}
    if front_bump is not None:
        cases["front at full bump"] = left(front_bump, 0.0)
    if rear_bump is not None:
        cases["rear at full bump"] = left(0.0, rear_bump)
    if front_bump is not None and rear_bump is not None:
        cases["both at full bump"] = left(front_bump, rear_bump)
    if not cases:
        return unknown(name, wants, Quantity.LENGTH)
    case, least = min(cases.items(), key=lambda one: one[1])
    if least <= 0.0:
        says = (
            f"STOP: with {case}, {part.name} is {both(-least, Quantity.LENGTH)} into the road "
            "before the suspension is at its stop."
        )
        return Finding(name, least, Quantity.LENGTH, "stop", says)
    if front_bump is None or rear_bump is None:
        return unknown(name, wants, Quantity.LENGTH)
    notes = _clearance_notes(
        least,
        min(left(front_bump, -(rear.droop or 0.0)), left(-(front.droop or 0.0), rear_bump)),
        [end for end, one in (("front", front), ("rear", rear)) if one.squash is None],
    )
    says = f"{both(least, Quantity.LENGTH)} left with {case}, metal-solid."
    return Finding(
        name, least, Quantity.LENGTH, "look" if notes else "ok", " ".join((says, *notes))
    )


def _clearance_notes(least: float, in_droop: float, no_squash: list[str]) -> list[str]:
    notes = []
    if least < ROOM_M:
        notes.append(f"Crews want {both(ROOM_M, Quantity.LENGTH)} and more.")
    if in_droop <= 0.0:
        notes.append("With the other axle at full droop it would touch.")
    if no_squash:
        notes.append(f"Without the {' and '.join(no_squash)} tyres' squash, which is not known.")
    return notes


def _corner(survey: Survey, corner: Corner) -> tuple[Finding, ...]:
    one = survey.corners.get(corner, CornerSurvey())
    on_leaf = any(corner.endswith(end) for end in survey.leaves)
    found: list[Finding] = []
    ratios = {"damper": one.damper_ratio, "spring": one.spring_ratio}
    for what, ratio in ratios.items():
        if what == "spring" and on_leaf:
            continue
        name = f"{corner} {what} ratio"
        wants = f"the {what}'s length at five or more wheel heights"
        found.append(unknown(name, wants) if ratio is None else ratio_finding(name, ratio))
    if one.lengths is None:
        found.append(unknown(f"{corner} travel", "the damper's lengths", Quantity.LENGTH))
    else:
        found += travel_findings(corner, one.lengths, one.damper_ratio)
    if on_leaf:
        found += leaf_findings(corner, one.leaf)
    elif one.coil is None:
        found.append(unknown(f"{corner} spring", "the spring's lengths", Quantity.LENGTH))
    else:
        found += coil_findings(corner, one.coil, one.carries)
    return tuple(found)


def _sides(survey: Survey, end: AxleEnd) -> tuple[CornerSurvey, CornerSurvey]:
    left, right = (
        survey.corners.get(corner, CornerSurvey()) for corner in CORNERS if corner.endswith(end)
    )
    return left, right


def _wheel_rate(survey: Survey, end: AxleEnd) -> Finding:
    """Return an axle's rate at the wheel, the sum of both sides."""
    name, rate = f"{end} wheel rate", 0.0
    if end in survey.leaves:
        leaves = [one.leaf for one in _sides(survey, end) if one.leaf is not None]
        if len(leaves) < 2:
            return unknown(name, "both leaves' rate", Quantity.SPRING_RATE)
        return wheel_rate_finding(name, sum(one.bump for one in leaves) * LEAF_RATIO**2)
    for one in _sides(survey, end):
        coil, ratio = one.coil, one.spring_ratio
        force = one.carries if coil is None or coil.force_at_ride is None else coil.force_at_ride
        if coil is None or coil.rate is None or ratio is None or force is None:
            wants = "both springs' rate, motion ratio and load"
            return unknown(name, wants, Quantity.SPRING_RATE)
        rate += wheel_rate_at_ride(coil.rate, ratio, force, springs=1)
    return wheel_rate_finding(name, rate)
