"""Every way to go on that the gates allow: turns of every lever, several sizes both ways, and back.

Whether the book names the lever for this symptom or not; the gates come first.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import isfinite

from rules.advice.after_verdict import half_back, put_back
from rules.advice.candidates import make_turns, with_clicks
from rules.advice.safety import gates
from rules.advice.safety.moves import moves
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation
from rules.car.adjusters import Adjuster, Settings, Turn, across, job_minutes, pair_of
from rules.car.steps import trade_step
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK
from rules.log.state import MEETING_OF_CHANGE

HALF_RANGE = 0.5
HALF_WAY = "On the cars that do what was seen, a setting between the two does better."
BACK = "On the cars that do what was seen, the settings before do better."
_TIMES = (1, 2, 3, 4, 6, 9, 14)
_MOST_LEVER_STEPS = 14
# Launch rpm is the strongest lever of all: past a tenth of it at once a car bogs, and the launch of
# the model knows nothing of that. Common practice, no source.
MOST_LAUNCH = 0.1


@dataclass(frozen=True)
class Way:
    """One way to go on: its turns, or a draft that holds them already.

    levers: those that move.  upward: whether they go firmer (more, longer, ...).
    steps: in the lever's own steps.  rises: whether it lets the front rise.
    """

    turns: tuple[Turn, ...]
    levers: tuple[Adjuster, ...]
    upward: bool
    steps: int
    rises: bool
    minutes: int
    draft: Draft | None = None

    @property
    def goals(self) -> tuple[tuple[str, float], ...]:
        """Where it takes each adjuster, in the order of their ids."""
        return tuple(sorted((turn.adjuster, turn.after) for turn in self.turns))

    def settings(self, today: Mapping[str, float]) -> Settings:
        """Return where everything stands after it."""
        return dict(today) | {turn.adjuster: turn.after for turn in self.turns}


def ways(now: Situation) -> list[Way]:
    """Return every way that no gate refuses and that the launch knows, none of them twice.

    What was put back after this pass is not put on again before another.
    """
    found: dict[tuple[tuple[str, float], ...], Way] = {}
    undone = PUT_BACK in now.run.settled
    for way in (*_back(now), *_turned(now)):
        again = undone and way.settings(now.state.settings) == dict(now.run.settings)
        if not again and _is_known(now, way):
            found.setdefault(way.goals, way)
    return list(found.values())


def of_draft(now: Situation, draft: Draft) -> Way | None:
    """Return a draft's own way; None where it turns nothing or something the launch lacks."""
    if not draft.turns:
        return None
    way = _made_of(now, draft.turns, draft)
    return way if _is_known(now, way) else None


def _made_of(now: Situation, turns: tuple[Turn, ...], draft: Draft | None = None) -> Way:
    """Return what turns come to, a draft's or of their own."""
    levers = tuple(now.fitted[turn.adjuster] for turn in turns)
    return Way(
        turns,
        levers,
        upward=(turns[0].after - turns[0].before) * levers[0].up(True) > 0,
        steps=max(
            round(abs(turn.after - turn.before) / one.step)
            for one, turn in zip(levers, turns, strict=True)
            if one.part == levers[0].part
        ),
        rises=any(one.lifts for one in moves(turns, now.fitted)),
        minutes=job_minutes(levers),
        draft=draft,
    )


def beside(fitted: Mapping[str, Adjuster], one: Adjuster) -> list[Adjuster]:
    """Return a lever with what moves together with it: its pair, or its other side by name."""
    pair = pair_of(fitted, one)
    other = fitted.get(across(one.id))
    alike = len(pair) == 1 and other is not None and other is not one and other.step == one.step
    return [one, other] if alike and other is not None else pair


def sizes(one: Adjuster, now: float) -> Iterable[int]:
    """Return the steps that are tried: the trade's step and its multiples, up to half the range.

    Another valving is the same job however far it lies, so each of them is tried.
    now: where it stands.
    """
    if one.part == "valving":
        return range(1, int(one.marks) + 1)
    trade = trade_step(one)
    half = int(min(one.marks * HALF_RANGE, _MOST_LEVER_STEPS * trade))
    if one.part == "launch rpm":
        half = min(half, max(trade, int(MOST_LAUNCH * now / one.step)))
    # A lever of which the file names no ends goes no further than two of the trade's steps.
    most = half if isfinite(one.marks) else min(half, 2 * trade)
    wanted = {1, most, *(trade * times for times in _TIMES)}
    return sorted(size for size in wanted if 1 <= size <= max(1, most))


def _turned(now: Situation) -> Iterator[Way]:
    done: set[str] = set()
    for one in now.fitted.values():
        if one.id in done:
            continue
        levers = beside(now.fitted, one)
        done |= {lever.id for lever in levers}
        if one.part == "knob" and len(levers) == 1:
            # One side alone turns the car, of which the launch knows nothing.
            continue
        for upward in (True, False):
            for size in sizes(one, now.state.settings[one.id]):
                steps = {lever.id: size for lever in levers}
                made = make_turns(levers, now.state.settings, upward, steps, opens_further=True)
                turns = with_clicks(now, made)
                # After a danger a timid step is none; what the room cuts short is no such step.
                timid = now.danger and size < trade_step(one)
                way = turns and _way(now, turns, timid)
                if way:
                    yield way


def _way(now: Situation, turns: tuple[Turn, ...], timid: bool) -> Way | None:
    way = _made_of(now, turns)
    first = way.levers[0]
    none = any(not one.holds(t.after) for one, t in zip(way.levers, turns, strict=True)) or (
        first.part not in ("knob", "preload") and not first.positions and turns[0].after <= 0.0
    )
    hurried = gates.hurried(
        list(way.levers), way.minutes, now.minutes_left, now.state.clock_went_back
    )
    if none or (timid and not way.rises) or hurried or refused(now, turns):
        return None
    return way


def _back(now: Situation) -> Iterator[Way]:
    """Yield the ways back to settings of this meeting, and half of the last change back."""
    if PUT_BACK in now.run.settled:
        return
    made = [
        one
        for one in now.state.changes.under(*MEETING_OF_CHANGE, now.run.meeting or "")
        if one.meeting == now.run.meeting
        and one.origin != PUT_BACK
        and one.status != "withdrawn"
        and any(step.moved for step in one.steps)
    ]
    drafts = [put_back(now, made[first:], BACK) for first in reversed(range(len(made)))]
    halves = [half_back(now, one) for one in made[-1:]]
    drafts += [one.model_copy(update={"cause": HALF_WAY}) for one in halves if one is not None]
    for draft in drafts:
        way = draft and of_draft(now, draft)
        if way and way.draft is not None and not way.draft.cautions:
            yield way


def _is_known(now: Situation, way: Way) -> bool:
    # The array library is loaded when the launch is first asked.
    from rules.launch.cloud.knobs import is_modelled

    car, today = now.state.described_car, now.state.settings
    after = way.settings(today)
    return all(is_modelled(car, one, at[one.id], at) for one in way.levers for at in (today, after))
