"""A practice day at the desk: which pass waits to be run, what was seen of it, and the truth.

All of it follows from the seed and the log: killed anywhere, the day goes on where it was.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from rules.asked import Topic
from rules.car.model import Car
from rules.crew.actions import Measure
from rules.crew.pass_actions import NoteSlip
from rules.log.said import SYMPTOMS
from rules.log.state import State
from rules.practice import eyes
from rules.practice.hidden_car import HiddenCar
from rules.practice.played_pass import PlayedPass, played
from rules.practice.truth import good_running, truth
from rules.practice.words import seen_lines, truth_lines
from rules.question import Given, Prompt
from rules.wording import say
from tui.desk import Desk
from tui.drawn.picture import Picture
from tui.pages.pass_picture import pass_picture

GOOD_DAY = 2
"""So many passes running without a fault end the day, and its truth is told."""
Settings = tuple[tuple[str, float], ...]


@dataclass
class Practising:
    """One practice day.

    file: the car file that the truth is drawn around.  draw: draws it; a few seconds.
    """

    desk: Desk
    file: Car
    draw: Callable[[], HiddenCar]
    _seen: set[tuple[int, Settings]] = field(default_factory=set)

    @cached_property
    def car(self) -> HiddenCar:
        """The truth; drawn when it is first asked for."""
        return self.draw()

    def waiting(self) -> int | None:
        """Return the number of the pass that must be run before the open question; None if none."""
        state, prompt = self.desk.state, self.desk.prompt
        if prompt.topic != Topic.RAN and not is_about_pass(state, prompt):
            return None
        number = _number(state)
        return None if (number, _settings(state)) in self._seen else number

    @property
    def driver_is_told(self) -> bool:
        """Whether the pit screen itself says what the pass is run with."""
        return self.desk.prompt.topic == Topic.RAN

    def may_answer(self) -> bool:
        """Whether the open question is one that eyes answer, and there was something to see."""
        return self.waiting() is None and is_about_pass(self.desk.state, self.desk.prompt)

    def run(self) -> PlayedPass:
        """Run the pass that waits; a second of work, a few on the first."""
        state = self.desk.state
        return played(self.car, dict(_settings(state)), _number(state))

    def was_run(self) -> None:
        """Take note that the crew has seen the pass."""
        state = self.desk.state
        self._seen.add((_number(state), _settings(state)))
        if self.desk.prompt.topic == Topic.RAN:
            self.desk.answer(self.desk.prompt.id, Topic.RAN)

    def seen(self) -> tuple[list[str], Picture]:
        """Return what was seen of the pass that the open question is about, in words and drawn."""
        now, system = self.run(), self.file.units
        lines = [say(line, system) for line in seen_lines(now, self.file)]
        return lines, pass_picture(now, eyes.readings(now).ring_m, system, self._before(now))

    def _before(self, now: PlayedPass) -> list[PlayedPass]:
        """Return the passes of the day before this one."""
        runs = [one for one in self.desk.state.runs if one.number < now.number]
        return [played(self.car, dict(one.settings), one.number) for one in runs]

    def answer(self) -> Given | None:
        """Return what a crew with honest eyes answers now; None where a hand or a head must."""
        state, prompt = self.desk.state, self.desk.prompt
        if not is_about_pass(state, prompt):
            return None
        now = self.run()
        earlier = next(reversed(self._before(now)), None)
        run = state.open_run
        change = state.change(run.change) if run is not None and run.change else None
        return eyes.answer(prompt, now, earlier, change.symptom if change else None)

    def measure(self) -> None:
        """Record what was read of the open pass and is not recorded yet.

        Raises:
            LogError: if it could not be committed.
        """
        seen, run = self.run(), self.desk.state.open_run
        sixty = eyes.readings(seen).sixty_s
        if run is not None and run.sixty_s is None and sixty is not None:
            self.desk.act(NoteSlip(run=run.number, sixty=sixty, keep=("sixty",)))
        for what, inputs in eyes.measurements(seen, self.file):
            run = self.desk.state.open_run
            if run is not None and what not in run.measured:
                self.desk.act(Measure(what=what, inputs=inputs))

    @property
    def may_be_over(self) -> bool:
        """Whether enough passes were run, and nothing of them is left to answer."""
        return self.desk.state.open_run is None and len(self.desk.state.runs) >= GOOD_DAY

    @property
    def is_over(self) -> bool:
        """Whether the last passes were good, too; may draw the car, which takes seconds."""
        return self.may_be_over and good_running(self.car, self.desk.state) >= GOOD_DAY

    def truth(self) -> list[str]:
        """Return the truth of the day, as lines."""
        told = truth(self.file, self.car, self.desk.state)
        return [say(line, self.file.units) for line in truth_lines(told)]


def is_about_pass(state: State, prompt: Prompt) -> bool:
    """Tell whether a question is about what a pass did."""
    return prompt.topic == SYMPTOMS or (
        state.open_run is not None
        and prompt.topic not in frozenset(Topic)
        and prompt.kind in ("one", "many", "number")
    )


def _number(state: State) -> int:
    run = state.open_run
    return run.number if run is not None else len(state.runs) + 1


def _settings(state: State) -> Settings:
    run = state.open_run
    return tuple(sorted((run.settings if run is not None else state.settings).items()))
