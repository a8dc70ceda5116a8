"""The travel survey as a sheet: with the springs out, then with them in; what it found in order."""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from rules.car import Axle, AxleEnd, Corner
from rules.prompts import Choice
from rules.session import Given
from rules.shop.asking import YES_NO, length, quantity
from rules.shop.coil import Coil
from rules.shop.entered import TOUCHES
from rules.shop.findings import both
from rules.shop.fit_items import SURVEY
from rules.shop.ratio import LEAST_HEIGHTS, MeasuredRatio, given_ratio, measured_ratio
from rules.shop.sheet import Edit, Field, Filling, Result, Sheet
from rules.shop.survey import (
    ENDS,
    AxleTravel,
    CornerSurvey,
    Part,
    Survey,
    axle_travel,
    survey_findings,
)
from rules.shop.travel import Lengths
from rules.shop.typical import TYPICAL
from rules.shop.values import Wanted, read
from rules.units import STANDARD_GRAVITY_M_S2, Quantity, System, show

PROCEDURE = (
    "Car on stands on a hard floor, chocked, engine cold; springs and bump rubbers out.",
    "Gas-charged dampers are not opened. Hold them by hand, nobody's fingers between the coils.",
    "Wheel on or a dummy of its size. Move it from full droop to metal-solid bump, by a lever or "
    "the floor under the wheel, not by a jack under a car that stands on nothing else.",
    "Measure damper and spring eye to eye at each wheel height, from droop up, ride height as 0.",
    "Steer lock to lock at both ends of the travel: joints, hoses, tyres, driveshaft, headers.",
    "Springs back in, collars at their marks, fasteners torqued to the maker's figure.",
)
_LENGTHS = {
    "ride": ("at ride height", 'In the car, eye to eye: "14 1/2 in" or "368 mm".'),
    "full bump": ("at full bump", "Metal-solid, not at the rubber's first touch."),
    "full droop": ("at full droop", "Hanging on limiter or stop."),
    "shortest": ("fully closed", "The damper by itself, or the maker's figure."),
    "longest": ("fully open", "The damper by itself, or the maker's figure."),
}
_DAMPER_ORDER = ("shortest", "full bump", "ride", "full droop", "longest")
_COIL_ORDER = ("spring solid", "spring at ride", "spring free")
_COIL = {
    "at ride": ("length at ride height", "With the car down, between its seats."),
    "free": ("free length", "Unloaded, off the car."),
    "solid": ("solid length", "All coils touching: wire thickness times coils, or the maker's."),
}
PARTS = {
    "oil pan": "the oil pan",
    "front part": "the lowest part ahead of the front axle",
    "middle part": "the lowest part between the axles",
    "rear part": "the lowest part behind the rear axle",
}
_NUMBERS = (
    "survey.front_limiters", "survey.rear_limiters", "survey.wheelie_bars", "survey.bump_steer",
    "survey.toe", "survey.pinion_angle", "survey.axle_square", "survey.rollout_difference",
)  # fmt: skip
_PAIR = re.compile(r"\s+/\s+|\s*;\s*")
LOOSE, CONTACT = "loose-spring", "contact-marks"


def fields(now: Filling) -> Iterator[Field]:
    """Return the questions, axle by axle, then the parts, the entered numbers and the touches."""
    for end in ENDS:
        yield from _axle_fields(now, end)
    for key, name in PARTS.items():
        yield length(
            key, f"Under {name}", question=f"How high is {name} at ride height?",
            hint="Tape to the road, as raced.", typical="geometry.ground_clearance", low=0.005,
            high=1.0,
        )  # fmt: skip
        if now.said(key):
            yield length(
                f"{key} ahead", f"  {name}: ahead", low=-6.0, high=3.0,
                question=f"How far is {name} ahead of the front axle?",
                hint="Behind it with a minus: -12 in.",
                doubt=partial(_place_doubt, now, key),
            )  # fmt: skip
    for key in _NUMBERS:
        one = TYPICAL[key]
        label = f"{one.name[0].upper()}{one.name[1:]}"
        ends = (-0.5, 0.5) if one.quantity else (-20.0, 20.0)
        asked = quantity(key, label, one.quantity, *ends, typical=key, unit=one.unit)
        yield replace(asked, typical="")
    for key, name in TOUCHES.items():
        yield Field(
            f"touch {key}", name, f"{name}: does anything touch, pull or bind?", "one",
            choices=(Choice("no", "No, clear and free"), Choice("yes", "YES, it touches or binds")),
        )  # fmt: skip


