"""How rare the last pass is on the cloud that was learnt from all passes before it.

A predictive check (Box, 1980, J. R. Stat. Soc. A 143:383, from memory): the cars of the cloud make
passes of their own, with a coming day, a crew that errs one time in ten, and what the launch leaves
out; the surprise is the share of them that the whole cloud holds for no likelier than what came.
Two looks, each at half of what is allowed (Bonferroni): all that was seen together, where several
odd words count, and the oddest number by itself, times how many sightings there are. A single word
never is a surprise: one in ten is wrong.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief import lane_air_track
from rules.launch.belief.ahead import latest
from rules.launch.belief.faults import EYE, Launched, bars_possible, below, indices, launched
from rules.launch.belief.learning import coarse, learnt
from rules.launch.belief.likelihood import (
    CLOCK_S,
    GOOD,
    NAMED_WRONGLY,
    NOTICED_BESIDE,
    SCATTER,
    WRONG,
    Crew,
    outside,
    said,
    tailed,
    there,
)
from rules.launch.belief.particles import NEXT, Cars, layout, meetings_of
from rules.launch.cloud.car_cloud import SEED
from rules.launch.effects import range_of
from rules.launch.goals import MEASURED, STOPS
from rules.launch.judged import SPIN
from rules.launch.proposed_change import Seen
from rules.launch.surprise import SIXTY, Sight, Surprise, SurpriseAsked
from rules.passes.reading_ends import bounds

Array = NDArray[np.float64]
Rows = NDArray[np.intp]

_TIMES = 5
# The readings that can be told of in the crew's units.
_SAID = ("lift", "front ring", "rear ring")
# What the launch leaves out moves a number by about this share; a judgement, see the virtual days.
_DOUBTS = {
    "front_lift_max": 0.2,
    "front_comp_max_after_td": 0.15,
    "touchdown_x": 0.12,
    "front_tyre_load_max_after_td": 0.1,
    "relift_max": 0.4,
    "body_front_rise_0p2s": 0.15,
    "body_front_rise_2p0s": 0.1,
    "body_front_rise_3p0s": 0.1,
    "front_droop_force_max": 0.2,
    "bar_force_max": 0.3,
    "rear_ext_max_0p3s": 0.15,
    "rear_comp_max": 0.15,
    "rear_sep_0p1s": 0.15,
    "spin_s_after_0p1s": 0.4,
}


@dataclass(frozen=True)
class Weighed:
    """A sighting with the logarithm of how likely it is on each car of the cloud.

    came: what was seen, (n,).  made: what each pass of the cloud's own would show, (n, passes).
    """

    came: Array
    made: Array
    sights: tuple[Sight, ...]


@dataclass(frozen=True)
class _Side:
    """Launches with the crews that see them.  over: how far each fault is over its line."""

    run: Launched
    crew: Crew
    over: Array


@dataclass(frozen=True)
class Cloud:
    """The cars as they launch on the pass, and those that make passes of their own.

    made: one a pass, with what the launch leaves out.  makers: their places among the cars.
    """

    cars: _Side
    made: _Side
    makers: Rows
    rng: np.random.Generator

    def drawn(self, shares: Array) -> Rows:
        """Return a word for each pass by its shares, (passes, words), which need not sum to 1."""
        edges = np.cumsum(shares, axis=1)
        picked = self.rng.random(len(shares))[:, None] * edges[:, -1:]
        return np.asarray((picked > edges).sum(axis=1))

    def off(self, about: float) -> Array:
        """Return how far each pass's reading is off: one in ten six times as far."""
        wide = np.where(self.rng.random(len(self.makers)) < WRONG, 6.0, 1.0)
        return np.asarray(about * wide * self.rng.standard_normal(len(self.makers)))


def surprise(question: SurpriseAsked, seed: int = SEED) -> Surprise | None:
    """Return how surprising the last pass is; None where nothing was learnt before it."""
    passes = latest(question.passes)
    if len(passes) < 2:
        return None
    cloud, seen = cloud_before(question, passes, seed), passes[-1]
    weighed = weighed_on(cloud, seen)
    if not weighed:
        return None
    came = np.sum([one.came for one in weighed], axis=0)
    made = np.sum([one.made for one in weighed], axis=0)
    # A car is no witness of its own pass: the one that made it is left out.
    made[cloud.makers, np.arange(len(cloud.makers))] = -np.inf
    rarer = int(np.sum(_mean(made, len(came) - 1) <= _mean(came[:, None], len(came))))
    together = (1 + rarer) / (1 + len(cloud.makers))
    sights = sorted((one for each in weighed for one in each.sights), key=lambda one: one.odd)
    alone = len(weighed) * min((one.odd for one in sights if one.measure), default=1.0)
    return Surprise(round(min(1.0, 2.0 * together, 2.0 * alone), 4), tuple(sights))


