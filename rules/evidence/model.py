"""The passes of a day, and of other meetings on its settings, as one belief.

The arithmetic and its sources are in `local_level`. Each meeting has its own level, way of the
track and lanes; settings, the car's scatter and its answer to the air are the same at all of them.
With one scatter, no wandering and no spoilt passes it is the textbook normal model, and with a flat
scatter its belief is Student's t (both are tested).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import sqrt
from typing import TYPE_CHECKING

from rules.evidence.belief import Belief, belief_of
from rules.evidence.passes import LANES, PassTime, counted
from rules.evidence.priors import Priors
from rules.once import LatestKept

if TYPE_CHECKING:
    from rules.evidence.local_level import Stories


# From so many passes on a first look with few stories finds what they rule out, noises and sizes of
# settings below this share; the whole of them decides, so that a calm morning rules out nothing.
LONG_DAY, GLANCED, RULED_OUT = 24, 3, 1e-6


@dataclass(frozen=True)
class CoefficientPlaces:
    """Where each number of the state stands, and what its rows are measured from."""

    settings: tuple[str, ...]
    first_order: int
    density: float | None

    def row(self, order: int, setting: str, air: float | None, lane: str | None) -> list[float]:
        """Return the row of a pass: level, its wandering, steady slope, lane, air, settings."""
        side = 0.5 - LANES.index(lane) if lane in LANES else 0.0
        on = [1.0 if one == setting else 0.0 for one in self.settings]
        since = float(order - self.first_order)
        return [1.0, 1.0, since, side, relative(air, self.density), *on]

    def with_setting(self, setting: str) -> "CoefficientPlaces":
        """Return the places with one more setting, behind the others."""
        return replace(self, settings=(*self.settings, setting))

    def contrast(self, old: str, new: str) -> list[float]:
        """Return the weights of new less old."""
        on = [float(one == new) - float(one == old) for one in self.settings]
        return [0.0, 0.0, 0.0, 0.0, 0.0, *on]


@dataclass(frozen=True)
class TimesKnown:
    """What is known after some passes: the stories and where their numbers stand."""

    stories: "Stories"
    places: CoefficientPlaces
    level: float


_KNOWN: LatestKept[TimesKnown] = LatestKept(16)


@dataclass(frozen=True)
class Fit:
    """What the passes say; seconds throughout. `passes` are the day's own, `elsewhere` the rest."""

    passes: tuple[PassTime, ...]
    elsewhere: tuple[PassTime, ...]
    priors: Priors
    known: TimesKnown

    @property
    def level(self) -> float:
        """The mean of the day's clean passes."""
        return sum(one.value_s for one in self.passes) / len(self.passes)

    @cached_property
    def scatter(self) -> float:
        """The car's own pass-to-pass scatter, root mean square of what is likely."""
        stories = self.known.stories
        return sqrt(float(stories.weights.sum(axis=1) @ stories.cells.scatter**2))

    def effect(self, old: str, new: str) -> Belief:
        """Return what going from one setting to another does: below zero is quicker.

        A setting without a clean pass is as uncertain as before the day.
        """
        unseen = sum(one not in self.known.places.settings for one in {old, new})
        return self._belief(self.known.places.contrast(old, new), unseen)

    def drift(self) -> Belief:
        """Return what each pass of the day added by itself, from its first to its last."""
        between = max(1.0, float(self.passes[-1].order - self.passes[0].order))
        others = [0.0] * (2 + len(self.known.places.settings))
        return self._belief([0.0, 1.0 / between, 1.0, *others])

    def next_pass(
        self, order: int, setting: str, air_density: float | None = None, lane: str | None = None
    ) -> Belief:
        """Return what a pass to come is expected to run, its own scatter included.

        Neither wide nor spoilt: those are no passes to plan with.
        """
        from rules.evidence.local_level import passes_go_by

        unseen = int(setting not in self.known.places.settings)
        row = self.known.places.row(order, setting, air_density, lane)
        later = passes_go_by(self.known.stories, order - self.passes[-1].order)
        belief = self._belief(row, unseen, noisy=True, stories=later)
        moved = tuple(self.known.level + one for one in belief.means)
        return Belief(belief.weights, moved, belief.sds)

    def _belief(
        self,
        row: list[float],
        unseen: int = 0,
        noisy: bool = False,
        stories: "Stories | None" = None,
    ) -> Belief:
        """Return the belief about a weighted sum of the state.

        unseen: settings without a pass.  noisy: the scatter of a pass is added.
        """
        from rules.evidence.local_level import combination

        stories = stories or self.known.stories
        weights, means, variances = combination(stories, row)
        more = unseen * stories.cells.setting_variance
        if noisy:
            more = more + stories.cells.scatter**2
        variances = variances + more.repeat(stories.log_weights.shape[1])
        return belief_of(weights, means, variances**0.5)


