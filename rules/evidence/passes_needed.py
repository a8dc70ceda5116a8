"""How many more passes would tell, and in which order: worked out before they are run.

For each story of the day the spread of the belief after further passes hangs on their order alone,
and the best guess then is normal about today's with the variance that those passes take away
(preposterior analysis; Raiffa and Schlaifer, Applied Statistical Decision Theory, from memory).
"""

from dataclasses import dataclass
from itertools import product
from statistics import NormalDist
from typing import TYPE_CHECKING

from rules.evidence.belief import normal_below
from rules.evidence.designs import letters_of, next_letter
from rules.evidence.model import Fit
from rules.evidence.verdict import checked_worth, enough, letters_elsewhere, sure_after

if TYPE_CHECKING:
    from rules.evidence.local_level import Array

# More passes than these on one change are not proposed: common practice, no source.
MOST = 6
# Worth running when it is likelier than not that they tell.
LIKELY = 0.5
# All orders of so many passes are tried; beyond, the one in which drift falls out.
_ALL_ORDERS = 3
# The likeliest stories of the day that are followed.
_STORIES = 32
# Between orders that tell about as well, the one that ends on the likelier setting.
AS_WELL = 0.02


@dataclass(frozen=True)
class PassesNeeded:
    """Passes to run next, by setting, and the chance that the times then tell helped or hurt."""

    settings: tuple[str, ...]
    chance: float

    @property
    def would_tell(self) -> bool:
        """Whether it is likelier than not that they tell."""
        return self.chance >= LIKELY


def more_passes(
    day: Fit, old: str, new: str, worth_s: float | None, most: int = MOST
) -> PassesNeeded:
    """Return the fewest further passes that would likely tell, in their best order.

    Where even `most` would not, the order in which drift falls out. Of orders that tell about as
    well the one that ends on the likelier setting.

    Raises:
        ValueError: a smallest effect out of range, or fewer than one pass to plan.
    """
    if worth_s is not None:
        checked_worth(worth_s)
    if most < 1:
        raise ValueError(f"passes to plan: found {most}; wanted at least 1")
    likelier = new if day.effect(old, new).mean < 0.0 else old
    letters = letters_of(day.passes, old, new)
    balanced: tuple[str, ...] = ()
    for count in range(1, most + 1):
        done = letters + "".join("A" if one == old else "B" for one in balanced)
        balanced = (*balanced, old if next_letter(done) == "A" else new)
        tried = [balanced]
        if count <= _ALL_ORDERS:
            tried += [one for one in product((old, new), repeat=count) if one != balanced]
        found = [PassesNeeded(one, chance_of_telling(day, old, new, worth_s, one)) for one in tried]
        best = max(found, key=lambda one: one.chance + AS_WELL * (one.settings[-1] == likelier))
        if best.would_tell:
            return best
    return found[0]


def chance_of_telling(
    day: Fit, old: str, new: str, worth_s: float | None, to_come: tuple[str, ...]
) -> float:
    """Return the chance that the times tell helped or hurt after these further passes."""
    letters = letters_of(day.passes, old, new)
    letters += "".join("A" if one == old else "B" for one in to_come)
    elsewhere = letters_elsewhere(day, old, new)
    if not enough((*elsewhere, letters), drift_ruled_out=False):
        return 0.0
    weights, guesses, now, then = _spreads(day, old, new, to_come)
    passes = len(letters) + sum(map(len, elsewhere))
    sure = NormalDist().inv_cdf(sure_after(passes))
    chance = 0.0
    for weight, guess, before, after in zip(weights, guesses, now, then, strict=True):
        goal = max(worth_s or 0.0, sure * after**0.5)
        spread = max(before - after, 1e-18) ** 0.5
        tells = normal_below((-goal - guess) / spread) + normal_below((guess - goal) / spread)
        chance += weight * tells
    return float(chance)


def _spreads(
    day: Fit, old: str, new: str, to_come: tuple[str, ...]
) -> "tuple[Array, Array, Array, Array]":
    """Return for each likely story: weight, the effect's mean, its variance now and after."""
    import numpy as np

    from rules.evidence import local_level as level

    stories, places = day.known.stories, day.known.places
    for one in (old, new):
        if one not in places.settings:
            stories = level.setting_comes(stories)
            places = places.with_setting(one)
    flat = stories.weights.ravel()
    heaviest = np.argsort(-flat, kind="stable")[:_STORIES]
    cell = heaviest // stories.weights.shape[1]
    dimension = stories.means.shape[-1]
    means = stories.means.reshape(-1, dimension)[heaviest]
    spread = stories.covariances.reshape(-1, dimension, dimension)[heaviest]
    cells = stories.cells
    wide = 1.0 + cells.wide_share[cell] * (day.priors.wide_factor**2 - 1.0)
    noise = cells.scatter[cell] ** 2 * wide + day.priors.lane_unknown_sd**2
    contrast = np.array(places.contrast(old, new))
    now = spread @ contrast @ contrast
    order = day.passes[-1].order
    for place, one in enumerate(to_come, 1):
        h = np.array(places.row(order + place, one, None, None))
        spread = spread.copy()
        spread[:, level.WANDER, level.WANDER] += cells.wander_variance[cell]
        gone = spread @ h
        gain = gone / (gone @ h + noise)[:, None]
        spread = spread - gain[:, :, None] * gone[:, None, :]
    weights = flat[heaviest] / flat[heaviest].sum()
    return weights, means @ contrast, now, spread @ contrast @ contrast
