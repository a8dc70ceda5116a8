"""The pit screen: the open question, and whatever it is about."""

from collections.abc import Mapping

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

from profiles.logfile import LogError
from rules import gates
from rules.actions import ActionError
from rules.advice import Advice
from rules.changes import Change
from rules.forms import FORMS
from rules.prompts import Prompt
from rules.session import AnswerError
from tui.desk import Desk
from tui.keys import KEYS, footer
from tui.lines import advice_lines, spoken, spoken_prompt, strip
from tui.reports import alternatives_page, counts_page, help_page, log_page
from tui.screens.form import FormScreen
from tui.screens.reading import ReadingScreen
from tui.widgets.asker import Asker
from tui.widgets.work_card import WorkCard

MIN_WIDTH, MIN_HEIGHT = 60, 20


class PitScreen(Screen[None]):
    """Shows one question at a time and takes its answer to the desk."""

    CSS_PATH = "pit.tcss"
    BINDINGS = [
        Binding(
            key.key if key.key == "question_mark" else f"{key.key},{key.key.upper()}",
            f"do('{key.id}')",
            key.label,
            id=f"pit.{key.id}",
            tooltip=key.help,
        )
        for key in KEYS
    ]

    def __init__(self, desk: Desk, settle_s: float = 0.25) -> None:
        super().__init__()
        self.desk = desk
        self.settle_s = settle_s

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        yield Static(id="small", markup=False)
        with Vertical(id="work"):
            yield Static(id="notice", markup=False)
            yield Static(id="title", markup=False)
            yield Static(id="body", markup=False)
            yield WorkCard(id="card")
            yield Asker(self.settle_s)
        yield Static(id="message", markup=False)
        yield Static(footer(), id="keys", markup=False)

    def on_mount(self) -> None:
        self.refresh_desk()
        if self.desk.resumed:
            where = self.desk.prompt.question
            self.say(f"Picked up where it stopped: {spoken(self.desk.state, where)}")

    def on_resize(self, event: Resize) -> None:
        small = event.size.width < MIN_WIDTH or event.size.height < MIN_HEIGHT
        self.query_one("#work").display = not small
        self.query_one("#small", Static).display = small
        self.query_one("#small", Static).update(
            f"This window is {event.size.width}x{event.size.height}, too small to work in. "
            f"Make it at least {MIN_WIDTH}x{MIN_HEIGHT}, best 80x24. Everything is kept."
        )
        if not small and self.desk.state.car is not None:
            self.refresh_desk()

    def say(self, text: str) -> None:
        """Put one line above the keys."""
        self.query_one("#message", Static).update(text)

    def refresh_desk(self) -> None:
        """Draw the open question and what it is about."""
        state = self.desk.state
        prompt = self.desk.prompt
        width = self.size.width or 80
        self.query_one("#strip", Static).update("\n".join(strip(state, width)))
        notice = spoken(state, prompt.notice)
        self.query_one("#notice", Static).update(notice)
        self.query_one("#notice").display = bool(notice)
        title = self.query_one("#title", Static)
        title.display = isinstance(prompt.about, Advice)
        if isinstance(prompt.about, Advice):
            title.update(f" {spoken(state, prompt.about.title).upper()} ")
        body = self.query_one("#body", Static)
        card = self.query_one(WorkCard)
        lines = self._body(prompt)
        body.update("\n".join(lines))
        body.display = bool(lines)
        card.display = isinstance(prompt.about, Change) and prompt.id != "ran"
        if isinstance(prompt.about, Change) and card.display:
            card.show(state, prompt.about)
        self.query_one(Asker).ask(spoken_prompt(state, prompt), self._ticks(prompt))

    def _body(self, prompt: Prompt) -> list[str]:
        if isinstance(prompt.about, Advice):
            return advice_lines(self.desk.state, prompt.about)
        if prompt.id == "ran":
            return before_pass_lines(self.desk, prompt)
        return []

    def _ticks(self, prompt: Prompt) -> Mapping[str, str]:
        _, _, inspection = prompt.id.partition(":")
        return {
            choice.id: self.desk.state.ticks.get((inspection, prompt.reason, choice.id), "")
            for choice in prompt.choices
        }

    def on_asker_taken(self, event: Asker.Taken) -> None:
        event.stop()
        self._take(event)

    def _take(self, event: Asker.Taken) -> None:
        before = self.desk.prompt
        try:
            self.desk.answer(event.prompt.id, event.value)
        except (AnswerError, LogError) as error:
            self.say(spoken(self.desk.state, str(error)))
            return
        self.say(self._after(before))
        self.refresh_desk()

    def _after(self, before: Prompt) -> str:
        if before.kind == "tick" and self.desk.prompt.id != before.id:
            return f"List ticked. {gates.ALWAYS_AFTER_INSPECTION}"
        if self.desk.prompt == before:
            return "Nothing was recorded: press the digit of what was done."
        return ""

    def on_asker_back(self, event: Asker.Back) -> None:
        event.stop()
        try:
            went = self.desk.back()
        except LogError as error:
            self.say(str(error))
            return
        self.say("" if went else "There is nothing to go back to here; p puts turns back.")
        self.refresh_desk()

    def on_asker_refused(self, event: Asker.Refused) -> None:
        event.stop()
        self.say(event.text)

    def action_do(self, key_id: str) -> None:
        """Run what a key stands for."""
        key = next(key for key in KEYS if key.id == key_id)
        if key.form:
            self.app.push_screen(
                FormScreen(self.desk, FORMS[key.form], self.settle_s), self._after_form
            )
            return
        match key_id:
            case "why":
                self._read("Why, and why not the others", alternatives_page(self.desk))
            case "counts":
                self._read("Counts", counts_page(self.desk.state))
            case "log":
                self._read("Log", log_page(self.desk.state, self.desk.book))
            case "help":
                self._read("Help", help_page())
            case "theme":
                self.app.theme = "night" if self.app.theme == "sunlight" else "sunlight"
            case "quit":
                self.app.exit()

    def _read(self, title: str, lines: list[str]) -> None:
        self.app.push_screen(ReadingScreen(title, lines))

    def _after_form(self, said: str | None) -> None:
        self.say(said or "")
        self.refresh_desk()


def before_pass_lines(desk: Desk, prompt: Prompt) -> list[str]:
    """Return what is said before the car runs: what to look for, and what the driver is told."""
    state = desk.state
    rows: list[str] = []
    change = prompt.about if isinstance(prompt.about, Change) else None
    if change is not None:
        rows.append(spoken(state, f"On the car: {change.title}"))
    rule = desk.book.rules.get(change.rule or "") if change else None
    if rule is not None:
        rows.append(spoken(state, f"Expect: {rule.expect}"))
        rows.append(spoken(state, f"Look for: {rule.look_for}"))
    rows.append("")
    rows += [spoken(state, line) for line in gates.ALWAYS_BEFORE_PASS]
    return rows


__all__ = ["ActionError", "PitScreen"]
