"""One sheet of the shop: its questions one at a time, what was answered above them, its result."""

from pathlib import Path
from typing import Literal

from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.widgets import Static

from profiles.files import CarFileError
from profiles.logfile import LogError
from profiles.paths import DataFolderError
from rules.car.values import changes
from rules.crew.consequences import with_consequences
from rules.crew.sheets.fitting import PHOTOS
from rules.crew.sheets.rounds import (
    answered,
    closed,
    correctable,
    counted,
    filling,
    finished,
    open_field,
    said_again,
    taken_back,
)
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField, prompt_of
from rules.moments import day
from rules.question import UNKNOWN, AnswerError, Given, Prompt
from tui.arranged import HIGH_FROM
from tui.desk import Desk
from tui.drawn.header import HEAD
from tui.lines import prompt_rows, spoken_prompt
from tui.pages.sheet_lines import Changes, SheetLines, fitted
from tui.pages.table_picture import table_picture
from tui.photographs import missing_words
from tui.screens.questions import LEAVE, PICKED_UP, QUESTIONS_CSS, QuestionScreen
from tui.screens.reading import ReadingScreen
from tui.screens.sheet_prompts import CORRECT, NEW, READ, START, TAKE, finish_prompt, which_prompt
from tui.table_file import table_text
from tui.visible import visible
from tui.widgets.asker import Asker
from tui.widgets.pictures import Pictures

FRAME_ROWS = 5
LEAST_PICTURE = 6
KEPT = "Every answer is kept at once."