def weighed_on(cloud: Cloud, seen: Seen) -> list[Weighed]:
    """Return all that was seen, each with its likelihood on the cars that it is held against."""
    return [
        *_words(cloud, seen),
        *_symptoms(cloud, seen),
        *_readings(cloud, seen),
        *_timed(cloud, seen),
    ]


def _mean(logs: Array, count: int) -> Array:
    """Return the logarithm of the mean likelihood over the cars, (passes,), from (n, passes)."""
    most = logs.max(axis=0)
    return np.asarray(most + np.log(np.exp(logs - most).sum(axis=0) / count))


def cloud_before(question: SurpriseAsked, passes: tuple[Seen, ...], seed: int) -> Cloud:
    """Return what was learnt before the last pass, launched as that one was."""
    car, last, rng = question.car, passes[-1], np.random.default_rng([seed, 9])
    belief, meeting = learnt(car, passes[:-1], seed), meetings_of(passes)[-1]
    began = lane_air_track.first_noted(one.noted for one in passes)
    noted = lane_air_track.times(belief.beside, last.noted, began, meeting)
    batch = Cars(car, belief.z).on(dict(last.settings), meeting, NEXT, noted)
    run = launched(coarse(batch), batch, bars_possible(car, passes))
    crew = layout(car).crew(belief.z)
    makers = np.tile(np.arange(len(belief.z)), _TIMES)
    disturbed = _disturbed(run, makers, rng)
    made_by = Crew(crew.faults[makers], crew.stand[makers], crew.clock[makers])
    return Cloud(
        _Side(run, crew, below((indices(run) - crew.faults) / EYE)),
        _Side(disturbed, made_by, below((indices(disturbed) - made_by.faults) / EYE)),
        makers,
        rng,
    )


def _disturbed(run: Launched, makers: Rows, rng: np.random.Generator) -> Launched:
    """Return the launches of the makers with what the launch leaves out."""
    made = run.pick(makers)
    columns = {
        name: column * np.exp(_DOUBTS.get(name, 0.0) * rng.standard_normal(len(makers)))
        for name, column in made.columns.items()
    }
    return replace(made, columns=columns)


def _words(cloud: Cloud, seen: Seen) -> Iterator[Weighed]:
    on_cars, on_made = (said(one.run, one.crew, one.over) for one in (cloud.cars, cloud.made))
    facts = dict(seen.facts)
    for prompt, shares in on_cars.items():
        word = facts.get(prompt)
        if isinstance(word, str) and word in shares:
            words = list(shares)
            told = (1.0 - WRONG) * np.stack(list(shares.values()), axis=1) + WRONG / len(words)
            made = (1.0 - WRONG) * np.stack(list(on_made[prompt].values()), axis=1)
            yield _word(cloud, prompt, words, told, made + WRONG / len(words), word)


def _word(
    cloud: Cloud, name: str, words: list[str], told: Array, made: Array, came: str
) -> Weighed:
    """Weigh one word of several by what each car and each maker would have been told of with."""
    place, logs = words.index(came), np.log(told)
    foretold = made.mean(axis=0) / made.mean(axis=0).sum()
    odd = float(foretold[foretold <= foretold[place] + 1e-9].sum())
    best = int(foretold.argmax())
    sight = Sight(name, came, words[best], round(float(foretold[best]), 3), round(odd, 4))
    return Weighed(logs[:, place], logs[:, cloud.drawn(made)], (sight,))


