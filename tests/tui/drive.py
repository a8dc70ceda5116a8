"""A desk with a frozen clock and counted identifiers, and the screen in front of it."""

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from uuid import UUID

from textual.app import App
from textual.pilot import Pilot

from profiles.files import SHIPPED_CARS, load_car
from profiles.logbook import Logbook
from rules.book import Book, shipped
from rules.car.model import Car
from rules.log.events.event import Body
from rules.log.state import State
from rules.question import UNKNOWN, Given
from tui.app import SetdownApp
from tui.desk import Desk

START = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
BOOK = shipped()
DEMO = load_car(SHIPPED_CARS / "demo.toml")
METRIC = load_car(SHIPPED_CARS / "leaf-metric.toml")


@dataclass
class Clock:
    """A clock that stands still until it is told to move."""

    now: datetime = START

    def __call__(self) -> datetime:
        return self.now

    def wait(self, minutes: int) -> None:
        self.now += timedelta(minutes=minutes)


def counted_ids(first: int = 1) -> Callable[[], UUID]:
    """Return identifiers that are the same in every test."""
    numbers = count(first)
    return lambda: UUID(int=next(numbers))


def counted_names() -> Callable[[], str]:
    """Return names that are the same in every test."""
    numbers = count(1)
    return lambda: f"name {next(numbers)}"


def make_desk(
    path: Path | None = None,
    car: Car = DEMO,
    *,
    book: Book = BOOK,
    meeting: str = "Invented meeting",
    session: str = "test",
    first_id: int = 1,
) -> Desk:
    """Open a desk; a new log gets the meeting and the session unless they are empty."""
    log = Logbook.open(path, "tests") if path else Logbook.in_memory("tests")
    names = counted_names() if first_id == 1 else (lambda: f"later {next(later)}")
    later = count(first_id)
    desk = Desk(log, book, clock=Clock(), event_ids=counted_ids(first_id), names=names)
    desk.describe(car)
    if meeting and desk.prompt.id == "meeting":
        desk.answer("meeting", meeting)
        if session:
            desk.answer("session", session)
    return desk


