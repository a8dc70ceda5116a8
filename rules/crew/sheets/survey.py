"""The travel survey as a sheet: with the springs out, then with them in; what it found in order."""

from collections.abc import Iterator, Sequence
from functools import cache, partial
from statistics import fmean

from rules.car.body import Axle
from rules.car.edits import Edit
from rules.car.model import AxleEnd, Car, Corner
from rules.car.usual import TYPICAL
from rules.crew.sheets.asking import YES_NO, length, quantity
from rules.crew.sheets.rate_words import last_asked, rate_findings
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.crew.sheets.survey_corner import as_raced_fields, corner_of, springs_out_fields
from rules.crew.sheets.survey_leaf import LEAF_ON_PAPER, wind_up_fields, wind_up_of
from rules.crew.sheets.survey_place import DOWN, OUT, Place, right_side, right_was_measured
from rules.question import Choice, Given
from rules.replaced import replace
from rules.shop.entered import TOUCH_LABELS, TOUCHES
from rules.shop.findings import Finding
from rules.shop.fit_items import SURVEY
from rules.shop.ratio import MeasuredRatio
from rules.shop.sides import spring_rate_of
from rules.shop.spring_fit import by_inspection, is_loose
from rules.shop.survey import ENDS, least_travel, survey_findings
from rules.shop.surveyed import AxleTravel, CornerSurvey, LowPart, Survey
from rules.typed import Wanted, read
from rules.units import Quantity
from rules.wording import both, capital

