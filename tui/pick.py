"""The first screen where several cars are known, or none yet."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from rules.question import Choice, Prompt
from tui.drawn.header import HEAD
from tui.leaving import LeavingApp
from tui.visible import visible
from tui.widgets.asker import Asker
from tui.widgets.key_row import KeyRow

DEMO = "demonstration"
NEW = "describe:new"
NONE_YET = (
    "\nNo car is known yet. Describe yours here, or in a file:\n"
    "  setdown new my-car.toml      writes one to fill in\n"
    "  setdown add my-car.toml      checks it and takes it in\n"
)


class PickApp(LeavingApp[str]):
    """Asks which car to open; the empty string means the demonstration.

    draft: what the car is called that is half described.
    """

    CSS_PATH = ["app.tcss", "screens/frame.tcss", "widgets/asker.tcss"]
    BINDINGS = [
        Binding("q,Q", "quit", "leave", key_display="q", id="pick.quit"),
        Binding("escape", "quit", "leave", show=False, id="pick.leave"),
    ]

    def __init__(self, cars: list[str], draft: str = "") -> None:
        super().__init__()
        self.cars = cars
        self.draft = draft

    def compose(self) -> ComposeResult:
        yield Static(Content.styled(f" {self.TITLE:<{self.size.width - 1}}", HEAD), id="strip")
        with Vertical(id="work"):
            yield Asker()
            if not self.cars:
                yield Static(NONE_YET, id="none-yet", markup=False)
        yield KeyRow()

    def on_mount(self) -> None:
        choices = [Choice(car, car) for car in self.cars]
        going_on = f"Go on describing {visible(self.draft, 40)}"
        choices.append(Choice(NEW, going_on if self.draft else "Describe a new car"))
        choices.append(Choice(DEMO, "The demonstration car (invented; its data stays apart)"))
        self.query_one(Asker).ask(Prompt("car", "Which car?", choices=tuple(choices)))

    def on_asker_taken(self, event: Asker.Taken) -> None:
        self.exit("" if event.value == DEMO else str(event.value))


def pick_car(cars: list[str], draft: str = "") -> str | None:
    """Return the car that was chosen, NEW for one to describe, None for leaving.

    The empty string is the demonstration.
    """
    return PickApp(cars, draft).until_left()
