"""What is looked at before the car goes out: the fit checks. Common practice, no source."""

from collections.abc import Mapping
from typing import NamedTuple

SURVEY = "travel survey"
HELD = ("fail", "unknown", "none")
"""Marks that do not lift a fail: nobody has put it right and looked."""


class Item(NamedTuple):
    """One check. `failed` says what is wrong; where it is a safety item, a fail blocks advice."""

    label: str
    question: str
    failed: str
    hint: str = ""
    safety: bool = True


ITEMS: Mapping[str, Item] = {
    "stands": Item(
        "Stands", "On stands, wheels chocked, engine off and cold?",
        "the car is not on stands", "Stands on a hard floor, never a jack alone.",
    ),
    "reach": Item(
        "Knobs reachable", "Every knob in reach, car on the ground, wheel on?",
        "a knob cannot be reached", "If not: Fitting dampers has the ways, by effort.",
        safety=False,
    ),
    "bind": Item(
        "Nothing binds", "Nothing binds through the full travel, springs out?",
        "something binds", "Bump to droop by hand, steered lock to lock.",
    ),
    "bearings": Item(
        "Bearing ends", "Damper ends turn freely, without play?",
        "a damper end is tight or has play", "Spacers on both sides, no side load on the shaft.",
    ),
    "hoses": Item(
        "Hoses, reservoirs", "Hoses and reservoirs clear and not kinked?",
        "a hose or reservoir is in the way",
        "Clear of heat, tyre, frame and road. Gas-charged parts are not opened.",
    ),
    "torque": Item(
        "Fasteners", "All fasteners torqued to the maker's figure?",
        "a fastener is not torqued", "The maker's figure, or a qualified person's.",
    ),
    "alike": Item(
        "Both sides alike", "Both sides set alike, or to the declared offset?",
        "the sides are set apart", "Counts, collars, mounts, limiter lengths.", safety=False,
    ),
    "clicks": Item(
        "Clicks agree", "All knobs click from end to end, as many as in the file?",
        "a knob's clicks do not agree", "By hand; never force an end. A wrong total is damage.",
    ),
    "rods": Item(
        "Rods return", "Do the rods return alike, left and right?",
        "a rod does not return like its twin", "One that lags or does not has lost gas or is bent.",
    ),
    "limiters": Item(
        "Limiters, bars", "Limiters and bars equal, square and free, mounts sound?",
        "limiters or bars are not equal, square and free",
    ),
    "droop": Item(
        "Full droop", "At full droop: joints, hoses, driveshaft, headers free?",
        "something pulls tight at full droop",
    ),
    "bump": Item(
        "Full bump", "At full bump: pan, tyres and coils clear?",
        "something touches at full bump", "Metal-solid, bump rubber out, by the survey.",
    ),
}  # fmt: skip