PROCEDURE = (
    "Car down as raced first, springs in: lengths at ride height, heights, angles, both sides.",
    "Then on stands on a hard floor, chocked, engine cold; springs and bump rubbers out.",
    "Gas-charged dampers are not opened. Hold them by hand, nobody's fingers between the coils.",
    "Wheel on or a dummy of its size. Move it from full droop to metal-solid bump, by a lever or "
    "the floor under the wheel, not by a jack under a car that stands on nothing else.",
    "Measure damper and spring eye to eye at each wheel height, from droop up, ride height as 0.",
    "Steer lock to lock at both ends of the travel: joints, hoses, tyres, driveshaft, headers.",
    "Springs back in, collars at their marks, fasteners torqued to the maker's figure.",
)
PARTS = {
    "oil pan": ("Oil pan", "the oil pan"),
    "front part": ("Front lowest part", "the lowest part ahead of the front axle"),
    "middle part": ("Middle lowest part", "the lowest part between the axles"),
    "rear part": ("Rear lowest part", "the lowest part behind the rear axle"),
}
_NUMBERS = {
    "survey.front_limiters": "Front limiters, right less left",
    "survey.rear_limiters": "Rear limiters, right less left",
    "survey.wheelie_bars": "Wheelie bar heights, right less left",
    "survey.bump_steer": "Toe change of one wheel over travel",
    "survey.toe": "Front toe-in, both sides together",
    "survey.pinion_angle": "Pinion nose down to driveshaft",
    "survey.axle_square": "Rear axle out of square",
    "survey.rollout_difference": "Rear rollout, right less left",
}
_BARS, _THROUGH_TRAVEL = "survey.wheelie_bars", "survey.bump_steer"
_SIDES = (Choice("yes", "As on the left"), Choice("no", "Measure it too"))


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions as the work goes: the car down, then the springs out and through travel.

    Nothing is asked of a part that the car has not, nor of a spring after it is out.
    """
    for end in ENDS:
        yield from _as_raced(now, end)
    yield from _part_fields(now)
    entered = {key: one for key, one in _entered_fields() if key not in without(now)}
    yield from (one for key, one in entered.items() if key != _THROUGH_TRAVEL)
    for end in ENDS:
        for at in _measured_sides(now, end):
            yield from springs_out_fields(now, at)
    yield entered[_THROUGH_TRAVEL]
    for key, name in TOUCHES.items():
        yield SheetField(
            f"touch {key}", TOUCH_LABELS[key], f"{name}: does anything touch, pull or bind?", "one",
            choices=(Choice("no", "No, clear and free"), Choice("yes", "YES, it touches or binds")),
            stage=OUT,
        )  # fmt: skip


def without(now: Filling) -> frozenset[str]:
    """Return the entered numbers of parts that the car has not, as long as nobody gave them."""
    bars = now.car.wheelie_bars or now.said(_BARS)
    return frozenset() if bars else frozenset({_BARS})


def _part_fields(now: Filling) -> Iterator[SheetField]:
    for key, (label, name) in PARTS.items():
        yield length(
            key, f"{label} to road", question=f"How high is {name} at ride height?",
            hint="Tape to the road, as raced.", typical="geometry.ground_clearance", low=0.005,
            high=1.0, stage=DOWN,
        )  # fmt: skip
        if now.said(key):
            yield length(
                f"{key} ahead", f"  {label} ahead", low=-6.0, high=3.0, stage=DOWN,
                question=f"How far is {name} ahead of the front axle?",
                hint="Behind it with a minus: {-12 in|-300 mm}.",
                doubt=partial(_place_doubt, now, key),
            )  # fmt: skip


@cache
def _entered_fields() -> tuple[tuple[str, SheetField], ...]:
    return tuple((key, _entered_field(key, label)) for key, label in _NUMBERS.items())


def _entered_field(key: str, label: str) -> SheetField:
    one = TYPICAL[key]
    ends = (-0.5, 0.5) if one.quantity else (-20.0, 20.0)
    question = f"{capital(one.name)}?"
    asked = quantity(
        key, label, one.quantity, *ends, question=question, typical=key, unit=one.unit,
        stage=OUT if key == _THROUGH_TRAVEL else DOWN,
    )  # fmt: skip
    return replace(asked, typical="")


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


def _as_raced(now: Filling, end: AxleEnd) -> Iterator[SheetField]:
    left, right = Place("left", end), Place("right", end)
    yield from as_raced_fields(now, left)
    if not now.car.has_leaves(end):
        yield SheetField(
            f"{end} coil-over", f"{end.capitalize()} spring", f"Is the {end} spring on the damper?",
            "one", choices=YES_NO, stage=DOWN,
        )  # fmt: skip
    yield SheetField(
        f"{end} alike", f"{end.capitalize()} right side",
        f"Right {end}: as on the left, or measured too?", "one", choices=_SIDES, default="yes",
        hint="Mounts, collars and dampers may differ: what differs is told, side by side.",
        fault=partial(_alike_fault, now, end), stage=DOWN,
    )  # fmt: skip
    if right_side(now, end) == "measured":
        yield from as_raced_fields(now, right)
    yield length(
        f"{end} squash", f"{end.capitalize()} tyre squash", low=0.0, high=0.15, stage=DOWN,
        question=f"How much further is a {end} tyre pressed in at its hardest?",
        hint="Against standing still: a witness mark, a film, or the tyre rate.",
    )  # fmt: skip
    if now.car.has_leaves(end):
        yield from wind_up_fields(now, end)


def _measured_sides(now: Filling, end: AxleEnd) -> Iterator[Place]:
    yield Place("left", end)
    if right_side(now, end) == "measured":
        yield Place("right", end)


def _alike_fault(now: Filling, end: AxleEnd, value: Given) -> str:
    """Say that a right side that was measured is not taken as the left."""
    if value != "yes" or not right_was_measured(now, end):
        return ""
    return (
        f"found {_SIDES[0].label.lower()}, but the right side was measured: say its numbers again, "
        "or don't know"
    )


def survey_of(now: Filling) -> tuple[Survey, tuple[str, ...]]:
    """Return everything measured so far, and what of it does not go together, in words."""
    corners: dict[Corner, CornerSurvey] = {}
    misfits: list[str] = []
    for end in ENDS:
        left, right = Place("left", end), Place("right", end)
        one, wrong = corner_of(now, left)
        corners[left.corner] = one
        misfits += wrong
        match right_side(now, end):
            case "as left":
                corners[right.corner] = replace(one, as_other_side=True)
            case "measured":
                corners[right.corner], wrong = corner_of(now, right, one)
                misfits += wrong
    survey = Survey(
        corners=corners,
        base=now.car.geometry.wheelbase_m,
        parts=tuple(
            LowPart(name, clearance, ahead)
            for key, (_, name) in PARTS.items()
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
        leaves={end: wind_up_of(now, end) for end in ENDS if now.car.has_leaves(end)},
        without=without(now),
    )
    return survey, tuple(misfits)


def result(now: Filling) -> Result:
    """Return the whole list of findings, the spring rates it leads to, and what goes into the file.

    The rates are those of the car as surveyed, for what was last asked on their own sheet. Lengths
    that do not go together leave both out.
    """
    survey, misfits = survey_of(now)
    found = survey_findings(survey)
    if misfits:
        wrong = (f"{capital(one)}. Go back to the wrong one." for one in misfits)
        return Result(("Some lengths do not go together.", *wrong), found)
    edits = tuple(_edits(now, survey))
    rates = rate_findings(_as_surveyed(now.car, edits), now.state.settings, last_asked(now))
    return Result((), (*found, *rates), edits)


def _as_surveyed(car: Car, edits: tuple[Edit, ...]) -> Car:
    """Return the car with the survey's springs, ratios and travel, none of them a guess."""
    axles: dict[str, Axle] = {}
    for end in ENDS:
        axle: Axle = getattr(car, end)
        names = Axle.attributes()
        said = {names[str(edit.path[1])]: edit.value for edit in edits if edit.path[0] == end}
        axles[end] = axle.model_copy(update=said)
    measured = {".".join(map(str, edit.path)) for edit in edits}
    guesses = tuple(key for key in car.guesses if key not in measured)
    return car.model_copy(update={**axles, "guesses": guesses})