def screen_text(app: App[object]) -> str:
    """Return what stands on the screen."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)


def work_text(app: App[object]) -> str:
    """Return what stands on the screen without the car beside the question."""
    rows = screen_text(app).splitlines()
    found = app.screen.query("#work")
    if not found:
        return "\n".join(rows)
    region = found.first().region
    return "\n".join(
        row[: region.right] if region.y <= at < region.bottom else row
        for at, row in enumerate(rows)
    )


@dataclass(repr=False)
class Rig:
    """The screen under test, its desk, and the keys.

    Without a representation: the standard library makes that of every task's result, unasked.
    """

    desk: Desk
    app: SetdownApp
    pilot: Pilot[None]
    _read: int = field(default=0)

    @property
    def text(self) -> str:
        return screen_text(self.app)

    @property
    def rows(self) -> list[str]:
        return self.text.splitlines()

    @property
    def work(self) -> str:
        """What stands on the screen, without the car beside the question."""
        return work_text(self.app)

    @property
    def said(self) -> str:
        """The words of the work, header, message and keys, in whichever way they are wrapped."""
        return " ".join(self.work.split())

    @property
    def message(self) -> str:
        """The rows between the work and the keys."""
        return str(self.app.screen.query_one("#message").render()).strip()

    @property
    def state(self) -> State:
        return self.desk.state

    @property
    def clock(self) -> Clock:
        assert isinstance(self.desk.clock, Clock)
        return self.desk.clock

    async def keys(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()
        await self.worked()

    async def worked(self) -> None:
        """Wait until nothing is being worked out beside the screen any more."""
        while list(self.app.workers):
            await self.app.workers.wait_for_complete()
            await self.pilot.pause()

    async def type(self, text: str) -> None:
        """Type a line and send it."""
        await self.keys(*text, "enter")

    async def choose(self, choice_id: str) -> None:
        """Press the digit of a choice, on whichever page it stands."""
        from tui.widgets.asker import Asker

        asker = self.app.screen.query_one(Asker)
        ids = [choice.id for choice in asker.prompt.choices]
        at = ids.index(choice_id)
        for key in choice_keys(at, asker.page, len(ids), asker.prompt.choices[at].key):
            await self.keys(key)

    async def mark(self, *choice_ids: str) -> None:
        """Mark choices and send them."""
        for choice_id in choice_ids:
            await self.choose(choice_id)
        await self.keys("enter")

    async def all_ok(self) -> None:
        """Tick every item of the open inspection, each once."""
        inspection = self.desk.prompt.id
        reason = self.desk.prompt.reason
        for choice in self.desk.prompt.choices:
            await self.choose(choice.id)
        await self.keys("enter")
        assert (self.desk.prompt.id, self.desk.prompt.reason) != (inspection, reason)

    def events(self) -> list[Body]:
        """Return the bodies stored since this was last asked."""
        bodies = [event.body for event in self.desk.log.events()]
        fresh, self._read = bodies[self._read :], len(bodies)
        return fresh

    def kinds(self) -> list[str]:
        return [body.kind for body in self.events()]


def choice_keys(index: int, page: int, choices: int, own: str = "") -> Iterator[str]:
    """Yield the keys that choose the answer at `index`, from `page` on; `own` is its own key."""
    pages = (choices + 7) // 8
    for _ in range((index // 8 - page) % pages):
        yield "9"
    yield own or str(index % 8 + 1)


@asynccontextmanager
async def at_the_screen(
    desk: Desk,
    size: tuple[int, int] = (80, 24),
    settle_s: float = 0.0,
    theme: str = "sunlight",
) -> AsyncIterator[Rig]:
    """Run the application on a desk."""
    app = SetdownApp(desk, settle_s=settle_s, theme=theme)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        rig = Rig(desk, app, pilot)
        rig.events()
        yield rig


async def walked(rig: Rig) -> None:
    """Draw what the desk came to without the screen, once."""
    screen = rig.app.screen
    screen.say("")  # type: ignore[attr-defined]
    screen.draw()  # type: ignore[attr-defined]
    await rig.pilot.pause()


def answer_to_advice(desk: Desk, symptom: str, **answers: str) -> None:
    """Answer every prompt down to the advice, inspections clean, the rest "don't know"."""
    while desk.prompt.id != "advice":
        prompt = desk.prompt
        given: dict[str, Given] = {"symptoms": (symptom,), "what-else": ("nothing",)}
        said = answers.get(prompt.id.replace("-", "_"), UNKNOWN)
        desk.answer(prompt.id, "all ok" if prompt.kind == "tick" else given.get(prompt.id, said))


def answer_the_change(desk: Desk) -> None:
    """Take the advice and tick every turn off."""
    desk.answer("advice", "make")
    while (prompt := desk.prompt.id).startswith("turn:"):
        desk.answer(prompt, "done")


async def to_advice(rig: Rig, symptom: str, **answers: str) -> None:
    """Come to the advice at the desk, and draw it; the keys of the way are other tests' subject."""
    answer_to_advice(rig.desk, symptom, **answers)
    await walked(rig)


async def make_change(rig: Rig) -> None:
    """Take the advice and tick every turn off at the desk, and draw what is open then."""
    answer_the_change(rig.desk)
    await walked(rig)


async def to_work_order(rig: Rig) -> None:
    """Go from the first question to the first turn of two knobs."""
    answer_to_advice(rig.desk, "front-drops-hard", stand="big", front_travel="short-harsh")
    rig.desk.answer("advice", "make")
    await walked(rig)
    assert rig.desk.prompt.id == "turn:left front rebound"


async def to_verdict(rig: Rig, stand: str = "big", front_travel: str = "short-harsh") -> None:
    """Go on until the change is made and has had its pass."""
    answer_to_advice(rig.desk, "front-drops-hard", stand=stand, front_travel=front_travel)
    answer_the_change(rig.desk)
    rig.desk.answer("ran", "ran")
    rig.desk.answer("what-else", ("nothing",))
    await walked(rig)
    assert rig.desk.prompt.id == "verdict"
