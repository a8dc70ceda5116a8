"""The pit screen: the open question, and whatever it is about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from profiles.logfile import LogError
from rules.advice.safety import gates
from rules.asked import Topic
from rules.log.state import State
from rules.question import Given, Prompt
from tui.arranged import MARGINS, WIDE_FROM
from tui.desk import Desk
from tui.drawn.car_view import CORNERS, CarView, car_view
from tui.drawn.corner import corner_rows
from tui.drawn.header import header
from tui.drawn.lately import lately
from tui.keys import KEYS
from tui.laid import ALERT, Laid, laid
from tui.lines import spoken, spoken_prompt
from tui.loading import load_later
from tui.pit_bindings import PIT_BINDINGS
from tui.screens.pit_keys import PitKeys
from tui.screens.questions import QUESTIONS_CSS
from tui.visible import visible
from tui.widgets.car_panel import CarPanel

if TYPE_CHECKING:
    from rules.log.events.event import Body

MOST_LATELY = 8
TICK_S = 5.0
"""How often the minutes to the call are looked at [s]."""
BROKEN = 12
"""Cells that two rows of a message may lose where the first one is broken."""
WORKING = "working it out; Backspace goes back"
# The first question is drawn by then, and nobody has read it yet.
SETTLED_S = 0.3
PIT_CSS = [*QUESTIONS_CSS, "pit.tcss"]


class PitScreen(PitKeys):
    """Shows one question at a time and takes its answer to the desk."""

    shows_car = True
    CSS_PATH = PIT_CSS
    HELP = (
        "One question at a time. A gauge runs from soft to firm: upright at the baseline, solid "
        "for more than it, shaded for less."
    )
    BINDINGS = PIT_BINDINGS

    @dataclass
    class WorkedOut(Message):
        """The advice that was due in a state."""

        state: State
        bodies: list[Body]

    def __init__(self, desk: Desk, settle_s: float = 0.25) -> None:
        super().__init__(desk, settle_s)
        self._working_on: State | None = None
        self._is_settled = False
        self._learnt_passes = 0
        self._typing = False
        self._claimed: frozenset[str] = frozenset()
        self.corner = ""
        self._header = Content("")

    def above(self) -> ComposeResult:
        yield Static(id="notice", markup=False)
        yield Static(id="plate", markup=False)
        yield Static(id="body", markup=False)

    def below(self) -> ComposeResult:
        yield Static(id="lately", markup=False)

    def under(self) -> ComposeResult:
        yield Static(id="safety", markup=False)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell which keys work: while a text is typed, letters are text.

        A letter that answers the open question is no other key meanwhile.
        """
        if action == "do":
            return self._typing == (len(parameters) > 1) and parameters[0] not in self._claimed
        if action == "whole_car":
            return bool(self.corner)
        return super().check_action(action, parameters)

    def begin(self) -> None:
        super().begin()
        self.set_interval(TICK_S, self.draw_frame)
        self.set_timer(SETTLED_S, self._load_behind)
        notice, rows = self.desk.notice, 2 * (self.window.width - MARGINS)
        if self.desk.resumed:
            where = spoken(self.desk.state, self.desk.prompt.question)
            room = rows - len(notice) - BROKEN if notice else rows // 2
            self.say_picked_up(f"{visible(f'Picked up at: {where}', room)} {notice}".strip())
        elif notice:
            self.say(notice)

    def _load_behind(self) -> None:
        """Load and learn what the first question does without."""

        def load() -> None:
            load_later()
            self.desk.book.rules_for("")  # Which reads the rules.

        self.run_worker(load, thread=True, group="loading")
        self._is_settled = True
        if self._working_on is None:
            self._learn_beside(self.desk.state)

    def draw(self) -> None:
        """Draw the open question, what it is about, and the car."""
        state = self.desk.state
        prompt = spoken_prompt(state, self.desk.prompt)
        self._set_keys(prompt)
        self.draw_frame()
        now = laid(self.desk, prompt, self.window, int(self.long_message))
        view = car_view(state, prompt, self.corner)
        self.draw_car(view, now.way, self._corner(view, now.way.panel))
        self._put("#notice", now.way.prompt.notice)
        self._put("#plate", now.plate)
        self._put("#body", now.body)
        self._put("#safety", f"{ALERT}{now.safety}" if now.safety else "")
        self.asker.ask(now.way.prompt, self._ticks(prompt), now.way.room, now.way.width)
        self._put("#lately", self._lately(now))
        self._work_beside(state, prompt)

    def _put(self, where: str, said: str | Content | None) -> None:
        """Show a text, or nothing where there is none."""
        one = self.query_one(where, Static)
        one.display = bool(said)
        one.update(said or "")

    def _lately(self, now: Laid) -> Content | None:
        """Return the last of the log, where the window is wide and has room below the question."""
        if self.window.width < WIDE_FROM:
            return None
        rows = now.left - self.asker.spare - 1
        told = lately(self.desk.state, self.desk.book, now.way.width, min(rows, MOST_LATELY))
        return Content("\n").join(told) if told else None

    def draw_frame(self) -> None:
        """Draw where everything stands; the minutes to the call tick down between answers."""
        desk = self.desk
        said = header(desk.state, desk.prompt, self.window.width, desk.clock())
        if not self._header.is_same(said):
            self._header = said
            self.query_one("#strip", Static).update(said)

    def _set_keys(self, prompt: Prompt) -> None:
        """Show the keys that work where letters are text, where they answer, or where they do."""
        typing, letters = prompt.kind == "text", prompt.letters
        claimed = frozenset(one.id for one in KEYS if one.key in letters)
        if (typing, claimed) != (self._typing, self._claimed):
            self._typing, self._claimed = typing, claimed
            self.refresh_bindings()

    def _work_beside(self, state: State, prompt: Prompt) -> None:
        """Work out in a thread what is due, or learn meanwhile."""
        if prompt.topic == Topic.WORKING_OUT:
            self.work_begins(WORKING)
        else:
            self.work_ends()
        if prompt.topic == Topic.WORKING_OUT and self._working_on is not state:
            self._working_on = state
            self.run_worker(lambda: self._work_out(state), thread=True, group="advice")
        else:
            self._learn_beside(state)

    def _learn_beside(self, state: State) -> None:
        """Let the passes before be learnt while the crew answers; the first paint comes first."""
        known = not self._is_settled or self._learnt_passes == len(state.runs)
        if self.desk.model is not None and not known:
            self._learnt_passes = len(state.runs)
            self.run_worker(lambda: self.desk.learn(state), thread=True, group="learning")

    def work_begins(self, words: str) -> None:
        """Show the bar where the message stands; it is made when it is first needed."""
        from tui.widgets.working import Working

        if not self.query(Working):
            self.mount(Working(in_place_of="#message"), before="#message")
        self.query_one(Working).begin(words)

    def work_ends(self) -> None:
        """Show the message again."""
        for one in self.query("Working"):
            one.end()  # type: ignore[attr-defined]

    def _work_out(self, state: State) -> None:
        """Work the advice out, off the event loop; the log is written on the loop's thread."""
        self.post_message(self.WorkedOut(state, self.desk.work_out(state)))

    def on_pit_screen_worked_out(self, event: WorkedOut) -> None:
        """Record the advice, unless the state has moved on meanwhile."""
        event.stop()
        if self.desk.state is not event.state:
            return
        try:
            self.desk.record(event.bodies, event.state.now)
        except LogError as error:
            self._working_on = None
            self.say(str(error))
            if self.desk.state.looking is not None:
                self.draw()
            return
        from tui.pages.verdict import verdict_line

        if line := verdict_line(self.desk.state):
            self.say(line)
        self.draw()

    def _ticks(self, prompt: Prompt) -> Mapping[str, str]:
        return {
            choice.id: self.desk.state.ticks.get((prompt.subject, prompt.reason, choice.id), "")
            for choice in prompt.choices
        }

    def take(self, prompt: Prompt, value: Given) -> None:
        before, events = self.desk.prompt, self.desk.state.events
        self.desk.answer(prompt.id, value)
        self.say("" if before.topic == Topic.READ_ONLY else self._after(before, events))
        self.draw()

    def _after(self, before: Prompt, events: int) -> str:
        from tui.pages.verdict import verdict_line

        now = self.desk.prompt
        if before.kind == "tick" and (now.id, now.reason) != (before.id, before.reason):
            return f"List ticked. {gates.ALWAYS_AFTER_INSPECTION}"
        if self.desk.state.events == events:
            return "Nothing was recorded: press the digit of what was done."
        return verdict_line(self.desk.state)

    def go_back(self) -> None:
        went = self.desk.back()
        self.say("" if went else "There is nothing to go back to here; p puts changes back.")
        self.draw()

    def _corner(self, view: CarView | None, width: int) -> Sequence[Content]:
        """Return the rows of the corner that is picked; none where none is, or has no room."""
        if not self.corner or view is None or not width:
            return ()
        return corner_rows(self.desk.state, view, self.corner, width)

    def action_corner(self, by: int) -> None:
        """Pick the next corner, or none behind the last."""
        order = ("", *CORNERS)
        self._pick_corner(order[(order.index(self.corner) + by) % len(order)])

    def action_whole_car(self) -> None:
        """Let the corner go that was picked."""
        self._pick_corner("")

    def on_car_panel_picked(self, event: CarPanel.Picked) -> None:
        """Pick the corner that was clicked."""
        event.stop()
        self._pick_corner(event.corner)

    def _pick_corner(self, corner: str) -> None:
        """Show a corner in place of the car; on a page of its own where no plan view stands."""
        self.corner = corner
        self.refresh_bindings()
        if corner and not self.query_one(CarPanel).display:
            view = car_view(self.desk.state, self.desk.prompt)
            rows = self._corner(view, self.window.width - MARGINS)
            self.corner = ""
            lines = "\n".join(row.plain for row in rows).split("\n")
            self._read(corner.capitalize(), lines)
            return
        self.draw()
