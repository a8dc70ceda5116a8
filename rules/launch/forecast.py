"""The launch model's answer to a change that the rules propose.

A cloud of cars is narrowed to those that do what the crew saw, on this pass and those before it,
and every step up to the trade's is tried on them. Choosing by such a cloud instead of by one
believed car is what keeps a change from making a safety symptom worse.
Not modelled: wheel slip as a state, driveline torque reaction, roll.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.car.adjusters import adjusters
from rules.launch.as_seen import FITS, LEAST_EFFECTIVE, POOL, STEP_S, AsSeen, as_seen
from rules.launch.cloud.car_cloud import SEED, Deviates, deviates, typical_cars
from rules.launch.cloud.knobs import is_modelled
from rules.launch.cloud.measure_first import measure_first
from rules.launch.cloud.on_paper import Params
from rules.launch.effects import effect_of
from rules.launch.goals import (
    LEAST_CHANGE,
    MEASURES,
    Goal,
    Numbers,
    goal_of,
    held_by_bleed,
    held_up,
    numbers_of,
)
from rules.launch.mechanics.run import launch_many
from rules.launch.proposed_change import Effect, Expected, ProposedChange, missing
from rules.units import INCH_M

Array = NDArray[np.float64]

TRACE_S = 0.02
MOST_STEPS = 6
SURE = 0.9
LIKELY = 0.8
MOVED = 0.25
MOSTLY = 0.8
_UNKNOWN = {
    "valving": "the model knows nothing of the new valving: no dyno tables of both",
    "knob": "the knob's dyno table does not reach that far",
}
_NOT_IN_IT = {"unloads-at-gear-change": "the launch it runs holds no gear change"}
HELD = "thrust and spring hold it up, the bleed {{{:.1f} in|{:.0f} mm}} of it at most"
SIDE_EFFECTS = (
    "landing travel",
    "travel left",
    "lift",
    "carry",
    "settle",
    "least rear load",
    "60-foot",
)


@dataclass(frozen=True)
class _Trial:
    """One step tried on the kept cars.

    there: share of them that stay within the model before or after [-].
    moves: share of those on which the goal's number moves [-].  helps: of these again, for the
    better [-].  enough: share of all kept cars that are cured [-].  held: share of the nose's
    height that thrust and spring hold, where that is the goal [-].  bleed: what low-speed
    compression holds of it at most [m].
    """

    step: int
    after: Numbers
    lost: Array
    there: float
    moves: float
    helps: float
    enough: float
    held: float
    bleed: float


def forecast(question: ProposedChange, seed: int = SEED, pool: int = POOL) -> Expected:
    """Return what the model expects of a change; the same question gives the same answer.

    seed, pool: of the cloud of cars.
    """
    trade = len(question.steps)

    def no_say(standing: str, reason: str, **more: object) -> Expected:
        return Expected.model_validate(
            {"standing": standing, "reason": reason, "trade_step": trade, "step": trade}
            | {"seed": seed, "cars": pool}
            | more
        )

    if missing(question.car):
        drawn = deviates(question.car, pool, seed)
        cloud = typical_cars(question.car, question.settings, drawn)
        lift = launch_many(cloud.cars, step_s=STEP_S).columns["front_lift_max"]
        first = measure_first(question.car, cloud, drawn, lift)
        return no_say("too little known", "too little of this car is known", measure_first=first)
    fitted = adjusters(question.car)
    if not question.steps:
        return no_say("not modelled", "nothing is turned")
    for one in (fitted[lever] for lever in question.levers):
        stands = (question.settings, {**question.settings, **question.steps[-1]})
        if not all(is_modelled(question.car, one, at.get(one.id), at) for at in stands):
            return no_say("not modelled", _UNKNOWN.get(one.part, "this lever is not in the model"))
    goal = goal_of(question)
    if goal is None:
        reason = _NOT_IN_IT.get(question.symptom, "this symptom is not in the model")
        return no_say("not modelled", reason)
    seen = as_seen(question.car, question.seen, pool, seed)
    before, trials = _try_out(question, goal, _sizes(trade), seen.kept)
    last = trials[-1]
    standing, reason = _judge(last, seen)
    chosen = _choose(question, standing, trials)
    effects = _effects(goal, before, chosen.after)
    return no_say(
        standing,
        reason or _why_this_step(question, chosen, trade),
        goal=goal.name,
        step=chosen.step,
        helps=round(last.helps, 3),
        enough=round(chosen.enough, 3),
        fits=round(seen.fits, 3),
        passes=seen.passes,
        effective=round(seen.effective, 1),
        leaves_model=round(float(np.mean(chosen.lost)), 3),
        effects=effects,
        measure_first=seen.measure_first,
        not_modelled=seen.not_modelled,
    )


def _sizes(trade: int) -> list[int]:
    """Return the steps to try, the trade's last: all of them, or as many evenly spread."""
    count = min(trade, MOST_STEPS)
    return sorted({max(1, round(trade * (n + 1) / count)) for n in range(count)})


