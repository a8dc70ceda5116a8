"""The pit of a practice day: passes are run here, and the truth is told when the day is over."""

from collections.abc import Sequence
from dataclasses import dataclass
from string import digits
from textwrap import wrap

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.events import Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from profiles.logfile import LogError
from rules.practice.words import SIMULATED
from rules.question import AnswerError, Given, Prompt
from tui.arranged import MARGINS, WIDE_FROM, touch_rows
from tui.drawn.car_view import car_view
from tui.drawn.header import where_row
from tui.drawn.picture import Picture
from tui.drawn.plan import NARROW, WIDE, plan
from tui.drawn.plate import Kind, Plate, drawn
from tui.practising import Practising, is_about_pass
from tui.screens.pit import PitScreen
from tui.screens.reading import ReadingScreen
from tui.widgets.key_row import KeyRow
from tui.widgets.pictures import Pictures
from tui.widgets.working import Working

RUN, SAW, TRUTH = "f5", "space", "f6"
RAN, TOLD_NOW = "ran", "truth"
TRUTH_AT_ONCE = "The truth of the day, told at once"
FRAME_ROWS, LEAST_CAR = 4, 11
"""Rows of the screen beside its words and the drawing of the car, and those that it needs."""
STAGED = (
    "The lists are ticked, the crew is behind the line, the car is staged.",
    f"Enter runs the pass. Esc goes back to the pit; {RUN.upper()} brings you here again.",
)
TELL = f"Tell the driver, then {RUN.upper()} runs the pass."
NOT_RUN = f"Not run yet: {RUN.upper()} runs it."
TRUTH_COMES = "working out what each change did; Esc stops it"
TOLD = f"The truth is told: q leaves, {RUN.upper()} runs another pass."
TOLD_AMID = "The truth is told: q leaves, or answer on."
HANDS = "This one is yours: Space answers only what was seen of the pass."
NONE_WAITS = "No pass waits to be run: what is asked here comes first."
NO_TRUTH = "No pass is recorded yet whose truth could be told."


def hung(lines: Sequence[str], width: int) -> list[str]:
    """Return lines wrapped to a width, what follows of each under where it began."""
    return [
        row
        for line in lines
        for row in wrap(line, width, subsequent_indent=" " * (len(line) - len(line.lstrip())))
        or [""]
    ]


