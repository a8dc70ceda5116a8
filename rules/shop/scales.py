"""The car on four scales: what each pair of wheels carries, and what to doubt. SI throughout.

Sources: statics of the standing car (moments about an axle), as in T. D. Gillespie, Fundamentals of
Vehicle Dynamics, chapter 1, from memory. Limits and procedure are common practice, no source.
"""

from dataclasses import dataclass
from math import isfinite

from rules.shop.findings import Finding, Level, unknown
from rules.units import SYSTEMS, UNITS, Quantity, from_si
from rules.wording import both

PROCEDURE = (
    "Weigh as raced: driver in the seat with helmet and gear, fuel and water as staged. "
    "Write down how much fuel.",
    "Set all four tyres to race pressure, cold, with the same gauge.",
    "Put the scales level with each other, within {1/8 in|3 mm}; shim the low pads. "
    "Zero them empty.",
    "Unhook the anti-roll bar at one end; wheelie bars must touch nothing.",
    "Set the knobs as raced. Steering straight, brakes off, gearbox in neutral.",
    "Roll on to the scales, push each end down and let it come up by itself, roll a turn back and "
    "forth to settle the tyres.",
    "Read all four with nobody leaning on the car. Roll off, roll on, read again: where the two "
    "differ by more than {5 lb|2 kg}, look for bind or a pad that is not level.",
    "Hook the anti-roll bar up again without preload, or to the preload you race with. "
    "Chock the wheels before anybody goes near; never under a car on a jack alone.",
)
TOTALS_WITHIN = 0.01
SIDES_WITHIN = 0.05
CROSS_WITHIN = 0.02
AGAIN_WITHIN_KG = 2.3


@dataclass(frozen=True)
class Corners:
    """What the four scales read [kg]."""

    left_front: float
    right_front: float
    left_rear: float
    right_rear: float

    def __post_init__(self) -> None:
        for name, value in self.by_name().items():
            if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
                raise ValueError(f"{name}: found {value}, wanted a weight above 0")

    def by_name(self) -> dict[str, float]:
        """Return each corner's reading by its name [kg]."""
        return {
            "left front": self.left_front,
            "right front": self.right_front,
            "left rear": self.left_rear,
            "right rear": self.right_rear,
        }

    @property
    def total(self) -> float:
        """All four [kg]."""
        return self.front + self.rear

    @property
    def front(self) -> float:
        """Both front wheels [kg]."""
        return self.left_front + self.right_front

    @property
    def rear(self) -> float:
        """Both rear wheels [kg]."""
        return self.left_rear + self.right_rear

    @property
    def left(self) -> float:
        """Both left wheels [kg]."""
        return self.left_front + self.left_rear

    @property
    def right(self) -> float:
        """Both right wheels [kg]."""
        return self.right_front + self.right_rear

    @property
    def cross(self) -> float:
        """Right front and left rear together [kg]."""
        return self.right_front + self.left_rear


def axle_distances(front: float, rear: float, base: float) -> tuple[float, float]:
    """Return how far the centre of gravity is from the front and from the rear axle [m].

    front, rear: axle weights [kg].  base: wheelbase [m].
    Formula: a = L W_r / W, b = L W_f / W, moments about an axle.

    Raises:
        ValueError: a weight or wheelbase not above 0.
    """
    for name, value in (("front", front), ("rear", rear), ("wheelbase", base)):
        if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
            raise ValueError(f"{name}: found {value}, wanted a number above 0")
    return base * rear / (front + rear), base * front / (front + rear)


def off_centre(corners: Corners, front_track: float, rear_track: float) -> float:
    """Return how far the centre of gravity is to the right of the middle [m].

    front_track, rear_track: centre to centre of the tyres [m].
    Formula: ((RF - LF) t_f + (RR - LR) t_r) / 2 W, moments about the middle line.
    """
    across = (corners.right_front - corners.left_front) * front_track
    across += (corners.right_rear - corners.left_rear) * rear_track
    return across / (2.0 * corners.total)


def weighed(
    corners: Corners, *, total: float | None = None, base: float | None = None,
    tracks: tuple[float | None, float | None] = (None, None), last: Corners | None = None,
) -> tuple[Finding, ...]:  # fmt: skip
    """Return the findings of a weighing, always in the same order.

    total: of another scale or the car file [kg].  base: wheelbase [m].  tracks: front and rear
    [m].  last: weighing before.
    """
    return (
        *_sums(corners),
        _against_total(corners, total),
        *(_sides(end, corners) for end in ("front", "rear")),
        *_distances(corners, base),
        _across(corners, *tracks),
        *(changed(last, corners) if last is not None else ()),
    )


