"""What a setting ran before: a number far from it is asked back.

Middle and scatter are the median and the median distance from it, which one bad pass does not move
(Hampel, J. Am. Stat. Assoc. 69:383, 1974, from memory). The scatter is that of all the car's passes
about the middle of their own setting and meeting, and of a usual car where those are few. What
lane, air and the way of the day may do is allowed for. Sizes are common practice, no source.
"""

from collections.abc import Iterable, Mapping
from math import hypot, pi, sqrt
from statistics import median

from rules.advice.change_evidence import is_counted
from rules.evidence.priors import AT_THE_STRIPE, SCATTER_PER_SECOND, SCATTER_S
from rules.log.conditions import air_at
from rules.log.engine import breathing_of
from rules.log.slip_words import slip_of
from rules.log.state import Run, State
from rules.passes.air_effect import AirPart, air_part, air_prior
from rules.passes.breathing import Breathing
from rules.passes.slip import FIELDS, STRETCHES, Own, Slip

ENOUGH_PASSES = 3
# So many of the latest passes on the setting, and of all passes for the scatter.
LATEST, FOR_SCATTER = 7, 60
# How many passes a usual car's scatter is worth beside its own.
WORTH_PASSES = 4
# How far is far, in standard deviations.
FAR = 3.5
# The median distance from the median of normal numbers, over their standard deviation, and how much
# worse a median knows their middle than a mean does.
MEDIAN_DISTANCE, MEDIAN_LOSS = 0.6745, pi / 2.0
# One standard deviation of what moves a 60-foot [s]: the other lane, the way of a day, another
# meeting; and an air that nobody read, as a share of its density.
LANE_S, DAY_S, MEETING_S, AIR_SHARE = 0.004, 0.004, 0.020, 0.010
# What of the launch's scatter, and of what lane and day do, comes on top between two beams.
PAST_THE_LAUNCH = 0.5
# Of a speed, as a share of it: its scatter, and all that moves it beside.
SPEED_SCATTER, SPEED_MOVES = 0.004, 0.006


def own_numbers(state: State, run: Run | None) -> Mapping[str, Own]:
    """Return what the setting of a pass ran before, by field of the slip and by stretch.

    Passes of this meeting alone, where there are enough; else those of others with them.

    run: the pass; None for one that is not in the log yet.
    """
    now = state.meeting.id if state.meeting else None
    meeting = run.meeting if run else now
    settings = dict(run.settings if run else state.settings)
    counted = [one for one in state.runs if is_counted(one) and (run is None or one.id != run.id)]
    alike = [one for one in counted if dict(one.settings) == settings]
    here = [one for one in alike if one.meeting == meeting]
    peers = (here if len(here) >= ENOUGH_PASSES else alike)[-LATEST:]
    elsewhere = any(one.meeting != meeting for one in peers)
    recent = counted[-FOR_SCATTER:]
    found = {}
    for key in (*FIELDS.keys() - {"reaction_s", "dial_in_s"}, *STRETCHES):
        if sum(_number(one, key) is not None for one in peers) >= ENOUGH_PASSES:
            found[key] = _own(state, run, key, peers, _residuals(recent, key), elsewhere)
    return found


def _own(
    state: State,
    run: Run | None,
    key: str,
    peers: list[Run],
    residuals: list[float],
    elsewhere: bool,
) -> Own:
    """Return middle and distance of one number, brought to the air of the pass where both noted."""
    found = [(one, value) for one in peers if (value := _number(one, key)) is not None]
    typical = median(value for _, value in found)
    breathing = breathing_of(state)
    parts = [_air(state, run, one, key, typical, breathing) for one, _ in found]
    values = [value + part.seconds for (_, value), part in zip(found, parts, strict=True)]
    usual, moves = _usual(key, typical, elsewhere)
    own = median(map(abs, residuals)) / MEDIAN_DISTANCE if residuals else 0.0
    weight = len(residuals)
    scatter = sqrt((weight * own**2 + WORTH_PASSES * usual**2) / (weight + WORTH_PASSES))
    spread = scatter * sqrt(1.0 + MEDIAN_LOSS / len(values))
    air = median(part.give_s for part in parts)
    return Own(median(values), FAR * hypot(spread, moves, air), len(values))


def _usual(key: str, typical: float, elsewhere: bool) -> tuple[float, float]:
    """Return the scatter of a usual car, and what lane, day and meeting move a number by."""
    if key in FIELDS and FIELDS[key].quantity is not None:
        return SPEED_SCATTER * typical, SPEED_MOVES * typical * (2.0 if elsewhere else 1.0)
    moves = hypot(LANE_S, DAY_S, MEETING_S if elsewhere else 0.0)
    if key == "sixty_s":
        return SCATTER_S, moves
    part = PAST_THE_LAUNCH if key in STRETCHES else 1.0
    scatter = part * SCATTER_S + SCATTER_PER_SECOND * typical
    return scatter, part * AT_THE_STRIPE * moves


def _air(
    state: State, run: Run | None, one: Run, key: str, typical: float, breathing: Breathing | None
) -> AirPart:
    """Return what the air of the pass makes of an earlier number; its give where unread."""
    if key in FIELDS and FIELDS[key].quantity is not None:
        return AirPart(0.0, 0.0)
    sixty = key == "sixty_s"
    then, now = air_at(one), air_at(run) if run else None
    if then is not None and now is not None:
        dry = (then.dry_density_kg_m3, now.dry_density_kg_m3)
        return air_part(typical, *dry, sixty, breathing)
    known = air_prior(typical, sixty, breathing)
    return AirPart(0.0, AIR_SHARE * hypot(known.seconds, known.give_s))


def _residuals(runs: Iterable[Run], key: str) -> list[float]:
    """Return how far each pass is from the middle of its own setting and meeting.

    A middle of few passes lies too near to them, by the root of one less than their number.
    """
    groups: dict[tuple[object, ...], list[float]] = {}
    for one in runs:
        value = _number(one, key)
        if value is not None:
            groups.setdefault((one.meeting, *sorted(one.settings.items())), []).append(value)
    return [
        (value - median(values)) * sqrt(len(values) / (len(values) - 1))
        for values in groups.values()
        if len(values) > 2
        for value in values
    ]


def _number(run: Run, key: str) -> float | None:
    slip: Slip = slip_of(run)
    if key in STRETCHES:
        return slip.stretch(key)
    value: float | None = getattr(slip, key)
    return value
