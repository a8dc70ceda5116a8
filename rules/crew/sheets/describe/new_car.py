"""Describing a new car: first what advice needs, then what narrows it, and a file at any time."""

from collections.abc import Iterator, Mapping
from functools import partial
from typing import get_args

from rules.car.edits import in_file
from rules.car.model import RearSuspension
from rules.car.usual import QUANTITIES
from rules.crew.sheets.asking import YES_NO, asked, name_of, quantity
from rules.crew.sheets.describe.knobs import (
    NONE,
    agreed,
    count_from_field,
    firmer_field,
    knob_fields,
    knob_tables,
    not_yet,
)
from rules.crew.sheets.describe.rank import BARS_KEY, HOW
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.question import UNKNOWN, Choice, Given
from rules.units import UNITS, Quantity, System
from rules.wording import both, capital

ID = "new car"
BARS = "wheelie bars"
TYRE = "rear tyre"
MORE = "more"
# What narrows the advice most comes first, as the launch model ranks the shipped cars; ranked anew
# at each question it takes 0.1 s (8 to 128 cars alike) and moves what Backspace goes back to.
NARROWING = (
    "geometry.cg_height", "launch.peak_g",
    "front.bump_travel", "front.droop_travel", "front.spring_rate", "front.motion_ratio",
    "rear.spring_rate", "rear.motion_ratio", "rear.bump_travel", "rear.droop_travel",
    "front.tyre_diameter", "geometry.ground_clearance",
)  # fmt: skip
# Those of them that a crew can hardly measure at home are kept as guesses.
AS_GUESSES = frozenset(
    {"geometry.cg_height", "launch.peak_g", "front.motion_ratio", "rear.motion_ratio"}
)
PROCEDURE = (
    "Every answer is kept at once; don't know is an answer, and everything can be said later.",
    f"Total weight: {HOW['masses.total']}",
    f"Wheelbase: {HOW['geometry.wheelbase']}",
    "Counting clicks: turn the knob gently to the end the crew counts from, and count: that is "
    "today's count. Then count from end to end, and back to it. Never force an end.",
    "Firmer: the arrow or letters on the knob, the maker's sheet, or leave it open.",
    "Which knob is which: the maker's sheet. If nobody knows, one knob that moves both ways.",
    f"Front axle weight: both front scales together. {HOW['masses.left_front']}",
    *(f"{capital(name_of(key))}: {HOW[key]}" for key in NARROWING),
)
GUESSED = "A guess is welcome: it is kept as one."


def fields(now: Filling) -> Iterator[SheetField]:
    """Return every question so far as the answers tell; at most thirty to the first advice."""
    yield SheetField(
        "name", "Name", "What is the car called?", "text", hint="As the screen shall show it.",
        unknown=False, longest=40, default="Our car",
    )  # fmt: skip
    yield SheetField(
        "units", "Units", "Which units does the crew think in?", "one",
        choices=(Choice("us", "lb, in, psi"), Choice("metric", "kg, mm, kPa")),
        hint="Either can be typed anywhere, with its unit behind it: 54 in, 1370 mm, 1 3/8 in.",
        default="us", unknown=False,
    )  # fmt: skip
    kinds = tuple(Choice(kind, kind.capitalize()) for kind in get_args(RearSuspension))
    yield SheetField(
        "rear suspension", "Rear suspension", "How is the rear axle located?", "one", choices=kinds
    )
    yield SheetField(
        BARS, "Wheelie bars", "Are wheelie bars fitted?", "one", choices=YES_NO,
    )  # fmt: skip
    yield SheetField(
        TYRE, "Rear tyre", "What kind of rear tyre?", "one",
        choices=(
            Choice("radial", "Radial slick"),
            Choice("bias slick", "Bias slick"),
            Choice("drag radial", "Drag radial"),
            Choice("street", "Street tyre"),
            Choice("other", "Another kind"),
        ),
        hint="It decides which way its pressure is turned, and how far.",
    )  # fmt: skip
    for key, label, question, hint in (
        ("masses.total", "Total weight", "What does the whole car weigh?",
         "As raced: fuel in, driver aboard."),
        ("geometry.wheelbase", "Wheelbase", "How long is the wheelbase?",
         "Front axle to rear axle."),
    ):  # fmt: skip
        yield quantity(
            key, label, QUANTITIES[key], *asked(key), question=question, hint=hint, typical=key
        )
    yield count_from_field()
    yield firmer_field()
    yield from knob_fields(now, "front")
    yield from knob_fields(now, "rear")
    yield SheetField(
        MORE, "Go on", "That is enough for a first advice. Go on with what narrows it most?", "one",
        choices=(Choice("no", "Open the car now"), Choice("yes", "Say more; F9 stops at any time")),
        hint="The rest can be measured and said later, in the shop: j in the pits.", unknown=False,
        default="no",
    )  # fmt: skip
    if now.said(MORE) == "yes":
        yield from _narrowing(now)