def changed(last: Corners, now: Corners) -> tuple[Finding, ...]:
    """Return what each number moved by since the last weighing [kg]."""
    pairs = [(name, was, now.by_name()[name]) for name, was in last.by_name().items()]
    pairs += [
        (name, getattr(last, name), getattr(now, name))
        for name in ("total", "front", "rear", "left", "right", "cross")
    ]
    return tuple(_change(name, was, is_now) for name, was, is_now in pairs)


def read_again(first: Corners, again: Corners) -> Finding:
    """Return how well two readings of the same car agree: the worst corner [kg]."""
    before = first.by_name()
    corner, off = max(
        ((name, abs(value - before[name])) for name, value in again.by_name().items()),
        key=lambda one: one[1],
    )
    good = off <= AGAIN_WITHIN_KG
    advice = "" if good else " Look for bind, a pad that is not level, or tyres not rolled free."
    return Finding(
        "read again", off, Quantity.MASS, "ok" if good else "look",
        f"The two readings differ by {both(off, Quantity.MASS)} at most, {corner}.{advice}",
    )  # fmt: skip


def _sums(corners: Corners) -> tuple[Finding, ...]:
    total = corners.total
    found = [Finding("total", total, Quantity.MASS, "ok", f"{both(total, Quantity.MASS)} in all.")]
    for name in ("front", "rear", "left", "right"):
        value = getattr(corners, name)
        says = f"{both(value, Quantity.MASS)} on the {name}, {100 * value / total:.1f} %."
        found.append(Finding(name, value, Quantity.MASS, "ok", says))
    share = corners.cross / total
    level: Level = "ok" if abs(share - 0.5) <= CROSS_WITHIN else "look"
    says = (
        f"{both(corners.cross, Quantity.MASS)} on right front and left rear together, "
        f"{100 * share:.1f} %."
    )
    if level == "look":
        says += " Crews mostly stay within 48 to 52 %; a deliberate preload may show here."
    return (*found, Finding("cross weight", corners.cross, Quantity.MASS, level, says))


def _against_total(corners: Corners, total: float | None) -> Finding:
    name = "corners against total"
    if total is None:
        return unknown(name, "the car's total weight from elsewhere", Quantity.MASS)
    off = corners.total - total
    good = abs(off) <= TOTALS_WITHIN * total
    says = f"The corners make {both(corners.total, Quantity.MASS)}, "
    says += f"the total given is {both(total, Quantity.MASS)}."
    if not good:
        says += " More than 1 % apart: one of them is wrong, or fuel or driver differ."
    return Finding(name, off, Quantity.MASS, "ok" if good else "look", says)


def _sides(end: str, corners: Corners) -> Finding:
    by_name = corners.by_name()
    left, right = by_name[f"left {end}"], by_name[f"right {end}"]
    off = right - left
    good = abs(off) <= SIDES_WITHIN * (left + right)
    heavier = "right" if off > 0.0 else "left"
    says = f"The {heavier} {end} carries {both(abs(off), Quantity.MASS)} more than the other side."
    if not good:
        says += " Over 5 % of the axle: meant? Or a preloaded link or bar, a pad off level?"
    return Finding(f"{end} sides", off, Quantity.MASS, "ok" if good else "look", says)


def _distances(corners: Corners, base: float | None) -> tuple[Finding, ...]:
    names = ("centre of gravity behind front axle", "centre of gravity ahead of rear axle")
    if base is None:
        return tuple(unknown(name, "the wheelbase", Quantity.LENGTH) for name in names)
    values = axle_distances(corners.front, corners.rear, base)
    axles = ("behind the front axle", "ahead of the rear axle")
    return tuple(
        Finding(
            name, value, Quantity.LENGTH, "ok",
            f"The centre of gravity is {both(value, Quantity.LENGTH)} {axle}.",
        )
        for name, value, axle in zip(names, values, axles, strict=True)
    )  # fmt: skip


def _across(corners: Corners, front_track: float | None, rear_track: float | None) -> Finding:
    name = "centre of gravity across"
    if front_track is None or rear_track is None:
        return unknown(name, "both tracks", Quantity.LENGTH)
    off = off_centre(corners, front_track, rear_track)
    side = "right" if off > 0.0 else "left"
    says = f"The centre of gravity is {both(abs(off), Quantity.LENGTH)} {side} of the middle."
    return Finding(name, off, Quantity.LENGTH, "ok", says)


def _change(name: str, was: float, now: float) -> Finding:
    off = now - was
    halves = (
        _against_last(UNITS[Quantity.MASS, system].name, from_si(off, Quantity.MASS, system))
        for system in SYSTEMS
    )
    says = f"{both(now, Quantity.MASS)} now, {{{'|'.join(halves)}}}."
    return Finding(f"{name}, change", off, Quantity.MASS, "ok", says)


def _against_last(unit: str, off: float) -> str:
    whole = round(off)
    if not whole:
        return "as last time"
    return f"{abs(whole)} {unit} {'more' if whole > 0 else 'less'} than last time"
