"""What a damper is, asked once: maker, serial, lengths, reservoir, knobs and what is inside."""

from collections.abc import Iterator
from functools import partial

from rules.car.damper_record import DamperRecord, InsideStroke, Stroke
from rules.car.model import Car
from rules.crew.sheets.asking import YES_NO, length
from rules.crew.sheets.sheet import Filling, SheetField
from rules.question import Choice, Given
from rules.typed import Wanted, read
from rules.units import Quantity, show
from rules.wording import both

NOW, LATER = "now", "later"
STROKES: tuple[Stroke, ...] = ("compression", "rebound")
_TUBES = (Choice("mono tube", "Mono tube"), Choice("twin tube", "Twin tube"))
_RESERVOIRS = (
    Choice("none", "None"), Choice("on the body", "On the body"), Choice("on a hose", "On a hose"),
)  # fmt: skip
_HOSE_SIDES = (
    Choice("frame side", "Frame side, away from the tyre"), Choice("tyre side", "Tyre side"),
)  # fmt: skip
_BODY = (Choice("body up", "Body up"), Choice("body down", "Body down"))


def record_fields(now: Filling, at: str, axle: str, known: str = "") -> Iterator[SheetField]:
    """Ask for everything about one damper; the rest may wait once its stroke is said.

    at: what its answers go under.  axle: where it is to stand, empty where nobody knows yet.
    known: its id where it is described already.
    """
    yield _text(f"{at} maker", "Maker", "Who made it?", "As written on it.")
    yield SheetField(
        f"{at} serial", "Serial", "Its serial number?", "text", longest=60,
        hint="As written on it, so that this very damper is known again.",
        fault=partial(_serial_fault, now, at, known),
    )  # fmt: skip
    yield length(
        f"{at} stroke", "Stroke", question="Its stroke, shaft fully out to fully in?",
        hint="The maker's sheet, or a tape on the bench.", low=0.02, high=0.6,
        doubt=partial(_stroke_doubt, now, axle),
    )  # fmt: skip
    yield SheetField(
        f"{at} rest", "The rest", "Describe the rest of it now?", "one", unknown=False,
        choices=(Choice(NOW, "Now, a dozen short questions"), Choice(LATER, "Later, in the shop")),
    )  # fmt: skip
    if now.said(f"{at} rest") == NOW:
        yield from _rest(now, at)


def _rest(now: Filling, at: str) -> Iterator[SheetField]:
    yield length(f"{at} open", "Open length", question="Eye to eye, fully out?", low=0.1, high=1.5)
    yield length(
        f"{at} closed", "Closed length", question="Eye to eye, fully in?", low=0.05, high=1.4,
        fault=partial(_closed_fault, now, at),
    )  # fmt: skip
    yield _one(f"{at} tube", "Tube", "Mono tube or twin tube?", _TUBES)
    yield _text(
        f"{at} gas", "Gas, as noted", "Gas pressure, as its papers or its service note it?",
        "With unit and date. It is noted here and never set.",
    )  # fmt: skip
    yield _one(f"{at} reservoir", "Reservoir", "Has it a reservoir?", _RESERVOIRS)
    if now.said(f"{at} reservoir") == "on a hose":
        yield _text(
            f"{at} mount", "Reservoir mount", "Where is the reservoir bolted?", "The frame."
        )
        yield _one(f"{at} hose", "Hose", "On which side does the hose leave it?", _HOSE_SIDES)
    yield _one(f"{at} body", "Body", "Is it mounted body up or body down?", _BODY)
    yield _text(
        f"{at} knobs point", "Knobs point", "Where do its knobs point?",
        "Such as: to the wheel, forward, down at the axle.",
    )  # fmt: skip
    yield SheetField(
        f"{at} outside", "Valving from outside", "Does it take a valving from outside?", "one",
        choices=YES_NO, hint="Only where its own sheet says so.",
    )  # fmt: skip
    for stroke in STROKES:
        yield _text(
            f"{at} {stroke}", f"In {stroke}", f"Which valving and shims are in its {stroke}?",
            "In your own words; the name of its dyno table if there is one.",
        )  # fmt: skip
    yield _text(
        f"{at} spares", "In the trailer", "What of it is in the trailer?",
        "Packs, shims, seals, tools.",
    )  # fmt: skip


def _text(key: str, label: str, question: str, hint: str) -> SheetField:
    return SheetField(key, label, question, "text", hint=hint, longest=120)


def _one(key: str, label: str, question: str, choices: tuple[Choice, ...]) -> SheetField:
    return SheetField(key, label, question, "one", choices=choices)


