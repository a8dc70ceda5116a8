"""How many more passes would tell, and in which order: worked out before they are run.

For each story of the day the spread of the effect after further passes hangs on their order alone,
and the best guess then is normal about today's with the variance that those passes take away
(preposterior analysis; Raiffa and Schlaifer, Applied Statistical Decision Theory, from memory). So
with r the share of the variance that stays and z the chance of quicker today as a normal deviate,
the deviate then is normal about z / sqrt(r) with variance (1 - r) / r. z is of all stories
together: which of them is true is not settled by a few passes, and each alone would promise more.
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
_NEVER = 1e-9


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

    Where even `most` would not, the order in which drift falls out. Each ends on the likelier
    setting, so that the car has it when the passes are run.

    Raises:
        ValueError: a smallest effect out of range, or fewer than one pass to plan.
    """
    if worth_s is not None:
        checked_worth(worth_s)
    if most < 1:
        raise ValueError(f"passes to plan: found {most}; wanted at least 1")
    plan = _Plan(day, old, new, worth_s)
    balanced: tuple[str, ...] = ()
    for count in range(1, most + 1):
        done = plan.letters + plan.letters_to_come(balanced)
        balanced = (*balanced, old if next_letter(done) == "A" else new)
        tried = [_ending_on(plan.likelier, balanced)]
        if count <= _ALL_ORDERS:
            begun = product((old, new), repeat=count - 1)
            tried += [one for start in begun if (one := (*start, plan.likelier)) != tried[0]]
        found = [PassesNeeded(one, plan.chance(one)) for one in tried]
        best = max(found, key=lambda one: one.chance)
        if best.would_tell:
            return best
    return found[0]


def _ending_on(setting: str, order: tuple[str, ...]) -> tuple[str, ...]:
    """Return an order with its last pass on a setting changed places with its end."""
    if setting not in order:
        return (*order[:-1], setting)
    at = len(order) - 1 - order[::-1].index(setting)
    return (*order[:at], order[-1], *order[at + 1 : -1], setting) if order[at + 1 :] else order


def chance_of_telling(
    day: Fit, old: str, new: str, worth_s: float | None, to_come: tuple[str, ...]
) -> float:
    """Return the chance that the times tell helped or hurt after these further passes."""
    return _Plan(day, old, new, worth_s).chance(to_come)


class _Plan:
    """The likeliest stories of a day, and what their spreads become with passes to come."""

    def __init__(self, day: Fit, old: str, new: str, worth_s: float | None) -> None:
        import numpy as np

        from rules.evidence import local_level as level

        self.old, self.least = old, worth_s or 0.0
        self.letters = letters_of(day.passes, old, new)
        self._elsewhere = letters_elsewhere(day, old, new)
        self._order = day.passes[-1].order
        stories, places = day.known.stories, day.known.places
        for one in (old, new):
            if one not in places.settings:
                stories = level.setting_comes(stories)
                places = places.with_setting(one)
        weights = stories.weights.ravel()
        heaviest = np.argsort(-weights, kind="stable")[:_STORIES]
        cell = heaviest // stories.weights.shape[1]
        dimension = stories.means.shape[-1]
        self._contrast = np.array(places.contrast(old, new))
        shares: list[float] = (weights[heaviest] / weights[heaviest].sum()).tolist()
        self.shares = shares
        effect = day.effect(old, new)
        quicker = min(max(effect.below(0.0), _NEVER), 1.0 - _NEVER)
        self.deviate = NormalDist().inv_cdf(quicker)
        self.likelier = new if effect.mean < 0.0 else old
        self.sd = abs(effect.mean / self.deviate) if abs(self.deviate) > 0.5 else effect.sd
        wide = 1.0 + stories.cells.wide_share[cell] * (day.priors.wide_factor**2 - 1.0)
        self._noise = stories.cells.scatter[cell] ** 2 * wide + day.priors.lane_unknown_sd**2
        self._walk = stories.cells.wander_variance[cell]
        self._places = places
        covariances = stories.covariances.reshape(-1, dimension, dimension)
        self._after: dict[tuple[str, ...], Array] = {(): covariances[heaviest]}

    def letters_to_come(self, to_come: tuple[str, ...]) -> str:
        """Write passes to come as letters."""
        return "".join("A" if one == self.old else "B" for one in to_come)

    def chance(self, to_come: tuple[str, ...]) -> float:
        """Return the chance that the times tell after these passes."""
        letters = self.letters + self.letters_to_come(to_come)
        if not enough((*self._elsewhere, letters), drift_ruled_out=False):
            return 0.0
        passes = len(letters) + sum(map(len, self._elsewhere))
        sure = NormalDist().inv_cdf(sure_after(passes))
        spreads = zip(self.shares, self._variances(()), self._variances(to_come), strict=True)
        stays = min(sum(share * after / before for share, before, after in spreads), 1.0 - 1e-9)
        goal = max(sure * stays**0.5, self.least / self.sd)
        gives = (1.0 - stays) ** 0.5
        above = normal_below((self.deviate - goal) / gives)
        return above + normal_below((-self.deviate - goal) / gives)

    def _variances(self, to_come: tuple[str, ...]) -> list[float]:
        spread = self._spread(to_come)
        variances: list[float] = (spread @ self._contrast @ self._contrast).tolist()
        return variances

    def _spread(self, to_come: tuple[str, ...]) -> "Array":
        """Return the covariances of the stories after passes, worked out once for each order."""
        import numpy as np

        from rules.evidence.local_level import WANDER

        if to_come not in self._after:
            before = self._spread(to_come[:-1]).copy()
            before[:, WANDER, WANDER] += self._walk
            h = np.array(self._places.row(self._order + len(to_come), to_come[-1], None, None))
            gone = before @ h
            gain = gone / (gone @ h + self._noise)[:, None]
            self._after[to_come] = before - gain[:, :, None] * gone[:, None, :]
        return self._after[to_come]
