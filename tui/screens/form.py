"""A short chain of questions that ends in an action."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

from profiles.logfile import LogError
from rules.crew.actions import Action, ActionError, Measure
from rules.crew.forms import Form, LeftAsItStands, OpenSlip
from rules.crew.measured import told
from rules.question import AnswerError, Given, Prompt, check
from tui.desk import Desk
from tui.lines import doubted_text, spoken, spoken_prompt, strip
from tui.screens.slip import SlipScreen
from tui.widgets.asker import Asker, is_open


class FormScreen(Screen[str | None]):
    """Asks a form's questions; Backspace goes back one, Escape leaves without a trace."""

    BINDINGS = [Binding("escape", "leave", "Leave", id="form.leave")]

    def __init__(self, desk: Desk, form: Form, settle_s: float) -> None:
        super().__init__()
        self.desk = desk
        self.form = form
        self.settle_s = settle_s
        self.filled: dict[str, Given] = {}

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        with Vertical(id="work"):
            yield Asker(self.settle_s)
        yield Static(id="message", markup=False)
        yield Static(" Enter take | Bksp back | Esc leave", id="keys", markup=False)

    def on_mount(self) -> None:
        self._ask()

    def on_resize(self, event: Resize) -> None:
        lines = strip(self.desk.state, event.size.width)
        self.query_one("#strip", Static).update("\n".join(lines))

    def _ask(self) -> None:
        step = self.form(self.desk.state, self.desk.book, self.filled)
        if isinstance(step, Prompt):
            self.query_one(Asker).ask(spoken_prompt(self.desk.state, step))
            if step.kind == "one" and not step.choices:
                self._say("There is nothing to choose from yet.")
            return
        if isinstance(step, OpenSlip):
            self.app.push_screen(SlipScreen(self.desk, self.settle_s, step.number), self._slip_said)
            return
        if isinstance(step, LeftAsItStands):
            self.dismiss("Nothing was ordered: the car stays as it stands.")
            return
        before = self.desk.state
        try:
            self.desk.act(step)
        except (ActionError, LogError) as error:
            self._say(str(error))
            if self.filled:
                self.filled.popitem()
                self._ask()
                self.query_one(Asker).select_typed()
            return
        self.dismiss(self._recorded(step) + doubted_text(before, self.desk.state))

    def _slip_said(self, said: str | None) -> None:
        self.dismiss(said)

    def _recorded(self, step: Action) -> str:
        state = self.desk.state
        if isinstance(step, Measure) and state.car is not None:
            body = state.runs[-1].measured[step.what]
            said = f"Recorded for pass {state.runs[-1].number}: {told(body, state.car)}."
            return spoken(state, said)
        return f"Recorded: {step.action}."

    def _say(self, text: str) -> None:
        self.query_one("#message", Static).update(spoken(self.desk.state, text))

    def on_asker_taken(self, event: Asker.Taken) -> None:
        event.stop()
        if not is_open(self, event):
            return
        try:
            self.filled[event.prompt.id] = check(event.prompt, event.value)
        except AnswerError as error:
            field = event.prompt.id
            said = str(error).removeprefix(field)
            self._say(f"{field.replace('_', ' ').capitalize()}{said}")
            self.query_one(Asker).select_typed()
            return
        self._say("")
        self._ask()

    def on_asker_back(self, event: Asker.Back) -> None:
        event.stop()
        if not self.filled:
            self.dismiss(None)
            return
        self.filled.popitem()
        self._ask()

    def on_asker_refused(self, event: Asker.Refused) -> None:
        event.stop()
        self._say(event.text)

    def action_leave(self) -> None:
        """Leave without recording anything."""
        self.dismiss(None)
