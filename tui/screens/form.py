"""A short chain of questions that ends in an action."""

from profiles.logfile import LogError
from rules.crew.actions import Action, Measure
from rules.crew.form_ends import LeftAsItStands, OpenSlip
from rules.crew.forms import FORMS, Next
from rules.crew.measured import told
from rules.crew.recorded import recorded
from rules.question import ActionError, Given, Prompt, check
from tui.arranged import arranged
from tui.desk import Desk, HalfFilled
from tui.drawn.car_view import car_view
from tui.lines import doubted_text, spoken, spoken_prompt
from tui.screens.questions import LEAVE, QUESTIONS_CSS, QuestionScreen
from tui.screens.slip import SlipScreen


class FormScreen(QuestionScreen[str | None]):
    """Asks a form's questions; nothing is recorded before its end."""

    shows_car = True
    CSS_PATH = QUESTIONS_CSS
    BINDINGS = [LEAVE]

    def __init__(self, desk: Desk, name: str, settle_s: float) -> None:
        super().__init__(desk, settle_s)
        self.form_name = name
        self.form = FORMS[name]
        left = desk.drafts.pop(name, None)
        self.filled: dict[str, Given] = {}
        if isinstance(left, HalfFilled) and left.state is desk.state:
            self.filled |= left.filled

    def begin(self) -> None:
        if self.filled:
            self.say_picked_up()
        self._go_on()

    def draw(self) -> None:
        step = self._step()
        if isinstance(step, Prompt):
            self._ask(step)

    def _ask(self, prompt: Prompt) -> None:
        self.draw_frame()
        state = self.desk.state
        way = arranged(spoken_prompt(state, prompt), self.window, int(self.long_message))
        self.draw_car(car_view(state), way)
        self.asker.ask(way.prompt, room=way.room, width=way.width)
        if prompt.kind == "one" and not prompt.choices:
            self.say("There is nothing to choose from yet.")

    def _step(self) -> Next:
        return self.form(self.desk.state, self.desk.book, self.filled)

    def _go_on(self) -> None:
        """Ask the next question, or do what the answers come to."""
        step = self._step()
        if isinstance(step, Prompt):
            self._ask(step)
        elif isinstance(step, OpenSlip):
            screen = SlipScreen(self.desk, self.settle_s, step.number)
            self.app.push_screen(screen, self._slip_said)
        elif isinstance(step, LeftAsItStands):
            self.dismiss(step.says)
        else:
            self._act(step)

    def _slip_said(self, said: str | None) -> None:
        self.dismiss(said)

    def _act(self, step: Action) -> None:
        before = self.desk.state
        try:
            self.desk.act(step)
        except (ActionError, LogError) as error:
            self.say(str(error))
            if self.filled:
                self.filled.popitem()
                self.draw()
                self.asker.select_typed()
            return
        self.dismiss(self._recorded(step) + doubted_text(before, self.desk.state))

    def _recorded(self, step: Action) -> str:
        state = self.desk.state
        if isinstance(step, Measure) and state.car is not None:
            body = state.runs[-1].measured[step.what]
            said = f"Recorded for pass {state.runs[-1].number}: {told(body, state.car)}."
            return spoken(state, said)
        return recorded(step.action)

    def take(self, prompt: Prompt, value: Given) -> None:
        self.filled[prompt.id] = check(prompt, value)
        self.say("")
        self._go_on()

    def refused(self, prompt: Prompt, error: Exception) -> str:
        said = str(error).removeprefix(prompt.id)
        return f"{prompt.id.replace('_', ' ').capitalize()}{said}"

    def go_back(self) -> None:
        if not self.filled:
            self.dismiss(None)
            return
        self.filled.popitem()
        self.draw()

    def action_leave(self) -> None:
        """Leave without recording anything; what was answered waits until the next record."""
        if self.filled:
            self.desk.drafts[self.form_name] = HalfFilled(self.desk.state, dict(self.filled))
        self.dismiss("Nothing was recorded; what was answered waits." if self.filled else None)
