"""What a turn would do, drawn before a hand makes it. Nothing here is recorded."""

from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Key, Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from rules.advice.earlier_passes import passes_that_speak
from rules.car.adjusters import Settings, pair_of
from rules.car.model import Car
from rules.launch.proposed_change import Seen
from rules.log.state import State
from rules.question import Choice, Prompt
from tui.drawn.header import header
from tui.lines import spoken, spoken_prompt
from tui.pages.car_numbers import group_lines
from tui.pages.what_if import CAR_PAGES, PAGES, page_lines
from tui.widgets.asker import Asker

if TYPE_CHECKING:
    from rules.launch.car_numbers import CarNumbers
    from rules.launch.what_if import WhatIf

WORKING = "Working it out ..."
FRAME_ROWS = 5
MORE_KEYS = ("plus", "add", "equals_sign")
LESS_KEYS = ("minus", "subtract")


class WhatIfScreen(Screen[None]):
    """Picks a knob, then draws today against proposed against baseline as the count is moved."""

    CSS_PATH = ["frame.tcss", "../widgets/asker.tcss", "what_if.tcss"]
    BINDINGS = [
        Binding("escape", "leave", "Leave", id="what-if.leave"),
        Binding("tab", "next_page", "Next drawing", id="what-if.next", priority=True),
    ]

    @dataclass
    class Worked(Message):
        """The thread has an answer to a question that may be an old one by now."""

        asked: int
        found: "WhatIf | None"
        numbers: "dict[str, CarNumbers]"
        said: str

    def __init__(self, state: State, settle_s: float) -> None:
        super().__init__()
        self.state = state
        self.settle_s = settle_s
        self.knob = ""
        self.proposed: dict[str, float] = {}
        self.found: WhatIf | None = None
        self.numbers: dict[str, CarNumbers] = {}
        self.page = 0
        self.asked = 0
        self.told = ""
        self.busy = False

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        with Vertical(id="work"):
            yield Static(id="title", markup=False)
            yield Static(id="where", markup=False)
            yield Asker(self.settle_s)
            yield Static(id="drawing", markup=False)
        yield Static(id="message", markup=False)
        yield Static(id="keys", markup=False)

    def on_mount(self) -> None:
        self._pick()

    def on_resize(self, event: Resize) -> None:
        self.query_one("#strip", Static).update(header(self.state, None, event.size.width, None))
        self._draw()

    @property
    def looking(self) -> bool:
        """Whether a knob is picked."""
        return bool(self.knob)

    def _pick(self) -> None:
        self.knob = ""
        self.asked += 1
        self.query_one(Asker).display = True
        self.query_one(Asker).ask(spoken_prompt(self.state, which_knob(self.state)))
        self._say("")
        self._draw()

    def on_asker_taken(self, event: Asker.Taken) -> None:
        event.stop()
        self.knob = str(event.value)
        self.proposed = dict(self.state.settings)
        self.found = None
        self.numbers = {}
        self.page = 0
        self.query_one(Asker).display = False
        self.set_focus(None)
        self._work_out()

    def on_asker_back(self, event: Asker.Back) -> None:
        event.stop()
        self.dismiss(None)

    def on_asker_refused(self, event: Asker.Refused) -> None:
        event.stop()
        self._say(event.text)

    def on_key(self, event: Key) -> None:
        if not self.looking:
            return
        if event.key in MORE_KEYS or event.character == "+":
            self._move(1)
        elif event.key in LESS_KEYS or event.character == "-":
            self._move(-1)
        elif (event.character or "x") in "123456789"[: len(PAGES)]:
            self._turn_to(int(event.key) - 1)
        elif event.key == "backspace":
            self._pick()
        else:
            return
        event.stop()

    def action_next_page(self) -> None:
        """Show the next drawing."""
        if self.looking:
            self._turn_to((self.page + 1) % len(PAGES))

    def _turn_to(self, page: int) -> None:
        """Show a page; the numbers of the car are worked out once they are asked for."""
        self.page = page
        if page in CAR_PAGES and not self.numbers:
            self._work_out()
        else:
            self._draw()

    def action_leave(self) -> None:
        """Leave; there is nothing to keep."""
        self.dismiss(None)

    def _move(self, by: int) -> None:
        fitted = self.state.fitted
        one = fitted[self.knob]
        ones = pair_of(fitted, one)
        moved = {each.id: round(self.proposed[each.id] + by * each.step, 6) for each in ones}
        end = next((each for each in ones if not each.holds(moved[each.id])), None)
        if end is not None:
            self._say(f"{spoken(self.state, end.label)} ends there: {end.wanted()}.")
            return
        self.proposed |= moved
        self._work_out()

    def _work_out(self) -> None:
        """Ask the thread; while it works on an older question it is asked again afterwards."""
        self.asked += 1
        self._say(WORKING)
        self._draw()
        if not self.busy:
            self.busy = True
            self._start()

    def _start(self) -> None:
        state, asked, knob = self.state, self.asked, self.knob
        proposed, with_numbers = dict(self.proposed), self.page in CAR_PAGES
        known = self.found if self.found and self.found.settings["proposed"] == proposed else None

        def work() -> None:
            from rules.launch.what_if import what_if

            today = dict(state.settings)
            baseline = dict(state.baseline.settings) if state.baseline else None
            try:
                seen = passes_that_speak(state)
                found = known or what_if(state.described_car, today, proposed, baseline, knob, seen)
                car = state.described_car
                numbers = _numbers(car, today, proposed, seen) if with_numbers else {}
            except ValueError as error:
                said = getattr(error, "faults", (str(error),))[0]
                self.post_message(self.Worked(asked, None, {}, said))
            else:
                self.post_message(self.Worked(asked, found, numbers, ""))

        self.run_worker(work, thread=True, group="what-if", description="what if")

    def on_what_if_screen_worked(self, event: Worked) -> None:
        event.stop()
        self.busy = False
        if not self.looking:
            return
        if event.asked != self.asked:
            self.busy = True
            self._start()
            return
        self.found, self.numbers = event.found, event.numbers
        refused = f"No numbers: {event.said}" if event.said else ""
        # What was said meanwhile, such as the end of a knob, is not the worker's to wipe.
        before = "" if self.told == WORKING else self.told
        self._say(" ".join(filter(None, (before, refused))))
        self._draw()

    def _say(self, text: str) -> None:
        self.told = text
        self.query_one("#message", Static).update(spoken(self.state, text))

    def _draw(self) -> None:
        drawing = self.query_one("#drawing", Static)
        where = self.query_one("#where", Static)
        drawing.display = where.display = self.looking
        keys = " Enter take | Bksp back | Esc leave"
        title = "What if: nothing is recorded"
        if self.looking:
            keys = footer(self.size.width or 80)
            title = f"What if: {PAGES[self.page]}. Nothing is recorded"
            width = (self.size.width or 80) - 2
            told = wrap(standing(self.state, self.knob, self.proposed), width)
            where.update("\n".join(told))
            height = (self.size.height or 24) - FRAME_ROWS - len(told)
            lines: list[str] = []
            car, group = self.state.car, CAR_PAGES.get(self.page)
            if car is not None and group is not None and self.numbers:
                lines = group_lines(self.numbers, group, car.units, width, height)
            elif car is not None and group is None and self.found is not None:
                lines = page_lines(self.found, self.page, car.units, width, height)
            drawing.update("\n".join(lines))
        self.query_one("#title", Static).update(f" {title} ")
        self.query_one("#keys", Static).update(keys)