def _serial_fault(now: Filling, at: str, known: str, value: Given) -> str:
    """Say that a serial is another damper's, or nothing."""
    typed = str(value).strip().casefold()
    maker = now.said(f"{at} maker").casefold()
    dampers = now.state.dampers
    for one in dampers.records.values():
        same = one.serial.strip().casefold() == typed and one.maker.casefold() in (maker, "")
        if same and one.id != known:
            where = dampers.where(one.id)
            stands = f"on the {where}" if where else "off the car"
            return f"found {value}, which {one.name} has, {stands}; wanted its own, or leave it out"
    others = [key for key in now.answers if key.endswith(" serial") and key != f"{at} serial"]
    for key in others:
        if now.said(key).strip().casefold() == typed:
            return f"found {value} twice; wanted a serial for each damper, or leave it out"
    return ""


def travel_at_damper(car: Car, axle: str) -> float | None:
    """Return the travel there is at a damper of an axle [m], from full droop to full bump.

    The wheel's bump and droop travel times damper travel over wheel travel; None where the car
    file does not say all three.
    """
    if axle not in ("front", "rear"):
        return None
    end = getattr(car, axle)
    if None in (end.bump_travel_m, end.droop_travel_m, end.damper_ratio):
        return None
    return float((end.bump_travel_m + end.droop_travel_m) * end.damper_ratio)


def stroke_short(car: Car, axle: str, stroke_m: float | None) -> str:
    """Say that a stroke is shorter than the travel there is, or nothing."""
    travel = travel_at_damper(car, axle)
    if travel is None or stroke_m is None or stroke_m >= travel:
        return ""
    has, wants = both(stroke_m, Quantity.LENGTH), both(travel, Quantity.LENGTH)
    return f"Stroke {has} is shorter than the travel there is, {wants}: it would be the stop."


def _stroke_doubt(now: Filling, axle: str, value: Given) -> str:
    return stroke_short(now.car, axle, read(str(value), _LENGTH, now.system))


_LENGTH = Wanted("length", Quantity.LENGTH)


def _closed_fault(now: Filling, at: str, value: Given) -> str:
    closed = read(str(value), _LENGTH, now.system)
    opened = now.si(f"{at} open", Quantity.LENGTH)
    if closed is None or opened is None:
        return ""
    if closed >= opened:
        return f"found {value}; wanted less than its open length, {_shown(opened, now)}"
    stroke = now.si(f"{at} stroke", Quantity.LENGTH)
    if stroke is not None and opened - closed < stroke - 1e-9:
        between = _shown(opened - closed, now)
        return f"found {value}, which leaves {between}; wanted room for its stroke"
    return ""


def _shown(value: float, now: Filling) -> str:
    return show(value, Quantity.LENGTH, now.system)


def record_of(now: Filling, at: str, damper: str, was: DamperRecord | None = None) -> DamperRecord:
    """Return a damper as it was answered; what was not said stays as it was."""
    words = {
        "maker": now.said(f"{at} maker"), "serial": now.said(f"{at} serial"),
        "gas": now.said(f"{at} gas"), "reservoir": now.said(f"{at} reservoir"),
        "reservoir_mount": now.said(f"{at} mount"), "hose_side": now.said(f"{at} hose"),
        "tube": now.said(f"{at} tube"), "body": now.said(f"{at} body"),
        "knobs_point": now.said(f"{at} knobs point"), "spares": now.said(f"{at} spares"),
    }  # fmt: skip
    lengths = {
        f"{key}_m": now.si(f"{at} {key}", Quantity.LENGTH) for key in ("stroke", "open", "closed")
    }
    outside = now.said(f"{at} outside")
    said: dict[str, object] = {key: value for key, value in words.items() if value}
    said |= {key: value for key, value in lengths.items() if value is not None}
    said |= {"from_outside": outside == "yes"} if outside else {}
    packs = {stroke: now.said(f"{at} {stroke}") for stroke in STROKES}
    inside = {stroke: _inside(now.car, words) for stroke, words in packs.items() if words}
    before = was.model_dump() if was else {}
    strokes = {**(was.strokes if was else {}), **inside}
    return DamperRecord.model_validate({**before, **said, "id": damper, "strokes": strokes})


def _inside(car: Car, words: str) -> InsideStroke:
    """Return what is in a stroke: a valving of the stock by its name, anything else as shims."""
    owned = {one.name for one in car.stock if one.kind == "valving"}
    return InsideStroke(valving=words) if words in owned else InsideStroke(shims=words)


def what_is_wrong(car: Car, record: DamperRecord, axle: str) -> list[str]:
    """Return what of a damper does not go with where it stands: its stroke, its hose."""
    found = [stroke_short(car, axle, record.stroke_m)]
    if record.hose_side == "tyre side":
        found.append("Hose on the tyre side: the tyre or the road takes it; turn the body first.")
    return [words for words in found if words]