def stops(now: Filling) -> dict[str, str]:
    """Return what of the answers so far blocks advice, by inspection, a line for each finding."""
    survey, _ = survey_of(now)
    return by_inspection((one, _stop_line(one)) for one in survey_findings(survey))


def _stop_line(one: Finding) -> str:
    said = "the spring is loose" if is_loose(one) else "contact"
    if one.value is not None and one.quantity is not None:
        said += f", {both(one.value, one.quantity)}"
    return f"Travel survey, {one.name}: {said}."


def _edits(now: Filling, survey: Survey) -> Iterator[Edit]:
    """Yield what goes into the car file, one number for both sides of an axle.

    Ratios and spring rates are the mean of the sides that were measured, because an axle's wheel
    rate is the sum of both. Bump and droop are what both sides have, because a landing is over
    where the first side meets its stop; clearance and coils are checked with each side's own.
    """
    for end in ENDS:
        sides = [one for corner, one in survey.corners.items() if corner.endswith(end)]
        axle = getattr(now.car, end)
        ratio = _mean_ratio([one.damper_ratio for one in sides])
        if ratio is not None:
            yield Edit((end, "motion_ratio"), ratio, f"{end} motion ratio")
            if axle.damper_angle is not None:
                yield Edit((end, "damper_angle"), None, f"{end} damper angle, in the ratio already")
        yield from _spring_ratio_edit(now, end, _mean_ratio([one.spring_ratio for one in sides]))
        travel = least_travel(survey, end)
        for key, length_m in (("bump_travel", travel.bump), ("droop_travel", travel.droop)):
            if length_m is not None and length_m >= 0.001:
                name = f"{end} {key.replace('_', ' ')}"
                yield Edit((end, key), length_m, name, Quantity.LENGTH)
        rates = [rate for one in sides if (rate := spring_rate_of(one)) is not None]
        if rates:
            name = f"{end} spring rate"
            guess = any(one.leaf is not None and one.leaf.by_pack for one in sides)
            if not (guess and _is_measured(now.car, end)):
                yield Edit((end, "spring_rate"), fmean(rates), name, Quantity.SPRING_RATE, guess)
    lowest = min((part.clearance for part in survey.parts), default=None)
    if lowest is not None:
        yield Edit(("geometry", "ground_clearance"), lowest, "ground clearance", Quantity.LENGTH)


def _is_measured(car: Car, end: AxleEnd) -> bool:
    """Tell whether the file has a spring rate that is no guess."""
    key = f"{end}.spring_rate"
    return car.said(key) is not None and key not in car.guesses


def _spring_ratio_edit(now: Filling, end: AxleEnd, ratio: float | None) -> Iterator[Edit]:
    """Yield the spring's own ratio where it is off the damper; none where it is on it."""
    path, name = (end, "spring_motion_ratio"), f"{end} spring motion ratio"
    if now.car.has_leaves(end):
        return
    coil_over = now.said(f"{end} coil-over")
    if coil_over == "no" and ratio is not None:
        yield Edit(path, ratio, name)
    elif coil_over == "yes" and getattr(now.car, end).spring_motion_ratio is not None:
        yield Edit(path, None, f"{name}, on the damper")


def _mean_ratio(sides: Sequence[MeasuredRatio | None]) -> float | None:
    """Return the mean of the ratios that were measured, None where none was [-]."""
    measured = [one.ratio for one in sides if one is not None and one.error is not None]
    return float(f"{fmean(measured):.4g}") if measured else None


TRAVEL_SURVEY = Sheet(
    SURVEY,
    "Travel survey",
    fields,
    result,
    PROCEDURE,
    stops=stops,
    continues=True,
    on_paper=({**dict.fromkeys(PARTS, "1 in"), **LEAF_ON_PAPER},),
)
