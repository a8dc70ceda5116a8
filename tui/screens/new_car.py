"""Describing a new car: a sheet with a draft's log under it, and a car file at its end."""

from dataclasses import dataclass

from textual.message import Message

from profiles.drafts import draft_car
from profiles.files import CarFileError
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.describe.rank import ToMeasure, measure_next
from rules.crew.sheets.sheet import Filling
from rules.question import Prompt
from rules.wording import say
from tui.desk import Desk
from tui.leaving import LeavingApp
from tui.lines import spoken_prompt
from tui.screens.sheet import SheetScreen
from tui.visible import visible

MOST = 6


class NewCarScreen(SheetScreen):
    """The sheet of a new car, in the units its crew chose."""

    @dataclass
    class Ranked(Message):
        """What to measure next, ranked by the launch model for a car as described so far."""

        answers: object
        ranked: tuple[ToMeasure, ...]

    def __init__(self, desk: Desk, settle_s: float) -> None:
        super().__init__(desk, NEW_CAR, settle_s)
        self.ranked: tuple[ToMeasure, ...] = ()
        self.ranked_for: object = None

    def spoken(self, text: str) -> str:
        return visible(say(text, self.now.system))

    def spoken_prompt(self, prompt: Prompt) -> Prompt:
        return spoken_prompt(self.desk.state, prompt, self.now.system)

    def finish_words(self, offered: bool) -> str:
        return "Make the car file, and open the car"

    def result_lines(self, now: Filling) -> list[str]:
        says = self.result_of(now).says
        try:
            car, _ = draft_car(self.desk.state)
        except (CarFileError, ValueError) as error:
            faults = error.faults if isinstance(error, CarFileError) else [error]
            return [
                *self.laid.texts(says[1:]),
                *self.laid.texts(tuple(f"Fault: {one}" for one in faults)),
            ]
        if self.ranked_for is not now.answers:
            self.ranked, self.ranked_for = measure_next(car, 0), now.answers
            self.run_worker(
                lambda: self.post_message(self.Ranked(now.answers, measure_next(car))),
                thread=True,
                exclusive=True,
                group="rank",
            )
        head = "What to measure next, and how; what narrows the advice most comes first:"
        rows = [f"{at}. {one.name}: {one.how}" for at, one in enumerate(self.ranked[:MOST], 1)]
        return [*self.laid.texts(says), "", *self.laid.texts((head, *rows))]

    def on_new_car_screen_ranked(self, event: Ranked) -> None:
        """Show the launch model's ranking, unless the answers are others by now."""
        event.stop()
        if event.answers is self.now.answers:
            self.ranked = event.ranked
            self.draw()


class NewCarApp(LeavingApp[bool]):
    """Describes a new car; True once it is finished, else the draft is kept."""

    def __init__(self, desk: Desk, settle_s: float = 0.25, theme: str = "") -> None:
        super().__init__(theme)
        self.desk = desk
        self.settle_s = settle_s

    def on_mount(self) -> None:
        self.push_screen(NewCarScreen(self.desk, self.settle_s), self._done)

    def _done(self, said: str | None) -> None:
        rounds = self.desk.state.sheets.get(NEW_CAR.id, ())
        self.exit(bool(rounds) and rounds[-1].closed is not None)
