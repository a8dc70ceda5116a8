"""What has to stand whole on the screen, and whether it does."""

from drive import BOOK, Clock, Rig

from rules.advice.treated import order_reason
from rules.log.state import State
from rules.question import Prompt


def longest_order_reason(symptom: str) -> str:
    """Return the longest reason for which this symptom is treated before another."""
    reasons = (order_reason((symptom, other), BOOK) for other in BOOK.symptoms if other != symptom)
    first = f"Treated first: {BOOK.symptoms[symptom].name},"
    return max((reason for reason in reasons if reason.startswith(first)), key=len, default="")


class Shown:
    """A desk that shows one question, for the screen only."""

    resumed = False
    book = BOOK
    model = None

    def __init__(self, state: State, prompt: Prompt) -> None:
        self.state = state
        self.prompt = prompt
        self.clock = Clock()


def whole(text: str, lines: list[str]) -> list[str]:
    """Return the words that are not on the screen, in whichever way it wraps them."""
    flat = "".join(text.split())
    return [line for line in lines if "".join(line.split()) not in flat]


async def show(rig: Rig, state: State, prompt: Prompt) -> None:
    screen = rig.app.screen
    screen.desk = Shown(state, prompt)  # type: ignore[attr-defined]
    screen.draw()  # type: ignore[attr-defined]
    await rig.pilot.pause()
    asker, work = (screen.query_one(one).region for one in ("Asker", "#work"))
    assert asker.bottom <= work.bottom, f"the question runs out of the window\n{rig.text}"