class SheetScreen(QuestionScreen[str | None]):
    """Fills in a sheet; every answer is in the log before the next question is seen."""

    CSS_PATH = [*QUESTIONS_CSS, "sheet.tcss"]
    BINDINGS = [
        LEAVE,
        *(
            Binding(key, action, label, key_display=key.upper(), id=f"sheet.{name}", tooltip=says)
            for key, action, label, name, says in (
                ("f6", "pick", "pick a file", "pick", "Pick a file"),
                ("f3", "how", "how", "how", "How it is done"),
                ("f4", "whole", "all", "whole", "All that was answered"),
                ("f5", "correct", "correct", "correct", "Say one answer again"),
                ("f9", "finish_now", "finish", "finish", "Finish with what there is"),
            )
        ),
    ]
    HELP = "A sheet of the shop. Every answer is kept at once; left at any point, it goes on there."

    def __init__(self, desk: Desk, sheet: Sheet, settle_s: float) -> None:
        super().__init__(desk, settle_s)
        self.sheet = sheet
        self.asking: Literal["field", "start", "which", "finish"] = "field"
        self.gone_on = bool(self.now.answers)
        self._worked_out: tuple[object, Result, Changes] | None = None

    def above(self) -> ComposeResult:
        yield Static(id="body", markup=False)
        yield Pictures()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell what can be done: finishing once enough is answered, a file where one is asked."""
        if action == "finish_now":
            return self.sheet.enough(self.now) and not self.finishing
        if action == "pick":
            return self._takes_a_file
        if action == "correct":
            return bool(correctable(self.sheet, self.looked_at))
        return super().check_action(action, parameters)

    def begin(self) -> None:
        if self._can_go_on:
            self.asking = "start"
        self.draw()
        if given := len(self.now.answers):
            stand = "1 answer stands" if given == 1 else f"{given} answers stand"
            self.say_picked_up(f"{PICKED_UP} {stand}; Backspace takes back the last.")
        if not self.finishing:
            # What a result needs is loaded beside the screen, so that no answer waits for it.
            self.run_worker(lambda: self.sheet.result(self.now), thread=True, group="result")

    @property
    def now(self) -> Filling:
        """The sheet as it is filled in so far."""
        return filling(self.sheet, self.desk.state)

    @property
    def _can_go_on(self) -> bool:
        """Whether the round that was finished last can be corrected and completed."""
        return self.sheet.continues and finished(self.sheet, self.desk.state) is not None

    @property
    def looked_at(self) -> Filling:
        """What there is to correct: the open round, or the one that was finished last."""
        last = finished(self.sheet, self.desk.state) if self._can_go_on else None
        return last or self.now

    @property
    def finishing(self) -> bool:
        """Whether it is at its end."""
        return self.asking == "finish"

    @property
    def width(self) -> int:
        """Columns there are for text."""
        return self.window.width - 2

    @property
    def laid(self) -> SheetLines:
        """What lays the sheet out for this window."""
        return SheetLines(self.sheet, self.spoken, self.width)

    def draw(self) -> None:
        """Draw the open question with what was answered, or what came of it."""
        now = self.now
        field = open_field(self.sheet, now)
        if field is None and self.asking == "field":
            self.asking = "finish"
        prompt = self.spoken_prompt(self._open_prompt(now, field))
        done, there = counted(self.sheet, now)
        car = visible(self.desk.state.car.name, 30) if self.desk.state.car else "Setdown"
        head = f" {car} - {self.spoken(self.sheet.name)}"
        where = "finished? " if self.finishing else f"{done} of {there} answered "
        width = self.width + 2
        head = visible(head, width - len(where) - 1)
        stage = field.stage if field is not None and self.asking == "field" else ""
        first = head + " " * (width - len(head) - len(where)) + where
        rows = Content.assemble((first, HEAD), "\n", self._second_row(now, stage))
        self.query_one("#strip", Static).update(rows)
        lines = [] if self.asking == "which" else self._lines_so_far(now)
        last: list[str] = []
        if self.finishing:
            lines = [*self.laid.misfits(now), *self.result_lines(now)]
            last = self._edits(now)
        room = self.window.height - FRAME_ROWS - prompt_rows(prompt, self.width)
        pictures = self.query_one(Pictures)
        plotted = field is not None and bool(field.plot) and self.asking == "field"
        pictures.display = plotted and room >= LEAST_PICTURE
        if field is not None and pictures.display:
            # Where the window is high the choices stand further apart, for a finger.
            apart = len(prompt.choices) + 2 if self.window.height >= HIGH_FROM else 0
            pictures.styles.height = room - apart
            pictures.show([table_picture(field.plot, now.system)])
            lines = []
        body = self.query_one("#body", Static)
        key = "F4" if self.finishing else "" if now.answers else "F3"
        shown = fitted(lines, last, room, key)
        body.update("\n".join(shown))
        body.display = bool(shown)
        self._place(body, below=not (now.answers or self.finishing))
        self.refresh_bindings()
        self.asker.ask(prompt)

    def _open_prompt(self, now: Filling, field: SheetField | None) -> Prompt:
        """Return the open question: a field of the sheet, or what is asked beside them."""
        if self.asking == "start":
            return START
        if self.asking == "which":
            return which_prompt(self.sheet, self.looked_at, self.width)
        if self.finishing or field is None:
            result, edits = self._work_out(now)
            refused = self.sheet.refuses(self.desk.state)
            return finish_prompt(result, len(edits), self.finish_words(bool(edits)), refused)
        return prompt_of(field)

    def _place(self, body: Static, *, below: bool) -> None:
        """Put the question first where nothing is answered yet: how it is done stands below it."""
        work = self.query_one("#work")
        if below:
            work.move_child(body, after=self.asker)
        else:
            work.move_child(body, before=self.asker)
        body.styles.margin = (int(below), 0, 0, 0)

    @property
    def _takes_a_file(self) -> bool:
        """Whether the open question is answered with a file."""
        field = open_field(self.sheet, self.now) if self.asking == "field" else None
        return field is not None and field.kind == "table"

    def spoken_prompt(self, prompt: Prompt) -> Prompt:
        """Return a question in the crew's wording and units."""
        return spoken_prompt(self.desk.state, prompt)

    def _second_row(self, now: Filling, stage: str) -> str:
        rounds = self.desk.state.sheets.get(self.sheet.id, ())
        closed = now.before.closed if now.before else None
        where = stage or (f"Last done {day(closed)}" if closed else "First time")
        if rounds and rounds[-1].closed is None and rounds[-1].of is not None:
            where = "A correction of the last one"
        elif self.gone_on and not stage:
            where = "Begun before, gone on with"
        said = f" {where}. {KEPT}"
        return said if len(said) <= self.width else f" {where}."

    def _lines_so_far(self, now: Filling) -> list[str]:
        """Return what was answered, the latest last; before the first answer, the procedure."""
        return self.laid.answers(now) if now.answers else self.laid.procedure()

    def result_of(self, now: Filling) -> Result:
        """Return what a sheet comes to, worked out once for each answer."""
        return self._work_out(now)[0]

    def _work_out(self, now: Filling) -> tuple[Result, Changes]:
        """Return the result, and what of it there is to put into the car file where one is kept."""
        key = (self.desk.state.events, now.answers)
        if self._worked_out is None or self._worked_out[0] != key:
            result = self.sheet.result(now)
            kept = self.desk.keep is not None and self.desk.state.car is not None
            rows = changes(self.desk.car, result.edits) if kept and result.edits else []
            self._worked_out = (key, result, rows)
        return self._worked_out[1:]

    def result_lines(self, now: Filling) -> list[str]:
        """Return what came of the sheet, the gravest first."""
        return self.laid.result(self.result_of(now))

    def _edits(self, now: Filling) -> list[str]:
        result, rows = self._work_out(now)
        if not rows:
            kept = self.desk.keep is not None and result.edits
            return ["The car file says all of it already."] if kept else []
        return self.laid.edits(rows)

    def finish_words(self, offered: bool) -> str:
        """Return what finishing is called."""
        return "Finish, the car file stays as it is" if offered else "Finish"

    def take(self, prompt: Prompt, value: Given) -> None:
        if self.asking == "start" and value == NEW:
            self._ask("field")
        elif value == CORRECT and self.asking in ("start", "finish"):
            self.action_correct()
        elif self.finishing:
            self._finish(str(value))
        else:
            state = self.desk.state
            if self.asking == "which":
                self.desk.record(said_again(self.sheet, state, str(value)))
            else:
                if self._takes_a_file:
                    value = table_text(str(value))
                self.desk.record(answered(self.sheet, state, prompt.id, value))
            self._ask("field")
            if prompt.id == PHOTOS and value != UNKNOWN:
                self.say(missing_words(str(value)))

    def _ask(self, asking: Literal["field", "start", "which", "finish"]) -> None:
        self.asking = asking
        self.say("")
        self.draw()

    def _finish(self, how: str) -> None:
        if how == READ:
            self.action_whole()
            return
        _, rows = self._work_out(self.now)
        edits = [edit for edit, _, _ in rows] if how == TAKE else []
        try:
            bodies = closed(self.sheet, self.desk.state, self.desk.names)
            if edits:
                self.desk.edit(edits)
            self.desk.record(with_consequences(self.desk.state, self.desk.book, bodies))
        except (AnswerError, CarFileError, DataFolderError, LogError) as error:
            self.say(" ".join(str(error).split()))
            return
        said = f"{self.spoken(self.sheet.name)}: finished."
        if edits:
            values = "1 value is" if len(edits) == 1 else f"{len(edits)} values are"
            said += f" {values} in the car file, the file before beside it."
        self.dismiss(said)

    def go_back(self) -> None:
        if self.asking == "which":
            self._ask("start" if self._can_go_on else "field")
            return
        if self.finishing and open_field(self.sheet, self.now) is not None:
            self._ask("field")
            return
        self.asking = "field"
        bodies = taken_back(self.sheet, self.desk.state)
        if not bodies:
            self.dismiss(None)
            return
        self.desk.record(bodies)
        self._ask("field")

    def action_leave(self) -> None:
        """Leave; everything answered is kept, and the sheet goes on from there."""
        kept = f"{self.spoken(self.sheet.name)}: kept as it is."
        self.dismiss(kept if self.now.answers else None)

    def action_how(self) -> None:
        """Show how it is done."""
        lines = self.laid.procedure() or ["Answer one question after the other."]
        self.app.push_screen(ReadingScreen(f"How: {self.spoken(self.sheet.name)}", lines))

    def action_whole(self) -> None:
        """Show everything answered, and what it comes to."""
        now = self.looked_at
        edits = self._edits(now)
        lines = [*self.result_lines(now), *edits, "", *self.laid.answers(now)]
        self.app.push_screen(ReadingScreen(self.spoken(self.sheet.name), lines))

    def action_pick(self) -> None:
        """Pick the file that answers the open question."""
        if self._takes_a_file:
            from tui.screens.file_picker import FilePicker

            self.app.push_screen(FilePicker(), self._picked)

    def _picked(self, path: Path | None) -> None:
        if path is not None:
            self.on_asker_taken(Asker.Taken(self.asker.prompt, str(path)))

    def action_finish_now(self) -> None:
        """Go to the end of a sheet of which enough is answered."""
        if self.sheet.enough(self.now):
            self._ask("finish")

    def action_correct(self) -> None:
        """Ask which answer shall be said again, whatever was answered since."""
        if correctable(self.sheet, self.looked_at):
            self._ask("which")
