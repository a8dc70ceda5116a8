"""How many more passes would tell, and in which order: worked out before they are run.

Given the scatter, the spread of the belief after further passes hangs on their order alone, and the
best guess then is normal about today's with the variance that those passes take away (preposterior
analysis; Raiffa and Schlaifer, Applied Statistical Decision Theory, from memory).
"""

from dataclasses import dataclass
from itertools import product
from math import sqrt
from statistics import NormalDist

from rules.evidence.belief import normal_below
from rules.evidence.designs import design_of, letters_of
from rules.evidence.model import Fit, Row, effect_sd, rows_of
from rules.evidence.verdict import SURE, checked_worth, enough

# More passes than these on one change are not proposed: common practice, no source.
MOST = 6
# Worth running when it is likelier than not that they tell.
LIKELY = 0.5
# All orders of so many passes are tried; beyond, one pass at a time.
_ALL_ORDERS = 3


@dataclass(frozen=True)
class PassesNeeded:
    """Passes to run next, by setting, and the chance that the times then tell helped or hurt."""

    settings: tuple[str, ...]
    chance: float

    @property
    def would_tell(self) -> bool:
        """Whether it is likelier than not that they tell."""
        return self.chance >= LIKELY


def more_passes(day: Fit, old: str, new: str, worth_s: float, most: int = MOST) -> PassesNeeded:
    """Return the fewest further passes that would likely tell, in their best order.

    Where even `most` would not, what `most` would give.

    Raises:
        ValueError: a smallest effect out of range, or fewer than one pass to plan.
    """
    worth = checked_worth(worth_s)
    if most < 1:
        raise ValueError(f"passes to plan: found {most}; wanted at least 1")
    best = PassesNeeded((old,), 0.0)
    grown: tuple[str, ...] = ()
    for count in range(1, most + 1):
        if count <= _ALL_ORDERS:
            tried = [*product((old, new), repeat=count)]
        else:
            tried = [(*grown, one) for one in (old, new)]
        found = [PassesNeeded(one, chance_of_telling(day, old, new, worth, one)) for one in tried]
        best = max(found, key=lambda one: one.chance)
        if best.would_tell:
            return best
        grown = best.settings
    return best


def chance_of_telling(
    day: Fit, old: str, new: str, worth: float, to_come: tuple[str, ...]
) -> float:
    """Return the chance that the times tell helped or hurt after these further passes."""
    letters = letters_of(day.passes, old, new)
    letters += "".join("A" if one == old else "B" for one in to_come)
    if not enough(design_of(letters), drift_ruled_out=False):
        return 0.0
    scatter = day.scatter
    rows = rows_of(day.passes, day.density)
    first = max(row[0] for row in rows) + 1
    then: tuple[Row, ...] = (
        *rows,
        *((first + place, one, 0.0, "") for place, one in enumerate(to_come)),
    )
    now_sd, then_sd = (
        effect_sd(one, day.likeliest.priors, scatter, old, new) for one in (rows, then)
    )
    goal = max(worth, NormalDist().inv_cdf(SURE) * then_sd)
    spread = sqrt(max(now_sd**2 - then_sd**2, 1e-18))
    guess = day.effect(old, new).mean
    return normal_below((-goal - guess) / spread) + normal_below((guess - goal) / spread)
