"""The pit screen: the open question, and whatever it is about."""

from collections.abc import Mapping
from dataclasses import dataclass
from textwrap import wrap

from textual.app import ComposeResult
from textual.binding import Binding
from textual.events import Resize
from textual.message import Message
from textual.widgets import Static

from profiles.logfile import LogError
from rules.advice.safety import gates
from rules.asked import Topic
from rules.log.advice import Advice
from rules.log.changes import Change
from rules.log.events import Body
from rules.log.log_format import unread_text
from rules.log.state import State
from rules.question import Given, Prompt
from tui.desk import Desk
from tui.fitted import fitted
from tui.keys import KEYS, LOOKING, bound, footer
from tui.lines import spoken, spoken_prompt
from tui.pages.air import air_lines
from tui.pages.page import Page
from tui.pages.reports import alternatives_page, counts_page, help_page
from tui.pages.verdict import verdict_line, verdict_pages
from tui.screens.form import FormScreen
from tui.screens.questions import QUESTIONS_CSS, QuestionScreen
from tui.screens.reading import ReadingScreen
from tui.screens.shop import ShopScreen
from tui.screens.slip import SlipScreen
from tui.visible import visible
from tui.widgets.work_card import WorkCard

FRAME_ROWS = 4
MARGINS = 2
RECORDED, TOAST_S = "Recorded", 3.0


