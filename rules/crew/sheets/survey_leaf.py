"""What the travel survey asks a leaf spring: its rates, its pack, and what winds the axle up."""

from collections.abc import Iterator

from rules.car.model import AxleEnd
from rules.crew.sheets.asking import YES_NO, length, quantity
from rules.crew.sheets.sheet import Filling, SheetField
from rules.crew.sheets.survey_place import DOWN, Place
from rules.question import UNKNOWN, Choice
from rules.replaced import replace
from rules.shop.leaf import NOTHING, Leaf, LeafPack, WindUp
from rules.units import Quantity

_DEVICES = (
    "Bars under the leaves, to the front eye", "Linked bars, pivoting at the front eye",
    "Pinion snubber", "Clamped front halves", NOTHING,
)  # fmt: skip
_BY_WEIGHTS = "Weight added over one wheel, over how far it went down; or the maker's figure."
LEAF_ON_PAPER = {
    f"{end} {key}": said
    for end in ("front", "rear")
    for key, said in (("device", _DEVICES[0]), ("spring rate", UNKNOWN), ("pack", "yes"))
}
"""What opens all that a leaf is asked: its device's gaps, and its pack where no rate is known."""


def leaf_side_fields(now: Filling, at: Place) -> Iterator[SheetField]:
    """Ask for one leaf's rate either way, under the car's weight; else for its pack."""
    corner = at.corner.capitalize()
    for key, way, hint in (
        ("spring rate", "into bump", _BY_WEIGHTS),
        ("spring rate in droop", "into droop", "Where it differs: unloaded, it is often softer."),
    ):
        yield quantity(
            at.key(key), at.label(f"leaf rate {way}"), Quantity.SPRING_RATE, 500.0, 1e6,
            question=f"{corner} leaf: rate {way}?", hint=hint, stage=DOWN, other=at.other(key),
            typical=f"{at.end}.spring_rate" if key == "spring rate" else "",
        )  # fmt: skip
    if at.key("spring rate") not in now.answers or now.said(at.key("spring rate")):
        return
    yield SheetField(
        at.key("pack"), at.label("leaf by its pack"),
        f"{corner} leaf: reckon the rate from its leaves?", "one", choices=YES_NO, default="no",
        hint="Their number, width, thickness and length: a guess, to within 15 % or so.",
        unknown=False, stage=DOWN,
    )  # fmt: skip
    if now.said(at.key("pack")) != "yes":
        return
    yield replace(
        quantity(
            at.key("leaves"), at.label("number of leaves"), None, 1.0, 20.0,
            question=f"{corner} leaf: how many leaves?", hint="With the main leaf.", stage=DOWN,
        ),
        doubt=lambda value: "" if str(value).strip().isdecimal() else "Leaves come whole.",
    )  # fmt: skip
    for key, words, low, high, hint in (
        ("leaf width", "how wide", 0.02, 0.15, "Of one leaf."),
        (
            "leaf thickness",
            "how thick",
            0.003,
            0.03,
            "Of one leaf, by calliper: it counts threefold.",
        ),
        ("front half", "centre bolt to front eye", 0.15, 1.2, "Along the flat leaf."),
        ("rear half", "centre bolt to rear eye", 0.15, 1.2, "Along the flat leaf."),
    ):
        yield length(
            at.key(key), at.label(key), low=low, high=high, hint=hint, stage=DOWN,
            question=f"{corner} leaf: {words}?",
        )  # fmt: skip


def wind_up_fields(now: Filling, end: AxleEnd) -> Iterator[SheetField]:
    """Ask what holds an axle on leaves from winding up, and how far it does."""
    name = end.capitalize()
    yield SheetField(
        f"{end} device", f"{name} traction device", f"What holds the {end} axle from winding up?",
        "one", choices=tuple(Choice(one, one) for one in _DEVICES), stage=DOWN,
        hint="Whatever takes the twist of the axle that the leaves would take alone.",
    )  # fmt: skip
    if now.said(f"{end} device") not in ("", NOTHING):
        for side in ("left", "right"):
            yield length(
                f"{end} gap {side}", f"{name} device gap, {side}", low=0.0, high=0.2, stage=DOWN,
                question=f"{side.capitalize()} {end}: how much gap has it at ride height?",
                hint="To what it meets: leaf, frame or body. 0 where it touches.",
            )  # fmt: skip
    yield quantity(
        f"{end} rise", f"{name} pinion rise under thrust", None, 0.0, 20.0, unit="deg", stage=DOWN,
        question="How far does the pinion nose rise under thrust?",
        hint="Off a film from the side, against the body; it winds the leaves up.",
    )  # fmt: skip


def leaf_of(now: Filling, at: Place) -> Leaf | None:
    """Return what is known of a leaf; None without a rate and without a whole pack."""
    bump = now.si(at.key("spring rate"), Quantity.SPRING_RATE)
    if bump is not None:
        return Leaf(bump, now.si(at.key("spring rate in droop"), Quantity.SPRING_RATE))
    leaves = now.si(at.key("leaves"))
    keys = ("leaf width", "leaf thickness", "front half", "rear half")
    sizes = [now.si(at.key(key), Quantity.LENGTH) for key in keys]
    known = [one for one in sizes if one]
    if leaves is None or leaves < 1.0 or len(known) < len(keys):
        return None
    return Leaf(LeafPack(round(leaves), *known).rate, by_pack=True)


def wind_up_of(now: Filling, end: AxleEnd) -> WindUp:
    """Return what is known of an axle's wind-up."""
    return WindUp(
        device=now.said(f"{end} device"),
        gap_left=now.si(f"{end} gap left", Quantity.LENGTH),
        gap_right=now.si(f"{end} gap right", Quantity.LENGTH),
        rise=now.si(f"{end} rise"),
        nose_down=now.si("survey.pinion_angle"),
    )