def _numbers(
    car: Car, today: Settings, proposed: Settings, seen: tuple[Seen, ...]
) -> "dict[str, CarNumbers]":
    """Return the numbers of the car as it stands and, where it differs, as it is proposed."""
    from rules.launch.car_numbers import car_numbers

    settings = {"today": today} | ({"proposed": proposed} if proposed != today else {})
    return {name: car_numbers(car, one, seen) for name, one in settings.items()}


def which_knob(state: State) -> Prompt:
    """Ask which adjuster to try, a pair named once; what was advised last is marked."""
    fitted = state.fitted
    seen: set[str] = set()
    choices = []
    for one in fitted.values():
        if one.id in seen or one.id not in state.settings:
            continue
        pair = pair_of(fitted, one)
        seen |= {each.id for each in pair}
        label = f"{one.axle} {one.name}, both sides" if len(pair) > 1 else one.label
        counts = " and ".join(dict.fromkeys(each.show(state.settings[each.id]) for each in pair))
        choices.append(Choice(one.id, f"{label}: {counts}"))
    run = state.runs[-1] if state.runs else None
    advised = run.advice.turns[0].adjuster if run and run.advice and run.advice.turns else None
    return Prompt("what-if", "What would you turn?", choices=tuple(choices), default=advised)


def standing(state: State, knob: str, proposed: dict[str, float]) -> str:
    """Say the knob, and from which count to which the proposal goes."""
    fitted = state.fitted
    one = fitted[knob]
    pair = pair_of(fitted, one)
    label = f"{one.axle} {one.name}, both sides" if len(pair) > 1 else one.label
    today, then = state.settings[knob], proposed[knob]
    steps = (then - today) / one.step
    word = "as today"
    if steps:
        upward = steps * one.up(True) > 0
        word = f"{one.show_steps(steps)} {one.direction_word(upward)}"
    base = state.baseline.settings.get(knob) if state.baseline else None
    known = "" if base is None else f"; baseline {one.show(base)}"
    return spoken(state, f"{label}: {one.show(today)} -> {one.show(then)}, {word}{known}")


def footer(width: int) -> str:
    """Return the keys of the drawings as a line."""
    keys = " + - count | 1-7 Tab page | Bksp other knob | Esc leave"
    return keys[:width]