def _try_out(
    question: ProposedChange,
    goal: Goal,
    sizes: Sequence[int],
    kept: Deviates,
) -> tuple[Numbers, list[_Trial]]:
    """Launch the kept cars with today's settings and after every step, all in one batch."""
    settings = [question.settings, *(question.steps[size - 1] for size in sizes)]
    batch: list[Params] = []
    for one in settings:
        batch += typical_cars(question.car, one, kept).cars
    run = launch_many(batch, step_s=STEP_S, trace_s=TRACE_S)
    every = numbers_of(run, batch)
    lost = np.isnan(run.columns["front_lift_max"]).astype(np.float64)
    count = len(kept.numbers)

    def part(place: int) -> tuple[Numbers, Array]:
        cut = slice(place * count, (place + 1) * count)
        return {name: values[cut] for name, values in every.items()}, lost[cut]

    before, lost_before = part(0)
    held = held_up(run, batch[:count]) if goal.name == "nose at 3 s" else 0.0
    trials = []
    for place, size in enumerate(sizes, start=1):
        after, gone = part(place)
        change = goal.wanted * _difference(goal, before, after, lost_before, gone)
        least = LEAST_CHANGE[MEASURES[goal.name]]
        there = (lost_before == 0.0) | (gone == 0.0)
        helps = float(np.mean((change > least) & there))
        hurts = float(np.mean((change < -least) & there))
        enough = goal.enough(before, after, batch[place * count : (place + 1) * count])
        trials.append(
            _Trial(
                step=size,
                after=after,
                lost=gone,
                helps=helps / (helps + hurts) if helps + hurts else 0.0,
                moves=(helps + hurts) / max(float(np.mean(there)), 1e-9),
                there=float(np.mean(there)),
                enough=float(np.mean(enough & (gone == 0.0))),
                held=held,
                bleed=held_by_bleed(batch[:count]),
            )
        )
    return before, trials


def _difference(
    goal: Goal, before: Numbers, after: Numbers, lost_before: Array, lost_after: Array
) -> Array:
    """Return the change of the goal's number; leaving the model is the worst there is."""
    worst = -goal.wanted * 1e9
    first = np.where(lost_before > 0.0, worst, before[goal.name])
    second = np.where(lost_after > 0.0, worst, after[goal.name])
    if goal.name == "carry":
        first, second = np.nan_to_num(first), np.nan_to_num(second)
    return np.asarray(np.nan_to_num(second - first))


def _judge(trade: _Trial, seen: AsSeen) -> tuple[str, str]:
    """Say whether model and rule agree, and why the trade's step stands where they do not."""
    if seen.fits < FITS:
        return "unsure", "hardly any such car does what was seen"
    if seen.effective < LEAST_EFFECTIVE:
        return "too little known", "few such cars do what was seen"
    if trade.there < MOVED:
        return "unsure", "in the model it goes over either way"
    if trade.moves < MOVED:
        held = HELD.format(trade.bleed / INCH_M, trade.bleed * 1000.0)
        return "small effect", held if trade.held >= MOSTLY else "this car hardly feels it"
    if trade.helps >= SURE:
        return "agrees", ""
    if trade.helps <= 1.0 - SURE:
        return "disagrees", "it expects the opposite"
    return "unsure", "it hangs on numbers that are not known"


def _choose(question: ProposedChange, standing: str, trials: Sequence[_Trial]) -> _Trial:
    """Return the smallest step that is likely enough, else the trade's; half where it disagrees."""
    if question.danger or standing in ("unsure", "small effect", "too little known"):
        return trials[-1]
    if standing == "disagrees":
        return trials[(len(trials) - 1) // 2]
    return next((one for one in trials if one.enough >= LIKELY), trials[-1])


def _why_this_step(question: ProposedChange, chosen: _Trial, trade: int) -> str:
    likely = chosen.enough >= LIKELY
    if question.danger:
        # A smaller cure of a dangerous fault would be the unsafe way to be wrong.
        return "the full step, for safety" + ("" if likely else "; it may not be enough")
    if likely:
        smaller = "a smaller step than the trade's" if chosen.step < trade else "the trade's step"
        return f"{smaller} is likely enough, with a margin"
    return "it may not be enough"


def _effects(goal: Goal, before: Numbers, after: Numbers) -> tuple[Effect, ...]:
    names = [goal.name, *(name for name in SIDE_EFFECTS if name != goal.name)]
    found = (effect_of(name, before[name], after[name]) for name in names)
    return tuple(one for one in found if one is not None)