def _place_doubt(now: Filling, key: str, value: Given) -> str:
    """Doubt a part's place on the wrong side of an axle, by the wheelbase."""
    ahead = read(str(value), Wanted("place", Quantity.LENGTH), now.system)
    base = now.car.geometry.wheelbase_m
    if ahead is None:
        return ""
    if key == "front part" and ahead < 0.0:
        return "That is behind the front axle."
    if key == "middle part" and ahead > 0.0:
        return "That is ahead of the front axle; behind it is a minus."
    if base is None:
        return ""
    wheelbase = both(base, Quantity.LENGTH)
    if key == "rear part" and ahead > -base:
        return f"That is not behind the rear axle: the wheelbase is {wheelbase}."
    if key in ("oil pan", "middle part") and ahead < -base:
        return f"That is behind the rear axle: the wheelbase is {wheelbase}."
    return ""


def _axle_fields(now: Filling, end: AxleEnd) -> Iterator[Field]:
    for key, (words, hint) in _LENGTHS.items():
        yield length(
            f"{end} {key}", f"{end.capitalize()} damper {words}", low=0.05, high=1.5,
            question=f"Left {end} damper: how long is it {words}?", hint=hint,
            fault=partial(_order_fault, now, end, _DAMPER_ORDER, key),
        )  # fmt: skip
    yield Field(
        f"{end} coil-over", f"{end.capitalize()} spring", f"Is the {end} spring on the damper?",
        "one", choices=YES_NO,
    )  # fmt: skip
    apart = now.said(f"{end} coil-over") == "no"
    for number in range(1, LEAST_HEIGHTS + 1):
        what = "wheel / damper / spring" if apart else "wheel / damper"
        sample = '"-2 in / 15 1/4 in / 12 in"' if apart else '"-2 in / 15 1/4 in"'
        yield Field(
            f"{end} height {number}", f"{end.capitalize()} height {number}",
            f"Left {end}, height {number} of {LEAST_HEIGHTS}: {what}?", "text",
            hint=f"Wheel from ride height, up is plus, then the lengths there: {sample}.",
            fault=partial(_height_fault, apart, now, end, number),
        )  # fmt: skip
    for key, (words, hint) in _COIL.items():
        yield length(
            f"{end} spring {key}", f"{end.capitalize()} spring {words}", low=0.02, high=1.0,
            question=f"Left {end} spring: {words}?", hint=hint,
            fault=partial(_order_fault, now, end, _COIL_ORDER, f"spring {key}"),
        )  # fmt: skip
    yield quantity(
        f"{end} spring rate", f"{end.capitalize()} spring rate", Quantity.SPRING_RATE, 500.0, 1e6,
        hint="Of one spring, off its mark or a tester.", typical=f"{end}.spring_rate",
    )  # fmt: skip
    yield length(
        f"{end} squash", f"{end.capitalize()} tyre squash", low=0.0, high=0.15,
        question=f"How much further is a {end} tyre pressed in at its hardest?",
        hint="Against standing still: a witness mark, a film, or the tyre rate.",
    )  # fmt: skip
    yield Field(
        f"{end} alike", f"{end.capitalize()} right side", f"Right {end}: the same lengths?", "one",
        choices=YES_NO, hint='If not, put it right first, or note the difference: "no" says so.',
    )  # fmt: skip


def heights(now: Filling, end: AxleEnd) -> list[tuple[float, ...]]:
    """Return the wheel heights with damper's and spring's lengths there [m]."""
    rows = []
    for number in range(1, LEAST_HEIGHTS + 1):
        typed = now.said(f"{end} height {number}")
        if typed:
            rows.append(_height(typed, now.system))
    return rows