class RunScreen(Screen[str]):
    """Runs one simulated pass, and shows what was seen and read of it.

    staged: wait for Enter before the car leaves. It leaves with `RAN` once the pass is over, with
    `TOLD_NOW` where its truth is wanted at once, with nothing where it did not run.
    """

    CSS_PATH = ["frame.tcss", "page.tcss", "run.tcss"]
    HELP = "One simulated pass: run it, look at it, then answer what it did as on a real day."
    BINDINGS = [
        Binding(f"enter,{RUN}", "go_on", "run the pass", key_display="Enter", id="run.go-on"),
        # Whatever of the pit answers a pass leads on from its picture to the questions.
        Binding(
            f"enter,{SAW},{RUN},{','.join(digits)}", "answer", "answer what it did",
            key_display="Enter", id="run.answer",
        ),
        Binding(
            TRUTH, "truth", "truth", key_display="F6", show=False, id="run.truth",
            tooltip=TRUTH_AT_ONCE,
        ),
        Binding("escape", "leave", "back to the pit", key_display="Esc", id="run.leave"),
        Binding("backspace", "leave", "back", show=False, id="run.back"),
    ]  # fmt: skip

    @dataclass
    class Ran(Message):
        """The pass is over."""

        lines: list[str]
        picture: Picture

    def __init__(self, practising: Practising, number: int, *, staged: bool = True) -> None:
        super().__init__()
        self.practising, self.number, self.staged = practising, number, staged
        self.running, self.over = False, False

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        yield Static(id="plate", markup=False)
        with VerticalScroll(id="page"):
            yield Static(id="told", markup=False)
        yield Pictures()
        yield Working("the car leaves; Esc stops it")
        yield KeyRow()

    def on_mount(self) -> None:
        self.query_one(Pictures).display = False
        if self.staged:
            self._tell("STAGED", "open", STAGED)
            self._draw_car()
        else:
            self.action_go_on()

    def on_resize(self, event: Resize) -> None:
        state = self.practising.desk.state
        self.query_one("#strip", Static).update(where_row(state, event.size.width))
        self._draw_plate()
        if self.staged and not self.running:
            self._draw_car()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell what Enter is called: it runs the pass, or goes on to its questions."""
        if action == "go_on":
            return not self.running
        if action in ("answer", "truth"):
            return self.over
        return super().check_action(action, parameters)

    def action_go_on(self) -> None:
        """Run the car."""
        self.running = True
        self._tell("ON ITS WAY", "open", ())
        self.query_one(Working).begin()
        self.run_worker(self._run, thread=True, group="run")

    def action_answer(self) -> None:
        """Go to the questions about the pass."""
        self.dismiss(RAN)

    def action_truth(self) -> None:
        """Go to the truth of the day."""
        self.dismiss(TOLD_NOW)

    def action_leave(self) -> None:
        """Back to the pit; a pass that ran is a pass, and one on its way is run again later."""
        self.dismiss(RAN if self.over else "")

    def _run(self) -> None:
        self.post_message(self.Ran(*self.practising.seen()))

    def on_run_screen_ran(self, event: Ran) -> None:
        event.stop()
        self.over = True
        self.query_one(Working).end()
        self._tell("WHAT IT DID", "done", event.lines)
        pictures = self.query_one(Pictures)
        pictures.display = True
        pictures.show([event.picture])

    def _tell(self, head: str, kind: Kind, lines: Sequence[str]) -> None:
        self.plate = Plate(kind, f"PASS {self.number}: {head} · {SIMULATED}")
        self._draw_plate()
        self.query_one("#told", Static).update("\n".join(lines))
        self.refresh_bindings()

    def _draw_car(self) -> None:
        """Draw the car as it stands on the line, below what is said of it."""
        view = car_view(self.practising.desk.state)
        width, height = self.size.width or 80, self.size.height or 24
        words = [row for one in STAGED for row in wrap(one, width - MARGINS)]
        height -= FRAME_ROWS + touch_rows(height) + len(words)
        if view is None or height < LEAST_CAR:
            return
        drawing = plan(view, WIDE if width >= WIDE_FROM else NARROW, height)
        said = Content("\n".join((*words, "", "")))
        self.query_one("#told", Static).update(said + drawing)

    def _draw_plate(self) -> None:
        width = self.size.width or 80
        self.query_one("#plate", Static).update(drawn(self.plate, width))


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
        Binding(
            RUN, "run_pass", "run", key_display="F5", id="practice.run", tooltip="Run the pass"
        ),
        Binding(
            SAW, "answer", "as you saw it", key_display="Space", id="practice.answer",
            tooltip="Answer as you saw it",
        ),
        Binding(
            "escape", "stop_truth", "stop", key_display="Esc", id="practice.stop-truth",
            tooltip="Stop working out the truth",
        ),
        Binding(
            TRUTH, "truth", "truth", key_display="F6", show=False, id="practice.truth",
            tooltip=TRUTH_AT_ONCE,
        ),
        # Behind those that work: a key that the help names says why it does nothing now.
        *(Binding(key, f"why_not('{key}')", show=False) for key in (RUN, SAW, TRUTH)),
    ]  # fmt: skip
    HELP = (
        "A practice day: F5 runs a pass, Space answers a question about it as you saw it. "
        + PitScreen.HELP.partition(". ")[2]
    )

    def __init__(self, practising: Practising, settle_s: float = 0.25) -> None:
        super().__init__(practising.desk, settle_s)
        self.practising = practising
        self._told = False
        self._telling = False
        self._asked_last: Prompt | None = None

    def draw(self) -> None:
        """Draw the pit; a pass that was not run yet is run first."""
        before = self.desk.prompt
        super().draw()
        self.refresh_bindings()
        if before is not self._asked_last:
            self._asked_last = before
            self.call_after_refresh(self._go_on_with_day)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell which keys of a practice day work: no pass is run twice, nor told before it ran."""
        if action == "run_pass":
            return self.practising.waiting() is not None
        if action == "answer":
            return not self._typing and self.practising.may_answer()
        if action == "truth":
            return bool(self.desk.state.runs) and not self._telling
        if action == "stop_truth":
            return self._telling
        if self._telling and parameters == ("quit", True):
            return False  # Escape stops the truth first.
        return super().check_action(action, parameters)

    def _go_on_with_day(self) -> None:
        if self.app.screen is not self:
            return
        if self.practising.driver_is_told:
            self.say(TELL)
        elif not self._told and self.practising.may_be_over:
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
            staged = not self.practising.driver_is_told
            screen = RunScreen(self.practising, number, staged=staged)
            self.app.push_screen(screen, self._after_run)

    def _after_run(self, ran: str | None) -> None:
        if ran:
            self.say("")
            try:
                self.practising.was_run()
            except LogError as error:
                self.say(str(error))
        else:
            self.say(NOT_RUN)
        super().draw()
        self.asker.pace.asked(settles=True)
        if ran == TOLD_NOW:
            self.action_truth()

    def take(self, prompt: Prompt, value: Given) -> None:
        """Take an answer, but none about a pass that did not run yet.

        Raises:
            AnswerError: if it did not.
        """
        if self.practising.waiting() is not None and is_about_pass(self.desk.state, prompt):
            raise AnswerError(NOT_RUN)
        super().take(prompt, value)

    def action_answer(self) -> None:
        """Answer the open question as a crew with honest eyes would."""
        prompt, value = self.desk.prompt, self.practising.answer()
        if value is None:
            self.say(HANDS)
            return
        try:
            self.take(prompt, value)
            self.practising.measure()
        except LogError as error:
            self.say(str(error))
        self.draw()

    def action_why_not(self, key: str) -> None:
        """Say why a key of a practice day does nothing now."""
        if key == SAW:
            self.say(HANDS if self.practising.waiting() is None else NOT_RUN)
        elif not self._telling:
            self.say(NONE_WAITS if key == RUN else NO_TRUTH)

    def action_truth(self) -> None:
        """Tell the truth of the day; it takes a moment to work out."""
        if not self.desk.state.runs:
            self.say(NO_TRUTH)
            return
        self._tell_truth(True)
        self.work_begins(TRUTH_COMES)
        self.run_worker(self._work_out_truth, thread=True, group="truth", exclusive=True)

    def _work_out_truth(self) -> None:
        self.post_message(self.TruthTold(self.practising.truth()))

    def on_practice_screen_truth_told(self, event: TruthTold) -> None:
        event.stop()
        if self._telling:
            self._tell_truth(False)
            lines = hung(event.lines, self.size.width - MARGINS - 1)
            page = ReadingScreen("The truth of the day", lines)
            self.app.push_screen(page, self._after_truth)

    def _after_truth(self, _: None) -> None:
        self.say(TOLD_AMID if self.practising.waiting() is None else TOLD)

    def action_stop_truth(self) -> None:
        """Do without the truth for now; what comes of it late is dropped."""
        self._tell_truth(False)

    def _tell_truth(self, telling: bool) -> None:
        self._telling = telling
        if not telling:
            self.work_ends()
        self.refresh_bindings()
