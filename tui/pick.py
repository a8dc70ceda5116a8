"""The first screen where several cars are known, or none yet."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Static

from rules.prompts import Choice, Prompt
from tui.leaving import LeavingApp
from tui.widgets.asker import Asker

DEMO = "demonstration"
NONE_YET = (
    "No car is known yet. Describe yours in a file:\n"
    "  setdown new my-car.toml      writes one to fill in\n"
    "  setdown add my-car.toml      checks it and takes it in\n"
)


class PickApp(LeavingApp[str]):
    """Asks which car to open; the empty string means the demonstration."""

    CSS_PATH = "screens/pit.tcss"
    BINDINGS = [Binding("escape,q,Q", "quit", "Leave", id="pick.quit")]

    def __init__(self, cars: list[str]) -> None:
        super().__init__()
        self.cars = cars

    def compose(self) -> ComposeResult:
        yield Static(" Setdown - q leaves", markup=False)
        if not self.cars:
            yield Static(NONE_YET, markup=False)
        yield Asker()

    def on_mount(self) -> None:
        choices = [Choice(car, car) for car in self.cars]
        choices.append(Choice(DEMO, "The demonstration car (invented; its data stays apart)"))
        self.query_one(Asker).ask(Prompt("car", "Which car?", choices=tuple(choices)))

    def on_asker_taken(self, event: Asker.Taken) -> None:
        self.exit("" if event.value == DEMO else str(event.value))


def pick_car(cars: list[str]) -> str | None:
    """Return the car that was chosen, the empty string for the demonstration, None for neither."""
    return PickApp(cars).run(mouse=False)
