"""What the rear links do to a launch, and how far a change of them is in doubt.

The instant centre comes from the places of the links, `rules.car.instant_centre`; all levers that
move it, and whatever sets the body up or down on its axles, are taken together, because lines that
cross do not add up. Without the places a position up is more anti-squat, as the trade has it, and
by how much is left wide.
"""

from collections.abc import Mapping

from rules.car.adjusters import Adjuster, adjusters
from rules.car.instant_centre import InstantCentre, instant_centre, link_levers
from rules.car.model import Car
from rules.launch.cloud.on_paper import on_paper
from rules.launch.cloud.parameter_shift import ParameterShift
from rules.launch.cloud.ride import body_rise, rise_of
from rules.launch.mechanics.parameters import LINK_BOUNDS

# One standard deviation of a link change's own size: holes and bushes to a millimetre or two on a
# hand's breadth of bracket, and what the plane and the axle's own turning leave out, which the
# multibody engine puts at a few per cent of the change.
LINK_SPREAD = 0.10

# What one hole does where the places are not given: the slope of the line from the tyre's contact
# to the instant centre, a fifth of what full anti-squat takes; common practice, no source, and
# half or twice as much is as likely as not to be found.
HOLE_SLOPE = 0.04
HOLE_SPREAD = 0.3


def link_move(car: Car, one: Adjuster, value: float) -> list[ParameterShift] | None:
    """Return what a link position does by itself; None where the launch does not know it.

    Without its places that is its holes, counted; with them nothing, because what it does hangs on
    the other links too: `link_moves` takes them together.
    """
    if any(lever.id == one.id for lever in link_levers(car)):
        return None if None in (instant_centre(car, {}), links_at(car, {one.id: value})) else []
    if one.axle != "rear":
        return None
    holes = (value - one.start) / one.step
    ahead = on_paper(car).params["e"]
    return [ParameterShift("d", one.id, add=holes * HOLE_SLOPE * ahead, spread=HOLE_SPREAD)]


def links_at(car: Car, settings: Mapping[str, float]) -> InstantCentre | None:
    """Return the instant centre at these settings, the body as high as they set it."""
    front, rear = (body_rise(car, settings, end) for end in ("front", "rear"))
    return instant_centre(car, settings, rear_up=rear, front_up=front)


def link_moves(car: Car, settings: Mapping[str, float]) -> list[ParameterShift] | None:
    """Return what these settings do to the instant centre; None where the places do not tell."""
    before = instant_centre(car, {})
    if before is None:
        return []
    after = links_at(car, settings)
    if after is None:
        return None
    if after == before:
        return []
    lever = _first_off(car, settings)
    found = [
        ParameterShift("d", lever, add=after.height - before.height, spread=LINK_SPREAD),
        ParameterShift("e", lever, factor=after.ahead / before.ahead, spread=LINK_SPREAD),
    ]
    axle = on_paper(car).params["rr"]
    rates = zip(LINK_BOUNDS, before.rates(axle) or (), after.rates(axle) or (), strict=False)
    return found + [
        ParameterShift(name, lever, add=goes - was, spread=LINK_SPREAD) for name, was, goes in rates
    ]


def _first_off(car: Car, settings: Mapping[str, float]) -> str:
    """Return the lever whose doubt the change carries: a link's where one has moved."""
    links = {one.id for one in link_levers(car)}
    off = [
        one
        for one in adjusters(car).values()
        if settings.get(one.id, one.start) != one.start
        and (one.id in links or rise_of(car, one, settings[one.id]))
    ]
    return min(off, key=lambda one: one.id not in links).id
