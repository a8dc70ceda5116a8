"""What lane, air and track do to a pass's thrust, power and grip, where the crew noted them.

Power follows the air as the engine breathes (`rules.passes.breathing`), where nobody said how with
room for each way. Little of it reaches the launch, which rpm and
converter hold (see `rules.passes.air_effect`). A hotter, a cold or an unprepared track holds less,
and no lane is like the other: common practice, no source, so how much is left wide, and the passes
in a lane teach what that lane does.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.launch.pass_conditions import NOT_NOTED, PassConditions
from rules.passes.breathing import power_by_density

Array = NDArray[np.float64]

MOST_MEETINGS = 3
# A mean and one standard deviation each: the part of what air does to power that it does to thrust,
# a fifth of the density's where nobody said how the engine breathes; of the logarithm of grip.
# Judgements.
AT_THE_LAUNCH = (0.27, 0.25)
GRIP_BY_10_C = (-0.02, 0.02)
GRIP_BY_SURFACE = {"cold": (-0.06, 0.04), "new": (-0.03, 0.05), "unprepared": (-0.2, 0.1)}
# Half of what two lanes of a meeting differ by.
A_LANE = 0.025
_SIDES = {"left": 1.0, "right": -1.0}
COLUMNS = 3 + len(GRIP_BY_SURFACE) + MOST_MEETINGS


def drawn(count: int, rng: np.random.Generator) -> Array:
    """Return how much each of these does on `count` cars, standard normal, (count, columns)."""
    z = rng.standard_normal((count, COLUMNS))
    z[0] = 0.0
    return z


def untouched(every: Sequence[PassConditions], meetings: Sequence[int]) -> NDArray[np.bool_]:
    """Return the columns that move nothing of what was noted of these passes, (columns,).

    meetings: the number of each one's meeting, see `times`.
    """
    one_moved, began = np.eye(COLUMNS + 1, COLUMNS, -1), first_noted(every)
    free = np.ones(COLUMNS, dtype=bool)
    for noted, meeting in zip(every, meetings, strict=True):
        does = times(one_moved, noted, began, meeting)
        for each in (does.thrust, does.power, does.grip):
            free &= each[1:] == each[0]
    return free


def first_noted(every: Iterable[PassConditions]) -> PassConditions:
    """Return what each was when it was first noted: air and track are told against that."""
    found = NOT_NOTED
    for one in every:
        found = found.or_else(one)
    return found


@dataclass(frozen=True)
class Times:
    """What thrust, power and grip are times on a pass, car by car, (n,) each."""

    thrust: Array
    power: Array
    grip: Array


def times(z: Array, noted: PassConditions, first: PassConditions, meeting: int) -> Times:
    """Return what was noted of a pass does to each car; exactly 1 where nothing was.

    z: see `drawn`.  first: air and track in which the car was first seen, see `first_noted`.
    """
    thrust, power, grip = np.zeros((3, len(z)))
    if noted.density is not None and first.density is not None:
        denser = np.log(noted.density / first.density)
        power += denser * _of(power_by_density(noted.breathing), z[:, 1])
        thrust += power * _of(AT_THE_LAUNCH, z[:, 0])
    if noted.track_c is not None and first.track_c is not None:
        grip += (noted.track_c - first.track_c) / 10.0 * _of(GRIP_BY_10_C, z[:, 2])
    for place, (surface, does) in enumerate(GRIP_BY_SURFACE.items(), 3):
        if noted.surface == surface:
            grip += _of(does, z[:, place])
    if noted.lane is not None:
        of_meeting = COLUMNS - MOST_MEETINGS + min(meeting, MOST_MEETINGS - 1)
        grip += A_LANE * _SIDES[noted.lane] * z[:, of_meeting]
    return Times(np.exp(thrust), np.exp(power), np.exp(grip))


def is_another(coming: PassConditions, last: PassConditions, scatter: tuple[float, float]) -> bool:
    """Tell whether a coming pass is in another lane, or its air or track another.

    scatter: one standard deviation of the logarithms of thrust and grip from pass to pass, which
    air and track must move them by.
    """
    middle = np.zeros((1, COLUMNS))
    then, now = (times(middle, one, last, 0) for one in (last, coming))
    ratios = (now.thrust / then.thrust, now.grip / then.grip)
    lanes = {coming.lane, last.lane} - {None}
    return len(lanes) > 1 or any(
        abs(float(np.log(ratio[0]))) > one for ratio, one in zip(ratios, scatter, strict=True)
    )


def _of(does: tuple[float, float], z: Array) -> Array:
    return np.asarray(does[0] + does[1] * z)