def _narrowing(now: Filling) -> Iterator[SheetField]:
    total = now.si("masses.total", Quantity.MASS)
    if total is not None:
        yield quantity(
            "front weight", "Front axle weight", Quantity.MASS, 0.2 * total, 0.8 * total,
            question="How much of it is on the front axle?",
            hint="Both front wheels together; each side is kept as half of it, as a guess.",
        )  # fmt: skip
    wheelbase = now.si("geometry.wheelbase", Quantity.LENGTH)
    for key in NARROWING:
        low, high = asked(key)
        most = min(high, 0.99 * wheelbase) if key == "geometry.cg_height" and wheelbase else high
        label = name_of(key)
        label = capital(label)
        hint = GUESSED if key in AS_GUESSES else ""
        yield quantity(
            key, label, QUANTITIES[key], low, most,
            hint=hint, typical=key, doubt=partial(_travel_doubt, now, key),
        )  # fmt: skip


def _travel_doubt(now: Filling, key: str, value: Given) -> str:
    """Doubt a clearance that the front's bump travel would use up, tyres not yet squashed."""
    bump = now.si("front.bump_travel", Quantity.LENGTH)
    clearance = now.si(key, Quantity.LENGTH) if key == "geometry.ground_clearance" else None
    if bump is None or clearance is None or clearance > bump:
        return ""
    return f"No more than the front bump travel, {both(bump, Quantity.LENGTH)}: it meets the road."


def enough(now: Filling) -> bool:
    """Tell whether a car can be made of it: everything up to the knobs is answered."""
    return MORE in now.answers


def result(now: Filling) -> Result:
    """Say what stands, and what is to be measured next and how."""
    says = [f"{now.said('name')} is ready for its first pass.", *agreed(now), *not_yet(now)]
    if now.answers.get(BARS) == UNKNOWN:
        says.append(
            "Wheelie bars: the file says fitted, as a guess, so that a high front is asked what "
            "they did. Look, then say it in the shop: j, 1."
        )
    return Result(says=tuple(says))


def car_tables(now: Filling) -> dict[str, object]:
    """Return the car as its file says it, in the file's units."""
    system: System = "metric" if now.said("units") == "metric" else "us"
    tables: dict[str, dict[str, object]] = {}
    # Fitted is the cautious guess: with bars a pass is asked about them, and a hit blocks advice.
    guesses = [BARS_KEY] if now.answers.get(BARS) == UNKNOWN else []
    for key in ("masses.total", "geometry.wheelbase", *NARROWING):
        what = QUANTITIES[key]
        value = now.si(key, what)
        if value is None:
            continue
        table, _, name = key.partition(".")
        tables.setdefault(table, {})[name] = in_file(value, what, system)
        if key in AS_GUESSES:
            guesses.append(key)
    if tyre := now.said(TYRE):
        tables.setdefault("rear", {})["tyre"] = tyre
    corners = _corner_weights(now, system)
    tables.setdefault("masses", {}).update(corners)
    guesses += [f"masses.{name}" for name in corners]
    dampers = [
        {"corner": corner, "knobs": knobs}
        for axle in ("front", "rear")
        for corner, knobs in knob_tables(now, axle).items()
        # A damper that has nothing to turn is in the file; one that nobody looked at is not.
        if knobs or NONE in now.many(f"{axle} knobs")
    ]
    return {
        "name": now.said("name"),
        "units": system,
        "rear_suspension": now.said("rear suspension") or "other",
        BARS_KEY: now.said(BARS) == "yes" or BARS_KEY in guesses,
        "guesses": guesses,
        **tables,
        "dampers": dampers,
    }


def _corner_weights(now: Filling, system: System) -> Mapping[str, object]:
    total, front = (now.si(key, Quantity.MASS) for key in ("masses.total", "front weight"))
    if total is None or front is None:
        return {}
    halves = {"left_front": front, "right_front": front}
    halves |= {"left_rear": total - front, "right_rear": total - front}
    return {key: in_file(both / 2, Quantity.MASS, system) for key, both in halves.items()}


def unit_of(quantity: Quantity | None, system: System) -> str:
    """Return the unit a file in these units writes a quantity in."""
    return UNITS[quantity, system].name if quantity else ""


NEW_CAR = Sheet(ID, "Describe a new car", fields, result, PROCEDURE, enough=enough)