def survey_of(now: Filling) -> Survey:
    """Return everything measured so far.

    Raises:
        ValueError: numbers that cannot stand together, in words.
    """
    corners: dict[Corner, CornerSurvey] = {}
    for end in ENDS:
        one = _corner(now, end)
        sides: tuple[Corner, Corner] = (f"left {end}", f"right {end}")  # type: ignore[assignment]
        corners[sides[0]] = one
        if now.said(f"{end} alike") == "yes":
            corners[sides[1]] = one
    return Survey(
        corners=corners,
        base=now.car.geometry.wheelbase_m,
        parts=tuple(
            Part(name, clearance, ahead)
            for key, name in PARTS.items()
            if (clearance := now.si(key, Quantity.LENGTH)) is not None
            and (ahead := now.si(f"{key} ahead", Quantity.LENGTH)) is not None
        ),
        at_wheel={
            end: AxleTravel(
                bump=getattr(now.car, end).bump_travel_m,
                droop=getattr(now.car, end).droop_travel_m,
                squash=now.si(f"{end} squash", Quantity.LENGTH),
            )
            for end in ENDS
        },
        entered={key: now.si(key, TYPICAL[key].quantity) for key in _NUMBERS},
        touches={
            key: now.said(f"touch {key}") == "yes" for key in TOUCHES if now.said(f"touch {key}")
        },
    )


def _corner(now: Filling, end: AxleEnd) -> CornerSurvey:
    lengths = {key: now.si(f"{end} {key}", Quantity.LENGTH) for key in _LENGTHS}
    ride = lengths.pop("ride")
    rows = heights(now, end)
    damper = spring = None
    if len(rows) >= LEAST_HEIGHTS:
        damper = measured_ratio([(row[0], row[1]) for row in rows])
        spring = damper
        if now.said(f"{end} coil-over") == "no":
            spring = measured_ratio([(row[0], row[2]) for row in rows])
    else:
        axle: Axle = getattr(now.car, end)
        damper = None if axle.damper_ratio is None else given_ratio(axle.damper_ratio)
        spring = None if axle.spring_ratio is None else given_ratio(axle.spring_ratio)
    named = {key.replace(" ", "_"): value for key, value in lengths.items()}
    shafts = Lengths(ride, **named) if ride is not None else None
    return CornerSurvey(
        shafts, damper, spring, _coil(now, end, shafts, damper, spring), _carries(now, end, spring)
    )


def _coil(
    now: Filling, end: AxleEnd, shafts: Lengths | None, damper: MeasuredRatio | None,
    spring: MeasuredRatio | None,
) -> Coil | None:  # fmt: skip
    at_ride = now.si(f"{end} spring at ride", Quantity.LENGTH)
    if at_ride is None:
        return None
    share = 1.0
    if damper is not None and spring is not None:
        share = spring.ratio / damper.ratio
    bump, droop = (shafts.bump, shafts.droop) if shafts else (None, None)
    return Coil(
        at_ride,
        free=now.si(f"{end} spring free", Quantity.LENGTH),
        solid=now.si(f"{end} spring solid", Quantity.LENGTH),
        rate=now.si(f"{end} spring rate", Quantity.SPRING_RATE),
        bump=None if bump is None else bump * share,
        droop=None if droop is None else droop * share,
    )


def _carries(now: Filling, end: AxleEnd, spring: MeasuredRatio | None) -> float | None:
    """Return what one spring carries by the scales: half the axle's sprung weight, over MR [N]."""
    masses = now.car.masses
    sides = [getattr(masses, f"{side}_{end}_kg") for side in ("left", "right")]
    unsprung = getattr(masses, f"{end}_unsprung_kg")
    if spring is None or None in sides or unsprung is None:
        return None
    return float((sum(sides) - unsprung) / 2 * STANDARD_GRAVITY_M_S2 / spring.at_ride)


def result(now: Filling) -> Result:
    """Return the whole list of findings, what goes into the car file, and what blocks."""
    try:
        survey = survey_of(now)
        found = survey_findings(survey)
    except ValueError as error:
        says = f"The lengths do not go together: {error}. Go back to the wrong one."
        return Result((says,))
    apart = [
        f"The {end} sides differ: put them right, or measure the other one as well."
        for end in ENDS
        if now.said(f"{end} alike") == "no"
    ]
    return Result(tuple(apart), found, tuple(_edits(now, survey)))


def stops(now: Filling) -> dict[str, str]:
    """Return what of the answers so far blocks advice, by inspection."""
    blocking: dict[str, str] = {}
    for one in result(now).findings:
        if one.level == "stop":
            loose = one.name.endswith("spring at full droop")
            says = f"Travel survey, {one.name}: {'the spring is loose' if loose else 'contact'}."
            blocking.setdefault(LOOSE if loose else CONTACT, says)
    return blocking


