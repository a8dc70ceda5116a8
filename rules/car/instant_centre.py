"""Where the rear axle's instant centre is, from the places of its links, and how it wanders.

Seen from the side the lines of the upper and the lower link cross in the instant centre: about it
the axle turns against the body at that moment, and through it all that the links push goes. A
ladder bar turns about its front end. SI; places are ahead of the rear axle's centre and above the
ground, the car standing as raced.

Sources: W. F. and D. L. Milliken, Race Car Vehicle Dynamics, chapter 17; T. D. Gillespie,
Fundamentals of Vehicle Dynamics, chapter 7 (solid axle on four links). From memory, the books were
not opened. How the centre wanders is our own derivation, see `wander`.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from rules.car.links import FOUR_ENDS, LinkEnd
from rules.car.model import Car, Lever

Spot = tuple[float, float]

# Nearer than this, or behind it, no car runs; further off the lines are as good as side by side,
# and a bolt's width says where they cross.
NEAREST_M, FURTHEST_M = 0.3, 10.0


@dataclass(frozen=True)
class InstantCentre:
    """Where the links' lines cross.

    ahead, height: of the rear axle's centre, over the ground [m].
    wanders: how far it goes ahead and up in the body per metre of the axle's compression [-];
    None where only the place is known.
    """

    ahead: float
    height: float
    wanders: Spot | None = None

    @property
    def ratio(self) -> float:
        """What the thrust lifts of the body, over the thrust, at static ride height [-]."""
        return self.height / self.ahead

    def rates(self, axle_height: float) -> tuple[float, float] | None:
        """Return what a metre of compression adds to 1 / ahead [1/m2] and to the slope [1/m].

        The slope is that of the line to the centre from the axle, `axle_height` over the ground
        [m]: (height - axle_height) / ahead.
        """
        if self.wanders is None:
            return None
        on, up = self.wanders
        turn = -on / self.ahead**2
        return turn, (up - 1.0) / self.ahead + (self.height - axle_height) * turn


def crossing(ends: Mapping[LinkEnd, Spot]) -> InstantCentre | None:
    """Return where the lines of two links cross, and how that place wanders with travel.

    ends: the four of `FOUR_ENDS`.  None where the lines run side by side.
    On a line from F, at the body, by d = R - F to the axle's end: C = F + share d.
    """
    spots = [ends[end] for end in FOUR_ENDS]
    (fu, ru), (fl, rl) = spots[:2], spots[2:]
    du, dl = _minus(ru, fu), _minus(rl, fl)
    side = _cross(du, dl)
    if abs(side) < 1e-9:
        return None
    apart = _minus(fl, fu)
    upper, lower = _cross(apart, dl) / side, _cross(apart, du) / side
    ahead, height = fu[0] + upper * du[0], fu[1] + upper * du[1]
    if abs(ahead) < 1e-9:
        return None
    return InstantCentre(ahead, height, wander(ahead, (upper, du), (lower, dl)))


def wander(ahead: float, upper: tuple[float, Spot], lower: tuple[float, Spot]) -> Spot:
    """Return how far the crossing goes ahead and up in the body per metre of compression [-].

    upper, lower: of each link C's share of it, and the way d from its front to its rear end.
    The axle turns by w = -1 / ahead per metre about C, so a link's line turns about its front end
    by w (1 - share), and C, which stays on both lines, moves so that

      (1) C' . n = w share (1 - share) |d|^2, n = (-dz, dx), for each link.
    """
    turn = -1.0 / ahead
    (au, du), (al, dl) = upper, lower
    nu, nl = (-du[1], du[0]), (-dl[1], dl[0])
    gu, gl = (
        turn * share * (1.0 - share) * (d[0] ** 2 + d[1] ** 2) for share, d in ((au, du), (al, dl))
    )
    side = _cross(nu, nl)
    return (gu * nl[1] - gl * nu[1]) / side, (gl * nu[0] - gu * nl[0]) / side


def link_levers(car: Car) -> tuple[Lever, ...]:
    """Return the levers that move a link's end between places that the file gives."""
    return tuple(one for one in car.levers if one.moves is not None and one.places)


def instant_centre(
    car: Car, settings: Mapping[str, float], rear_up: float = 0.0, front_up: float = 0.0
) -> InstantCentre | None:
    """Return the instant centre at these settings; None where the file does not give the links.

    settings: by adjuster id; an absent one stands where the car file starts it.
    rear_up, front_up: how far the body stands above where the file has it, at each axle [m].
    None as well where the lines cross nearer than `NEAREST_M`, behind the axle or beyond
    `FURTHEST_M`.
    """
    moved: dict[LinkEnd, Spot] = {}
    for lever in link_levers(car):
        at = int(settings.get(lever.id, lever.start_number))
        if lever.moves is None or not 0 <= at < len(lever.places):
            return None
        moved[lever.moves] = (lever.places[at].ahead_m, lever.places[at].height_m)
    found = _found(car, moved, rear_up, front_up)
    return found if found is not None and NEAREST_M <= found.ahead <= FURTHEST_M else None


def _found(
    car: Car, moved: Mapping[LinkEnd, Spot], rear_up: float, front_up: float
) -> InstantCentre | None:
    def with_body(spot: Spot) -> Spot:
        share = spot[0] / base if (base := car.geometry.wheelbase_m) else 0.0
        return spot[0], spot[1] + rear_up * (1.0 - share) + front_up * share

    if "bar front" in moved:
        return InstantCentre(*with_body(moved["bar front"]), (0.0, 0.0))
    if "instant centre" in moved:
        return InstantCentre(*moved["instant centre"])
    ends: dict[LinkEnd, Spot] = {}
    for end in FOUR_ENDS:
        place = car.links.place(end)
        spot = moved.get(end) or (place and (place.ahead_m, place.height_m))
        if not spot:
            return None
        ends[end] = with_body(spot) if end.endswith("front") else spot
    return crossing(ends)


def _minus(one: Spot, other: Spot) -> Spot:
    return one[0] - other[0], one[1] - other[1]


def _cross(one: Spot, other: Spot) -> float:
    return one[0] * other[1] - one[1] * other[0]