class PitScreen(QuestionScreen[None]):
    """Shows one question at a time and takes its answer to the desk."""

    CSS_PATH = [*QUESTIONS_CSS, "../widgets/work_card.tcss", "pit.tcss"]
    BINDINGS = [
        Binding(
            bound(key),
            f"do('{key.id}')",
            key.label,
            id=f"pit.{key.id}",
            tooltip=key.help,
        )
        for key in KEYS
    ]

    @dataclass
    class WorkedOut(Message):
        """The advice that was due in a state."""

        state: State
        bodies: list[Body]

    def __init__(self, desk: Desk, settle_s: float = 0.25) -> None:
        super().__init__(desk, settle_s)
        self._working_on: State | None = None
        self._learnt_passes = 0

    def above(self) -> ComposeResult:
        yield Static(id="notice", markup=False)
        yield Static(id="title", markup=False)
        yield Static(id="body", markup=False)
        yield WorkCard(id="card")

    @property
    def keys_row(self) -> str:
        return footer(self.size.width or 80, typing=self.desk.prompt.kind == "text")

    def on_mount(self) -> None:
        super().on_mount()
        if self.desk.notice:
            self.say(self.desk.notice)
        elif self.desk.resumed:
            where = spoken(self.desk.state, self.desk.prompt.question)
            self.say(visible(f"Picked up at: {where}", self.size.width - 2))

    def on_resize(self, event: Resize) -> None:
        if self.desk.state.car is not None:
            self.draw()

    def draw(self) -> None:
        """Draw the open question and what it is about."""
        state = self.desk.state
        prompt = spoken_prompt(state, self.desk.prompt)
        width = self.size.width or 80
        self.draw_frame()
        title = self.query_one("#title", Static)
        title.display = isinstance(prompt.about, Advice)
        if isinstance(prompt.about, Advice):
            title.update(f" {_title(state, prompt.about).upper()} ")
        body = self.query_one("#body", Static)
        card = self.query_one(WorkCard)
        rows = (self.size.height or 24) - FRAME_ROWS
        prompt, lines = fitted(self.desk, prompt, width - MARGINS, rows)
        self.query_one("#notice", Static).update(prompt.notice)
        self.query_one("#notice").display = bool(prompt.notice)
        body.update("\n".join(lines))
        body.display = bool(lines)
        card.display = isinstance(prompt.about, Change) and prompt.topic != Topic.RAN
        if isinstance(prompt.about, Change) and card.display:
            taken = len(wrap(prompt.notice, width - MARGINS))
            card.show(state, prompt.about, prompt.subject, (self.size.height or 24) - taken)
        self.asker.ask(prompt, self._ticks(prompt))
        if prompt.topic == Topic.WORKING_OUT and self._working_on is not state:
            self._working_on = state
            self.run_worker(lambda: self._work_out(state), thread=True, group="advice")
        elif self.desk.model is not None and self._learnt_passes != len(state.runs):
            # While the crew answers, the passes before are learnt.
            self._learnt_passes = len(state.runs)
            self.run_worker(lambda: self.desk.learn(state), thread=True, group="learning")

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
            return
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
        self.say(self._after(before, events))
        self.draw()

    def _after(self, before: Prompt, events: int) -> str:
        now = self.desk.prompt
        if before.kind == "tick" and (now.id, now.reason) != (before.id, before.reason):
            return f"List ticked. {gates.ALWAYS_AFTER_INSPECTION}"
        if self.desk.state.events == events:
            return "Nothing was recorded: press the digit of what was done."
        return verdict_line(self.desk.state)

    def go_back(self) -> None:
        went = self.desk.back()
        self.say("" if went else "There is nothing to go back to here; p puts turns back.")
        self.draw()

    def action_do(self, key_id: str) -> None:
        """Run what a key stands for; tables and pictures are loaded when first asked for."""
        key = next(key for key in KEYS if key.id == key_id)
        if self.desk.state.unread and key_id not in LOOKING:
            self.say(unread_text(self.desk.state.unread))
            return
        if key.form:
            self.app.push_screen(FormScreen(self.desk, key.form, self.settle_s), self._after_form)
            return
        match key_id:
            case "why":
                self._read("Why, and why not the others", alternatives_page(self.desk))
            case "counts":
                self._read("Counts", counts_page(self.desk.state))
            case "log":
                from tui.screens.log import LogScreen

                self.app.push_screen(LogScreen(self.desk), self._after_log)
            case "help":
                self._read("Help", help_page(self.size.width or 80))
            case "slip":
                self.app.push_screen(SlipScreen(self.desk, self.settle_s), self._after_form)
            case "what-if":
                from tui.screens.what_if import WhatIfScreen

                self.app.push_screen(WhatIfScreen(self.desk.state, self.settle_s))
            case "verdict":
                self._look("Verdict", verdict_pages(self.desk.state, self.desk.book))
            case "day":
                from tui.pages.day import day_pages

                self._look("The day", day_pages(self.desk.state, self.desk.book))
            case "air":
                self._open_air()
            case "learnt":
                from tui.screens.learnt import LearntScreen

                screen = LearntScreen(self.desk.state, self.desk.book)
                self.app.push_screen(screen, self._after_learnt)
            case "papers":
                self._open_papers()
            case "shop":
                self.open_shop()
            case "theme":
                self.app.theme = "night" if self.app.theme == "sunlight" else "sunlight"
            case "quit":
                self.app.exit()

    def _open_papers(self) -> None:
        """Open what prints, exports and backs up; what it needs is loaded then."""
        from tui.screens.papers import PapersScreen

        if self.desk.papers is None:
            self.say("This car is not kept in a data folder: there is nothing to write out.")
            return
        screen = PapersScreen(self.desk, self.desk.papers(), self.settle_s)
        self.app.push_screen(screen, self._after_form)

    def open_shop(self) -> None:
        """Open the shop's menu."""
        self.app.push_screen(ShopScreen(self.desk, self.settle_s), self._after_form)

    def _read(self, title: str, lines: list[str]) -> None:
        self.app.push_screen(ReadingScreen(title, lines))

    def _look(self, title: str, pages: list[Page]) -> None:
        from tui.screens.pages import PagesScreen

        self.app.push_screen(PagesScreen(title, pages))

    def _open_air(self) -> None:
        """Ask for the air of the last pass, or show it where it is noted already."""
        runs = self.desk.state.runs
        if not runs or runs[-1].conditions is None:
            self._note_air()
        else:
            self._show_air()

    def _note_air(self) -> None:
        self.app.push_screen(FormScreen(self.desk, "conditions", self.settle_s), self._after_air)

    def _after_air(self, said: str | None) -> None:
        self._after_form(said)
        if said and self.desk.state.coming is None:
            self._show_air()

    def _show_air(self) -> None:
        state = self.desk.state
        page = Page(f"pass {state.runs[-1].number}", lambda width, height: air_lines(state, width))
        from tui.screens.pages import PagesScreen

        screen = PagesScreen("The air", [page], ("a", "note it again"))
        self.app.push_screen(screen, self._after_air_page)

    def _after_air_page(self, said: str | None) -> None:
        if said:
            self._note_air()

    def _after_learnt(self, said: str | None) -> None:
        if said:
            form = FormScreen(self.desk, "learn afresh", self.settle_s)
            self.app.push_screen(form, self._after_form)

    def _after_log(self, wanted: str | None) -> None:
        """Add a note or correct an answer, where the log was left for it."""
        if wanted:
            self.action_do(wanted)

    def _after_form(self, said: str | None) -> None:
        self.say(said or "")
        if said and said.startswith(RECORDED):
            self.notify(visible(said), timeout=TOAST_S, markup=False)
        self.draw()


def _title(state: State, advice: Advice) -> str:
    return spoken(state, advice.title)