def _edits(now: Filling, survey: Survey) -> Iterator[Edit]:
    for end in ENDS:
        one = survey.corners[f"left {end}"]  # type: ignore[index]
        axle = getattr(now.car, end)
        ratio = one.damper_ratio
        if ratio is not None and ratio.error is not None:
            value = float(f"{ratio.ratio:.4g}")
            yield Edit((end, "motion_ratio"), value, f"{end} motion ratio")
            if axle.damper_angle is not None:
                yield Edit((end, "damper_angle"), None, f"{end} damper angle, in the ratio already")
        yield from _spring_ratio_edit(now, end, one.spring_ratio)
        travel = axle_travel(replace(survey, at_wheel={}), end)
        for key, length_m in (("bump_travel", travel.bump), ("droop_travel", travel.droop)):
            if length_m is not None and length_m >= 0.001:
                name = f"{end} {key.replace('_', ' ')}"
                yield Edit((end, key), length_m, name, Quantity.LENGTH)
        if one.coil is not None and one.coil.rate is not None:
            name = f"{end} spring rate"
            yield Edit((end, "spring_rate"), one.coil.rate, name, Quantity.SPRING_RATE)
    lowest = min((part.clearance for part in survey.parts), default=None)
    if lowest is not None:
        yield Edit(("geometry", "ground_clearance"), lowest, "ground clearance", Quantity.LENGTH)


def _spring_ratio_edit(now: Filling, end: AxleEnd, ratio: MeasuredRatio | None) -> Iterator[Edit]:
    """Yield the spring's own ratio where it is off the damper; none where it is on it."""
    path, name = (end, "spring_motion_ratio"), f"{end} spring motion ratio"
    coil_over = now.said(f"{end} coil-over")
    if coil_over == "no" and ratio is not None and ratio.error is not None:
        yield Edit(path, float(f"{ratio.ratio:.4g}"), name)
    elif coil_over == "yes" and getattr(now.car, end).spring_motion_ratio is not None:
        yield Edit(path, None, f"{name}, on the damper")


def _height(typed: str, system: System) -> tuple[float, ...]:
    wheel, *lengths = _PAIR.split(typed.strip())
    first = read(wheel, Wanted("wheel height", Quantity.LENGTH, -0.6, 0.6), system)
    others = [read(one, Wanted("length", Quantity.LENGTH, 0.02, 1.5), system) for one in lengths]
    values = [first, *others]
    if any(value is None for value in values):
        raise ValueError(f"found {typed!r}; wanted every length")
    return tuple(float(value or 0.0) for value in values)


def _order_fault(now: Filling, end: AxleEnd, order: tuple[str, ...], key: str, value: Given) -> str:
    """Say that a length is on the wrong side of one that was said before."""
    typed = read(str(value), Wanted(key, Quantity.LENGTH), now.system)
    place = order.index(key)
    for at, other in enumerate(order):
        said = now.si(f"{end} {other}", Quantity.LENGTH)
        if said is None or typed is None or at == place:
            continue
        if typed != said and (typed > said) != (place > at):
            side = "more" if place > at else "less"
            words = show(said, Quantity.LENGTH, now.system)
            return f"found {value}; wanted {side} than {other.removeprefix('spring ')}, {words}"
    return ""


def _height_fault(apart: bool, now: Filling, end: AxleEnd, number: int, value: Given) -> str:
    """Say that a row of lengths is none, or does not shorten as the wheel goes up."""
    wanted = "wheel / damper / spring" if apart else "wheel / damper"
    try:
        values = _height(str(value), now.system)
    except ValueError as error:
        return str(error)
    if len(values) != (3 if apart else 2):
        return f"found {len(values)} lengths; wanted {wanted}, with blanks round each /"
    for row in heights(now, end)[: number - 1]:
        for before, after in zip(row[1:], values[1:], strict=False):
            if row[0] == values[0] or (after < before) != (values[0] > row[0]):
                height = show(row[0], Quantity.LENGTH, now.system)
                return f"found {value}; wanted shorter with the wheel higher, against {height}"
    return ""


TRAVEL_SURVEY = Sheet(
    SURVEY, "Travel survey", fields, result, PROCEDURE, stops=stops, continues=True
)
