"""What is shown of the car: every knob and lever with its count, its net and what is open of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from rules.asked import Topic
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.crew.prompts import advice_of
from rules.log.changes import Change
from rules.log.standing import net_text
from rules.log.state import State
from rules.question import Prompt
from tui.lines import spoken

CORNERS = ("left front", "right front", "left rear", "right rear")
SHORT = 7
Mark = Literal["", "to go", "now", "done", "stopped"]
WORDS: Mapping[Mark, str] = {
    "to go": "►",
    "done": "■ DONE",
    "stopped": "▲ STOPPED",
}
STYLES: Mapping[Mark, str] = {
    "": "",
    "to go": "$open",
    "now": "$open",
    "done": "$done",
    "stopped": "$danger",
}


@dataclass(frozen=True)
class Shown:
    """One knob or lever as it is drawn.

    corner: one of `CORNERS`; empty for a lever.  short: its name in at most `SHORT` letters.
    count, goal, net: in the crew's words; goal is empty where nothing is to be turned.
    unit: of a count that is a number of something else than marks.
    now, base, aim: where the count, the baseline and the goal stand in the range, 0 to 1; None
        where the file names no ends, or there is none.
    order: what is to be done or was done, in a word or two.
    """

    key: str
    corner: str
    name: str
    short: str
    count: str
    unit: str = ""
    net: str = ""
    goal: str = ""
    now: float | None = None
    base: float | None = None
    aim: float | None = None
    mark: Mark = ""
    order: str = ""

    @property
    def style(self) -> str:
        """The colour of its mark."""
        return STYLES[self.mark]

    @property
    def stands_out(self) -> bool:
        """Whether it is off its baseline, or something of it is open."""
        return bool(self.net or self.mark)


class CarView(NamedTuple):
    """The whole car: knobs by corner, then the levers; `picked` is the corner that was chosen.

    bare: corners of whose damper the file says that it has no knob; of one that it does not name
        nobody knows.
    """

    knobs: Mapping[str, tuple[Shown, ...]]
    levers: tuple[Shown, ...] = ()
    wheelie_bars: bool = False
    picked: str = ""
    bare: frozenset[str] = frozenset()

    def marks(self, corner: str) -> Mark:
        """Return what is most urgent at a corner."""
        found = {one.mark for one in self.knobs.get(corner, ())}
        order: tuple[Mark, ...] = ("stopped", "now", "to go", "done")
        return next((mark for mark in order if mark in found), "")


def car_view(state: State, prompt: Prompt | None = None, picked: str = "") -> CarView | None:
    """Return the car as the question that is open sees it; None before a car is described."""
    if state.car is None:
        return None
    turns, marks = _open_turns(state, prompt)
    fitted = adjusters(state.car)
    shown = [_shown(state, fitted, one, turns, marks) for one in fitted.values()]
    knobs = {place: tuple(one for one in shown if one.corner == place) for place in CORNERS}
    levers = tuple(one for one in shown if not one.corner)
    bare = frozenset(one.corner for one in state.car.dampers if not one.knobs)
    return CarView(knobs, levers, bool(state.car.wheelie_bars), picked, bare)


def _open_turns(
    state: State, prompt: Prompt | None
) -> tuple[Mapping[str, Turn], Mapping[str, Mark]]:
    """Return what is still to be turned and what is marked, by adjuster."""
    if prompt is not None and (advice := advice_of(prompt)) is not None:
        return {turn.adjuster: turn for turn in advice.turns}, {
            turn.adjuster: "to go" for turn in advice.turns
        }
    about = prompt.about if prompt else None
    change = about if isinstance(about, Change) else state.open_change
    if change is None:
        return {}, {}
    turns = {one.turn.adjuster: one.to_go for one in change.steps if one.state == "open"}
    kinds: Mapping[str, Mark] = {"open": "to go", "done": "done", "stopped": "stopped"}
    marks = {one.turn.adjuster: kinds[one.state] for one in change.steps}
    if prompt is not None and prompt.topic == Topic.TURN and prompt.subject in turns:
        marks[prompt.subject] = "now"
    return turns, marks


def _shown(
    state: State,
    fitted: Mapping[str, Adjuster],
    one: Adjuster,
    turns: Mapping[str, Turn],
    marks: Mapping[str, Mark],
) -> Shown:
    value = state.settings[one.id]
    goal = state.baseline.settings.get(one.id) if state.baseline else None
    turn, mark = turns.get(one.id), marks.get(one.id, "")
    return Shown(
        key=one.id,
        corner=one.place,
        name=spoken(state, one.name),
        short=short_name(state, fitted, one),
        count=one.show(value) if one.positions or one.part == "knob" else f"{value:g}",
        unit="" if one.positions or one.part == "knob" else one.unit,
        net=_net(state, one.id),
        goal=one.show(turn.after) if turn else "",
        now=one.firmness(value),
        base=None if goal is None else one.firmness(goal),
        aim=one.firmness(turn.after) if turn else None,
        mark=mark,
        order=_order(state, one, turn, mark),
    )


def _net(state: State, key: str) -> str:
    """Return how far a setting is from the baseline, as the counts say it; empty at it."""
    said = net_text(state, key)
    return said.split(" (")[0].replace("-", "−") if said[:1] in "+-" else ""


def _order(state: State, one: Adjuster, turn: Turn | None, mark: Mark) -> str:
    """Say in a word or two what is open of an adjuster."""
    if mark == "now":
        return f"► {one.hand.act} now".upper()
    if mark != "to go" or turn is None:
        return WORDS.get(mark, "")
    distance = turn.after - turn.before
    if one.positions:
        return f"► {one.show(turn.after)}"
    word = spoken(state, one.direction_word(distance * one.up(True) > 0)).upper()
    amount = one.show_steps(distance / one.step).split(" click")[0].split(" turn")[0]
    return f"► {amount} {word}"


def short_name(state: State, fitted: Mapping[str, Adjuster], one: Adjuster) -> str:
    """Return a knob's name in a few letters: ext, comp, lo comp; its own where that is unclear."""
    if one.part != "knob" or one.controls is None:
        return spoken(state, one.name)
    said = _by_what_it_does(state, one)
    twins = [
        other
        for other in fitted.values()
        if other.part == "knob"
        and other.place == one.place
        and other.id != one.id
        and _by_what_it_does(state, other) == said
    ]
    return spoken(state, one.name)[:SHORT].strip() if twins else said


def _by_what_it_does(state: State, one: Adjuster) -> str:
    """Say what a knob moves: rebound is extension to a US crew, a knob of both is damping."""
    controls = spoken(state, str(one.controls))
    said = {"rebound": "reb", "extension": "ext", "compression": "comp", "both": "damping"}
    speed = {"low": "lo ", "high": "hi "}.get(one.speed, "")
    return f"{speed}{said.get(controls, controls)}"[:SHORT]
