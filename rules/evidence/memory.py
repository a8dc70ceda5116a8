"""What earlier days of this car are worth to a comparison: which join it, which teach its scatter.

A meeting that ran both settings joins the comparison with a level of its own; one that ran a single
one of them says nothing about their difference. Every other day, imported ones too, says how the
car scatters.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from rules.evidence.car_noise import learnt
from rules.evidence.model import Fit, fit
from rules.evidence.passes import PassTime, counted
from rules.evidence.priors import Priors

# So many passes are looked at: of the day's own, of each meeting that joins, of all the others.
# More add little to the scatter and cost time on the page.
OWN, JOINED, OTHERS = 40, 20, 60
# Of the day's own so many on the two settings, and so many others on either side of those.
OF_THE_PAIR, BESIDE = 30, 5
# So many meetings join, the latest.
MEETINGS = 4


@dataclass(frozen=True)
class Remembered:
    """The passes of a comparison by what they are for; `others` a day each."""

    own: tuple[PassTime, ...]
    elsewhere: tuple[PassTime, ...]
    others: tuple[tuple[PassTime, ...], ...]

    def fit(self, priors: Priors) -> Fit:
        """Estimate the day with all that is remembered.

        Raises:
            ValueError: no clean pass among the day's own.
        """
        return _fitted(self, priors)


@lru_cache(maxsize=8)
def _fitted(known: Remembered, priors: Priors) -> Fit:
    """Return the estimate; the same passes give the same one, whatever else was said since."""
    return fit(known.own, learnt(priors, known.others), known.elsewhere)


def remembered(
    passes: Iterable[PassTime], meeting: str, settings: tuple[str, str] | None = None
) -> Remembered:
    """Sort passes of a whole log for the day of a meeting; without settings none join it."""
    days: dict[str, list[PassTime]] = {}
    for one in counted(passes):
        days.setdefault(one.meeting, []).append(one)
    pair = set(settings or ())
    own = _about(days.pop(meeting, []), pair)
    ran_both = [
        name for name, day in days.items() if pair and pair <= {one.setting for one in day}
    ][-MEETINGS:]
    joined = [one for name in ran_both for one in days[name][-JOINED:]]
    others: list[tuple[PassTime, ...]] = []
    left = OTHERS
    for name, day in reversed(days.items()):
        if name not in ran_both and left > 0:
            others.insert(0, tuple(day[-left:]))
            left -= len(day)
    return Remembered(own, tuple(joined), tuple(others))


def _about(own: list[PassTime], pair: set[str]) -> tuple[PassTime, ...]:
    """Return the passes of a day that a comparison rests on: the pair's, and those around them."""
    places = [place for place, one in enumerate(own) if one.setting in pair][-OF_THE_PAIR:]
    if len(own) <= OWN or not places:
        return tuple(own[-OWN:])
    first, last = max(0, places[0] - BESIDE), places[-1] + BESIDE
    others = [place for place in range(first, min(last + 1, len(own))) if place not in places]
    kept = sorted([*places, *others[len(places) - OWN :]])
    return tuple(own[place] for place in kept)
