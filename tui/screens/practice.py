"""The pit of a practice day: passes are run here, and the truth is told when the day is over."""

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from profiles.logfile import LogError
from rules.practice.words import SIMULATED
from rules.question import Prompt
from tui.drawn.picture import Picture
from tui.practising import Practising
from tui.screens.pit import PitScreen
from tui.screens.reading import ReadingScreen
from tui.visible import visible
from tui.widgets.pictures import Pictures

RUN, SAW, TRUTH = "f5", "space", "f6"
LOWEST = 8
WORKING = "The car leaves ..."
STAGED = (
    SIMULATED,
    "",
    "The lists are ticked, the crew is behind the line, the car is staged.",
    "",
    "Enter   run it",
    f"Esc     back to the pit; {RUN.upper()} brings you here again",
)
AFTER = "Enter: answer the questions. There, Space answers one as you saw it."


class RunScreen(Screen[bool]):
    """Runs one simulated pass, and shows what was seen and read of it."""

    CSS_PATH = ["frame.tcss", "page.tcss", "reading.tcss"]
    BINDINGS = [
        Binding("enter", "go_on", "Run it", id="run.go-on"),
        Binding("escape,backspace", "leave", "Back to the pit", id="run.leave"),
    ]

    @dataclass
    class Ran(Message):
        """The pass is over."""

        lines: list[str]
        picture: Picture

    def __init__(self, practising: Practising, number: int) -> None:
        super().__init__()
        self.practising, self.number = practising, number
        self.running, self.over = False, False

    def compose(self) -> ComposeResult:
        name = visible(self.practising.desk.car.name)
        yield Static(f" Pass {self.number}: {name} ", id="title", markup=False)
        with VerticalScroll(id="page"):
            yield Static("\n".join(STAGED), id="told", markup=False)
            yield Pictures()

    def action_go_on(self) -> None:
        """Run the car; once it ran, go to the questions."""
        if self.over:
            self.dismiss(True)
        elif not self.running:
            self.running = True
            self._tell([SIMULATED, "", WORKING])
            self.run_worker(self._run, thread=True, group="run")

    def action_leave(self) -> None:
        """Back to the pit; a pass that ran is a pass."""
        if not self.running or self.over:
            self.dismiss(self.over)

    def _run(self) -> None:
        self.post_message(self.Ran(*self.practising.seen()))

    def on_run_screen_ran(self, event: Ran) -> None:
        event.stop()
        self.over = True
        lines = [SIMULATED, *event.lines, AFTER]
        self._tell(lines)
        pictures = self.query_one(Pictures)
        pictures.styles.height = max(LOWEST, self.size.height - len(lines) - 1)
        pictures.show([event.picture])

    def _tell(self, lines: list[str]) -> None:
        self.query_one("#told", Static).update("\n".join(lines))


class PracticeScreen(PitScreen):
    """The pit screen of a virtual car: every pass is run before it is asked about."""

    @dataclass
    class DayJudged(Message):
        """Whether the day is over."""

        over: bool

    @dataclass
    class TruthTold(Message):
        """What the day truly was."""

        lines: list[str]

    BINDINGS = [
        Binding(RUN, "run_pass", "run", key_display="F5", id="practice.run"),
        Binding(SAW, "answer", "as you saw it", key_display="Space", id="practice.answer"),
        Binding(TRUTH, "truth", "truth", key_display="F6", id="practice.truth"),
    ]

    def __init__(self, practising: Practising, settle_s: float = 0.25) -> None:
        super().__init__(practising.desk, settle_s)
        self.practising = practising
        self._told = False
        self._asked_last: Prompt | None = None

    def draw(self) -> None:
        """Draw the pit; a pass that was not run yet is run first."""
        before = self.desk.prompt
        super().draw()
        if before is not self._asked_last:
            self._asked_last = before
            self.call_after_refresh(self._go_on)

    def _go_on(self) -> None:
        if self.app.screen is not self:
            return
        if not self._told and self.practising.may_be_over:
            self.run_worker(self._judge_day, thread=True, group="day", exclusive=True)
        else:
            self.action_run_pass()

    def _judge_day(self) -> None:
        self.post_message(self.DayJudged(self.practising.is_over))

    def on_practice_screen_day_judged(self, event: DayJudged) -> None:
        """Tell the truth of a day that is over, once; run the next pass of any other."""
        event.stop()
        if event.over and not self._told:
            self._told = True
            self.action_truth()
        else:
            self.action_run_pass()

    def action_run_pass(self) -> None:
        """Run the pass that waits, if any."""
        number = self.practising.waiting()
        if number is not None and self.app.screen is self:
            self.app.push_screen(RunScreen(self.practising, number), self._after_run)

    def _after_run(self, ran: bool | None) -> None:
        if ran:
            try:
                self.practising.was_run()
            except LogError as error:
                self.say(str(error))
        else:
            self.say(f"Not run yet: {RUN.upper()} runs it.")
        super().draw()

    def action_answer(self) -> None:
        """Answer the open question as a crew with honest eyes would."""
        prompt = self.desk.prompt
        if self.practising.waiting() is not None:
            self.say(f"Not run yet: {RUN.upper()} runs it.")
            return
        value = self.practising.answer()
        if value is None:
            self.say("This one is yours: it is about what hands or heads do, not what was seen.")
            return
        try:
            self.take(prompt, value)
            self.practising.measure()
        except LogError as error:
            self.say(str(error))
        self.draw()

    def action_truth(self) -> None:
        """Tell the truth of the day; it takes a moment to work out."""
        self.say("Working out what each turn did ...")
        self.run_worker(self._work_out_truth, thread=True, group="truth", exclusive=True)

    def _work_out_truth(self) -> None:
        self.post_message(self.TruthTold(self.practising.truth()))

    def on_practice_screen_truth_told(self, event: TruthTold) -> None:
        event.stop()
        self.say("")
        self.app.push_screen(ReadingScreen("The truth of the day", event.lines))
