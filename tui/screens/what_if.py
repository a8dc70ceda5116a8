"""What a turn would do, drawn before a hand makes it. Nothing here is recorded."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.events import Key, Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static, Tabs

from rules.advice.earlier_passes import passes_that_speak
from rules.car.adjusters import Settings, pair_of
from rules.car.model import Car
from rules.launch.proposed_change import Seen
from rules.log.state import State
from rules.question import Choice, Prompt
from tui.drawn.header import where_row
from tui.drawn.picture import Picture
from tui.lines import spoken, spoken_prompt
from tui.pages.car_numbers import group_lines
from tui.pages.what_if import (
    CAR_PAGES,
    DRAWN,
    NO_CURVE,
    PAGES,
    Asked,
    caveat,
    missing_lines,
    page_lines,
)
from tui.pages.what_if_plate import plate
from tui.widgets.asker import Asker
from tui.widgets.key_row import KeyRow
from tui.widgets.page_tabs import PageTabs, page_of
from tui.widgets.pictures import Pictures
from tui.widgets.working import Working

if TYPE_CHECKING:
    from rules.launch.car_numbers import CarNumbers
    from rules.launch.what_if import WhatIf

WORKING = "Working it out ..."
MARGINS, SCROLL_BAR, FRAME_ROWS = 2, 1, 6
LOOKING = frozenset({"move", "pick", "next_page"})


class WhatIfScreen(Screen[None]):
    """Picks a knob, then draws today against proposed against baseline as the count is moved."""

    CSS_PATH = ["frame.tcss", "looking.tcss", "../widgets/asker.tcss", "what_if.tcss"]
    HELP = (
        "What a turn would do, before a hand makes it: pick what to turn, then move its count. "
        "Nothing here is recorded."
    )
    BINDINGS = [
        Binding(
            "plus,add,equals_sign",
            "move(1)",
            "count",
            key_display="+ -",
            id="what-if.more",
            tooltip="Move the count up or down",
        ),
        Binding("minus,subtract", "move(-1)", "less", show=False, id="what-if.less"),
        Binding(
            "tab",
            "next_page",
            "page",
            key_display="1-9",
            id="what-if.next",
            priority=True,
            tooltip="Turn the page; so does Tab",
        ),
        Binding(
            "backspace",
            "pick",
            "other knob",
            key_display="Bksp",
            id="what-if.pick",
            tooltip="Another knob or lever",
        ),
        Binding("escape", "leave", "leave", key_display="Esc", id="what-if.leave"),
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
        yield Static(id="where", markup=False)
        with Vertical(id="work"):
            yield Asker(self.settle_s)
        yield Static(id="plate", markup=False)
        yield PageTabs([spoken(self.state, page) for page in PAGES])
        yield Pictures(id="pictures")
        with VerticalScroll(id="table"):
            yield Static(id="lines", markup=False)
        yield Working()
        yield Static(id="message", markup=False)
        yield KeyRow()

    def on_mount(self) -> None:
        self.action_pick()

    def on_resize(self, event: Resize) -> None:
        self.query_one("#strip", Static).update(where_row(self.state, event.size.width))
        self._draw()

    @property
    def looking(self) -> bool:
        """Whether a knob is picked."""
        return bool(self.knob)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell whether a key works: there is nothing to move before a knob is picked."""
        return self.looking or action not in LOOKING

    def action_pick(self) -> None:
        """Ask for the knob, or for another."""
        self.knob = ""
        self.asked += 1
        self.query_one(Working).end()
        self.query_one(Asker).ask(spoken_prompt(self.state, which_knob(self.state)))
        self._say("")
        self._draw()
        self.query_one(Asker).focus()
        self.refresh_bindings()

    def on_asker_taken(self, event: Asker.Taken) -> None:
        event.stop()
        self.knob = str(event.value)
        self.proposed = dict(self.state.settings)
        self.found = None
        self.numbers = {}
        self.page = 0
        self.set_focus(None)
        self.refresh_bindings()
        self._work_out()

    def on_asker_back(self, event: Asker.Back) -> None:
        event.stop()
        self.dismiss(None)

    def on_asker_refused(self, event: Asker.Refused) -> None:
        event.stop()
        self._say(event.text)

    def on_key(self, event: Key) -> None:
        if self.looking and (event.character or "x") in "123456789"[: len(PAGES)]:
            event.stop()
            self._turn_to(int(event.key) - 1)

    def on_tabs_tab_activated(self, event: Tabs.TabActivated) -> None:
        event.stop()
        if self.looking and page_of(event) != self.page:
            self._turn_to(page_of(event))

    def action_next_page(self) -> None:
        """Show the next drawing."""
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

    def action_move(self, by: int) -> None:
        """Move the count, both sides of a pair."""
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
        self.query_one(Working).begin()
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
        self.query_one(Working).end()
        self.found, self.numbers = event.found, event.numbers
        refused = f"No numbers: {event.said}" if event.said else ""
        # What was said meanwhile, such as the end of a knob, is not the worker's to wipe.
        before = "" if self.told == WORKING else self.told
        self._say(" ".join(filter(None, (before, refused))))
        self._draw()

    def _say(self, text: str) -> None:
        self.told = text
        self._tell()

    def _tell(self) -> None:
        """Say what was said last, or else what the numbers leave out."""
        text = spoken(self.state, self.told)
        if not text and self.looking and self.found is not None and not self.found.missing:
            text = caveat(self.found)
        self.query_one("#message", Static).update(text)

    def _draw(self) -> None:
        looking, width = self.looking, self.size.width or 80
        self.query_one("#work").display = not looking
        for name in ("#plate", "#tabs", "#pictures", "#table"):
            self.query_one(name).display = looking
        where = self.query_one("#where", Static)
        if not looking:
            where.update("WHAT IF, not recorded")
            return
        name = _name(self.state, self.knob)
        steps = steps_words(self.state, self.knob, self.proposed)
        where.update(f"WHAT IF, not recorded: {spoken(self.state, name)}, {steps}")
        self.query_one(PageTabs).turn_to(self.page)
        asked = self._asked()
        self.query_one("#plate", Static).update(
            plate(self.found, self.page, asked.counts, asked.system, width)
        )
        pictures = self._pictures(asked)
        self.query_one("#plate").display = bool(pictures) or self.page in DRAWN
        self.query_one("#pictures").display = bool(pictures)
        self.query_one("#table").display = not pictures
        if pictures:
            self.query_one(Pictures).show(pictures)
        else:
            self.query_one("#table").focus()
            lines = self._lines(width - MARGINS - SCROLL_BAR)
            self.query_one("#lines", Static).update("\n".join(lines))
        self._tell()

    def _asked(self) -> Asked:
        """Return what the pictures are drawn for beside the numbers."""
        state, one = self.state, self.state.fitted[self.knob]
        settings = {"today": state.settings, "proposed": self.proposed}
        if state.baseline is not None and self.knob in state.baseline.settings:
            settings["baseline"] = state.baseline.settings
        counts = {name: one.show(of[self.knob]) for name, of in settings.items()}
        rings = (run.measured.get("front ring") for run in reversed(state.runs))
        ring = next((found.value for found in rings if found is not None), None)
        car = state.described_car
        return Asked(car.units, counts, ring, car.geometry.ground_clearance_m)

    def _pictures(self, asked: Asked) -> tuple[Picture, ...]:
        if self.found is None or self.found.missing or self.page not in DRAWN:
            return ()
        return DRAWN[self.page](self.found, asked)

    def _lines(self, width: int) -> list[str]:
        """Return a page of words: numbers, or why there is no picture."""
        units, found = self.state.described_car.units, self.found
        if self.page in CAR_PAGES:
            height = (self.size.height or 24) - FRAME_ROWS
            group = CAR_PAGES[self.page]
            return group_lines(self.numbers, group, units, width, height) if self.numbers else []
        if found is None:
            return []
        if self.page in DRAWN:
            return missing_lines(found, width) if found.missing else [NO_CURVE]
        return page_lines(found, units, width)


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
        label = _name(state, one.id)
        counts = " and ".join(dict.fromkeys(each.show(state.settings[each.id]) for each in pair))
        choices.append(Choice(one.id, f"{label}: {counts}"))
    run = state.runs[-1] if state.runs else None
    advised = run.advice.turns[0].adjuster if run and run.advice and run.advice.turns else None
    return Prompt("what-if", "What would you change?", choices=tuple(choices), default=advised)


def _name(state: State, knob: str) -> str:
    """Name a knob, a pair once."""
    one = state.fitted[knob]
    paired = len(pair_of(state.fitted, one)) > 1
    return f"{one.axle} {one.name}, both" if paired else one.label


def steps_words(state: State, knob: str, proposed: Settings) -> str:
    """Say how far the proposal goes from today, and which way."""
    one = state.fitted[knob]
    steps = (proposed[knob] - state.settings[knob]) / one.step
    if not steps:
        return "as today"
    way = one.direction_word(steps * one.up(True) > 0)
    return spoken(state, f"{one.show_steps(steps)} {way}")
