"""Printing, exporting, backing up, another car, and where everything lies: without a command."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from textual.app import ComposeResult
from textual.message import Message

from rules.question import Choice, Given, Prompt
from tui.desk import Desk
from tui.papers import Papers
from tui.screens.questions import LEAVE, QUESTIONS_CSS, QuestionScreen
from tui.screens.reading import ReadingScreen
from tui.visible import visible
from tui.widgets.working import Working

ANOTHER_CAR = "another car"
CHOICES = (
    Choice("sheet", "Print the event sheet"),
    Choice("card", "Print the baseline card"),
    Choice("day", "Print the day: pictures, every pass, where the time is"),
    Choice("tables", "Tables and the whole log, for a spreadsheet"),
    Choice("backup", "Back up everything in one file"),
    Choice("car", "Open another car"),
    Choice("where", "Where everything lies"),
)


class PapersScreen(QuestionScreen[str | None]):
    """Asks what to write out; it is written off the event loop, and said where."""

    CSS_PATH = QUESTIONS_CSS
    BINDINGS = [LEAVE]
    HELP = "What is written goes into the folder that the program was started in."

    @dataclass
    class Written(Message):
        """The thread is done: the files, or why there are none."""

        files: list[Path]
        fault: str

    def __init__(self, desk: Desk, papers: Papers, settle_s: float, at_once: str = "") -> None:
        super().__init__(desk, settle_s)
        self.papers = papers
        self.at_once = at_once

    def below(self) -> ComposeResult:
        yield Working("writing")

    def begin(self) -> None:
        super().begin()
        if self.at_once:
            self.call_after_refresh(self.take, self.asker.prompt, self.at_once)

    def draw(self) -> None:
        self.draw_frame()
        hint = f"Files go into {visible(str(self.papers.to))}."
        question = "Paper and files: what do you want?"
        self.asker.ask(Prompt("paper", question, choices=CHOICES, hint=hint))

    def take(self, prompt: Prompt, value: Given) -> None:
        if value == "car":
            self.app.exit(ANOTHER_CAR)
        elif value == "where":
            rows = [f"{label + ':':<17} {visible(path)}" for label, path in self.papers.places]
            self.app.push_screen(ReadingScreen("Where everything lies", rows))
        else:
            self.query_one(Working).begin()
            write = self.papers.ready(str(value))
            self.run_worker(lambda: self._write(write), thread=True, group="papers")

    def _write(self, write: Callable[[], list[Path]]) -> None:
        try:
            files = write()
        except (OSError, ValueError) as error:
            self.post_message(self.Written([], str(error)))
        else:
            self.post_message(self.Written(files, ""))

    def on_papers_screen_written(self, event: Written) -> None:
        event.stop()
        self.query_one(Working).end()
        if event.fault:
            self.say(visible(event.fault))
            return
        more = f" and {len(event.files) - 1} more" if len(event.files) > 1 else ""
        self.say(f"Wrote {visible(str(event.files[0]))}{more}.")
        self.notify(f"Wrote {visible(event.files[0].name)}{more}", markup=False)

    def go_back(self) -> None:
        self.action_leave()