def air_answer(known: TimesKnown) -> Belief:
    """Return what the car answers to the air: seconds per unit of relative dry density."""
    from rules.evidence.local_level import AIR, combination

    row = [float(place == AIR) for place in range(AIR + 1 + len(known.places.settings))]
    weights, means, variances = combination(known.stories, row)
    return belief_of(weights, means, variances**0.5)


def relative(density: float | None, reference: float | None) -> float:
    """Return how far a density stands off the reference, as a share of it; 0 where unknown."""
    return 0.0 if density is None or reference is None else density / reference - 1.0


def mean_density(passes: Iterable[PassTime]) -> float | None:
    """Return the mean of the densities that were noted [kg/m3]."""
    noted = [one.air_density for one in passes if one.air_density is not None]
    return sum(noted) / len(noted) if noted else None


def fit(passes: Iterable[PassTime], priors: Priors, elsewhere: Sequence[PassTime] = ()) -> Fit:
    """Estimate the day from its clean passes.

    elsewhere: passes of other meetings on some of the same settings.

    Raises:
        ValueError: no clean pass among the day's.
    """
    clean, others = counted(passes), counted(elsewhere)
    if not clean:
        raise ValueError("passes: found no clean one; wanted at least one to estimate from")
    every = (*others, *clean)
    return Fit(clean, others, priors, _estimated(every, priors))


@lru_cache(maxsize=8)
def _estimated(passes: tuple[PassTime, ...], priors: Priors) -> TimesKnown:
    return times_known(passes, _not_ruled_out(passes, priors))


def _not_ruled_out(passes: tuple[PassTime, ...], priors: Priors) -> Priors:
    """Return the priors without what the passes of a long day rule out."""
    if len(passes) < LONG_DAY:
        return priors
    shares = times_known(passes, priors, GLANCED).stories.weights.sum(axis=1)
    grid = shares.reshape(len(priors.noises), len(priors.settings), -1)
    noises = zip(priors.noises, grid.sum(axis=(1, 2)), strict=True)
    settings = zip(priors.settings, grid.sum(axis=(0, 2)), strict=True)
    return replace(
        priors,
        noises=tuple(one for one, share in noises if share > RULED_OUT),
        settings=tuple(one for one, share in settings if share > RULED_OUT),
    )


def times_known(
    passes: tuple[PassTime, ...], priors: Priors, stories_kept: int | None = None
) -> TimesKnown:
    """Return what clean passes say, each taken in on top of those before it.

    What was said of all but the last is begun from; what each one before that left is not kept,
    because it would fill the memory with what nobody asks for.

    stories_kept: in each cell, fewer than usual for a first look.
    """
    if (found := _KNOWN.get((passes, priors, stories_kept))) is not None:
        return found
    *first, last = passes
    known = _KNOWN.get((tuple(first), priors, stories_kept)) if first else None
    if known is None:
        for before, one in zip((None, *first), first, strict=False):
            known = _taken_in(known, before, one, priors, stories_kept)
    known = _taken_in(known, first[-1] if first else None, last, priors, stories_kept)
    return _KNOWN.keep((passes, priors, stories_kept), known)


def _taken_in(
    known: TimesKnown | None,
    before: PassTime | None,
    last: PassTime,
    priors: Priors,
    stories_kept: int | None,
) -> TimesKnown:
    """Return what is known with one more pass."""
    from rules.evidence import local_level as day

    most = stories_kept or day.KEPT
    if known is None:
        level = last.value_s
        stories = day.nothing_seen(priors)
        places = CoefficientPlaces((), last.order, last.air_density)
    else:
        stories, places, level = known.stories, known.places, known.level
    if before is None or before.meeting != last.meeting:
        stories = day.meeting_begins(stories, priors, most)
        places = replace(places, first_order=last.order)
    else:
        stories = day.passes_go_by(stories, last.order - before.order)
    if last.setting not in places.settings:
        stories = day.setting_comes(stories)
        places = places.with_setting(last.setting)
    if places.density is None and last.air_density is not None:
        places = replace(places, density=last.air_density)
    row = places.row(last.order, last.setting, last.air_density, last.lane)
    more = 0.0 if last.lane in LANES else priors.lane_unknown_sd
    stories = day.pass_comes(stories, row, last.value_s - level, more, most)
    return TimesKnown(stories, places, level)