def _symptoms(cloud: Cloud, seen: Seen) -> Iterator[Weighed]:
    """Weigh what was named: a crew names one of the faults there, and often the others too."""
    if not seen.symptoms:
        return
    on_cars, on_made = there(cloud.cars.over), there(cloud.made.over)
    present, makers = (np.stack(list(one.values()), axis=1) for one in (on_cars, on_made))
    is_there = cloud.rng.random(makers.shape) < makers
    named = is_there & (cloud.rng.random(makers.shape) < NOTICED_BESIDE)
    none = is_there.any(axis=1) & ~named.any(axis=1)
    first = (is_there * cloud.rng.random(makers.shape)).argmax(axis=1)
    # Where there is a fault, a crew that names none of them is wrong.
    named[none, first[none]] = cloud.rng.random(int(none.sum())) >= WRONG
    named |= cloud.rng.random(makers.shape) < NAMED_WRONGLY
    came = np.array([[one in seen.symptoms for one in on_cars]])
    good = np.concatenate([[GOOD in seen.symptoms], ~named.any(axis=1)])
    logs = _named(present, np.concatenate([came, named]), good)
    odd = zip(on_cars, came[0], named.mean(axis=0).tolist(), strict=True)
    sights = [
        Sight(
            name,
            name if yes else "",
            name if share > 0.5 else "",
            round(max(share, 1 - share), 3),
            round(share if yes else 1.0 - share, 4),
        )
        for name, yes, share in odd
    ]
    yield Weighed(logs[:, 0], logs[:, 1:], tuple(sights))


def _named(present: Array, named: NDArray[np.bool_], good: NDArray[np.bool_]) -> Array:
    """Return how likely what was named is, (n, passes); see `likelihood`.

    present: (n, symptoms).  named: (passes, symptoms).  good: that nothing was wrong, (passes,).
    """
    yes = np.log(NAMED_WRONGLY + (1.0 - WRONG) * present) @ named.T
    calm, beside = (
        np.log(1.0 - noticed * present) @ ~named.T for noticed in (1.0 - WRONG, NOTICED_BESIDE)
    )
    return np.asarray(yes + np.where(good, calm, beside))


def _readings(cloud: Cloud, seen: Seen) -> Iterator[Weighed]:
    for what, (value, give) in seen.measured:
        if what not in MEASURED:
            continue
        has_stop, scatter = what in STOPS, SCATTER[what]
        stops = cloud.cars.run.of(STOPS[what]) if has_stop else np.full(len(cloud.cars.over), inf)
        there_is = MEASURED[what](cloud.made.run.columns)
        most = stops[cloud.makers]
        made = np.clip(there_is + cloud.off(scatter), 0.0, most)
        every = [value, *made.tolist()]
        ends = [
            [bounds(what, one, give, stop if has_stop else None, seen.braked) for one in every]
            for stop in (stops if has_stop else stops[:1]).tolist()
        ]
        low, high = np.moveaxis(np.array(ends), 2, 0)
        off = outside(MEASURED[what](cloud.cars.run.columns)[:, None], low, high)
        logs = tailed(off, scatter)
        says = what in _SAID and not (seen.braked and what == "front ring")
        odd = _beyond(np.clip(value, 0.0, most), there_is, scatter, most)
        sights = (Sight(what, value, range_of(made), 0.8, odd, "length"),) if says else ()
        yield Weighed(logs[:, 0], logs[:, 1:], sights)


def _timed(cloud: Cloud, seen: Seen) -> Iterator[Weighed]:
    """Weigh the 60-foot; a tyre that spun explains any."""
    if seen.sixty_s is None or not SPIN.isdisjoint(seen.symptoms):
        return
    timed = cloud.cars.run.columns["t_60ft"] + cloud.cars.crew.clock
    made = timed[cloud.makers] + cloud.off(CLOCK_S)
    every = np.concatenate([[seen.sixty_s], np.where(np.isfinite(made), made, seen.sixty_s)])
    off = timed[:, None] - every
    logs = tailed(np.where(np.isfinite(off), off, 0.0), CLOCK_S)
    timely = timed[np.isfinite(timed)]
    sights: tuple[Sight, ...] = ()
    if len(timely):
        odd = _beyond(
            np.full(len(timely), seen.sixty_s), timely, CLOCK_S, np.full(len(timely), inf)
        )
        made = made[np.isfinite(made)]
        sights = (Sight(SIXTY, seen.sixty_s, range_of(made), 0.8, odd, "time"),)
    yield Weighed(logs[:, 0], logs[:, 1:], sights)


def _beyond(came: Array, there_is: Array, scatter: float, most: Array) -> float:
    """Return twice the smaller tail of a reading: as far out, or at the end of what it reads.

    came, there_is, most: the reading, what it is of and its end, for each car, (n,).
    """
    off = (came - there_is) / scatter
    above, below_it = ((1.0 - WRONG) * below(one) + WRONG * below(one / 6.0) for one in (-off, off))
    above, below_it = np.where(came <= 0.0, 1.0, above), np.where(came >= most, 1.0, below_it)
    return round(min(1.0, 2.0 * min(float(above.mean()), float(below_it.mean()))), 5)
