"""What a setting ran before: a number far from it is asked back.

Middle and scatter are the median and the median distance from it, which one bad pass does not move
(Hampel, J. Am. Stat. Assoc. 69:383, 1974, from memory). The scatter is that of all the car's passes
about the middle of their own setting and meeting, and of a usual car where those are few. What
lane, air and the way of the day may do is allowed for. Before a setting has passes enough it is
held against the few it has, or against the car's others, from as far as a wild car and another
setting go. Sizes are common practice, no source.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from math import hypot, pi, sqrt
from statistics import median

from rules.advice.timed_passes import is_counted
from rules.evidence.priors import AT_THE_STRIPE, SCATTER_PER_SECOND, SCATTER_S
from rules.log.conditions import air_at
from rules.log.engine import breathing_of
from rules.log.slip_words import slip_of
from rules.log.state import Run, State
from rules.passes.air_effect import AirPart, air_part, air_prior
from rules.passes.breathing import Breathing
from rules.passes.slip import BEAMS_M, FIELDS, STRETCHES, Own, Slip

ENOUGH_PASSES = 3
# So many of the latest passes on the setting, and of all passes for the scatter.
LATEST, FOR_SCATTER = 7, 60
# So many passes are looked through: on a setting that ran before those the car was another.
LOOKED_THROUGH = 600
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
# One standard deviation of what a wild car scatters and of what another setting does [s], for where
# there are too few passes to say.
WILD_S, SETTING_S = 0.022, 0.050
# Of a speed, as a share of it: its scatter, and all that moves it beside.
SPEED_SCATTER, SPEED_MOVES = 0.004, 0.006


def own_numbers(state: State, run: Run | None) -> Mapping[str, Own]:
    """Return what the setting of a pass ran before, by field of the slip and by stretch.

    Passes of this meeting alone, where there are enough; else those of others with them; of times
    also where there are fewer, and where there is none what the car's other settings ran.

    run: the pass; None for one that is not in the log yet.
    """
    now = state.meeting.id if state.meeting else None
    meeting = run.meeting if run else now
    settings = dict(run.settings if run else state.settings)
    latest = islice(reversed(state.runs), LOOKED_THROUGH)
    counted = list(_counted(latest, run))[::-1]
    at_meeting = list(_counted(state.runs_at(meeting), run))
    here = [one for one in at_meeting if dict(one.settings) == settings]
    alike = here
    if len(here) < ENOUGH_PASSES:
        alike = [one for one in counted if dict(one.settings) == settings] or here
    recent = counted[-FOR_SCATTER:]
    if len(alike) >= ENOUGH_PASSES:
        peers = alike[-LATEST:]
        keys, least = {*FIELDS, *STRETCHES} - {"reaction_s", "dial_in_s"}, ENOUGH_PASSES
    else:
        peers = (alike or at_meeting or counted)[-LATEST:]
        keys, least = {*BEAMS_M, *STRETCHES}, 1
    compared = _Compared(
        peers,
        elsewhere=any(one.meeting != meeting for one in peers),
        few=len(alike) < ENOUGH_PASSES,
        alike=bool(alike),
    )
    return {
        key: _own(state, run, key, compared, _residuals(recent, key))
        for key in keys
        if sum(_number(one, key) is not None for one in peers) >= least
    }


def _counted(runs: Iterable[Run], but: Run | None) -> Iterator[Run]:
    return (one for one in runs if is_counted(one) and (but is None or one.id != but.id))


@dataclass(frozen=True)
class _Compared:
    """The passes a number is held against: some at other meetings, few of them, on the setting."""

    peers: list[Run]
    elsewhere: bool
    few: bool
    alike: bool


def _own(
    state: State,
    run: Run | None,
    key: str,
    compared: _Compared,
    residuals: list[float],
) -> Own:
    """Return middle and distance of one number, brought to the air of the pass where both noted."""
    found = [(one, value) for one in compared.peers if (value := _number(one, key)) is not None]
    typical = median(value for _, value in found)
    breathing = breathing_of(state)
    parts = [_air(state, run, one, key, typical, breathing) for one, _ in found]
    values = [value + part.seconds for (_, value), part in zip(found, parts, strict=True)]
    usual, moves = _usual(key, typical, compared)
    own = median(map(abs, residuals)) / MEDIAN_DISTANCE if residuals else 0.0
    weight = len(residuals)
    scatter = sqrt((weight * own**2 + WORTH_PASSES * usual**2) / (weight + WORTH_PASSES))
    spread = scatter * sqrt(1.0 + MEDIAN_LOSS / len(values))
    air = median(part.give_s for part in parts)
    return Own(median(values), FAR * hypot(spread, moves, air), len(values), compared.alike)


def _usual(key: str, typical: float, compared: _Compared) -> tuple[float, float]:
    """Return the scatter of a usual car, and what lane, day, meeting and setting move a number by.

    Of few passes a wild car's scatter.
    """
    if key in FIELDS and FIELDS[key].quantity is not None:
        return SPEED_SCATTER * typical, SPEED_MOVES * typical * (2.0 if compared.elsewhere else 1.0)
    meeting = MEETING_S if compared.elsewhere else 0.0
    moves = hypot(LANE_S, DAY_S, meeting, 0.0 if compared.alike else SETTING_S)
    launch = WILD_S if compared.few else SCATTER_S
    if key == "sixty_s":
        return launch, moves
    part = PAST_THE_LAUNCH if key in STRETCHES else 1.0
    scatter = part * launch + SCATTER_PER_SECOND * typical
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
