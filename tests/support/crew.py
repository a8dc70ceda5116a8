"""A crew for the tests: an invented car, and the loop driven with ids and times that repeat."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from rules.book import Book, shipped
from rules.car.adjusters import Adjuster, adjusters, starts
from rules.car.model import Car
from rules.crew.actions import ACTION, act
from rules.crew.loop import answer, go_back
from rules.crew.open_question import next_step
from rules.launch.severity import PROMPTS
from rules.log.advice import Advice
from rules.log.changes import Change
from rules.log.events.car import BaselineDeclared, CarDescribed
from rules.log.events.event import Body, Event
from rules.log.events.meeting import MeetingOpened
from rules.log.folds.fold import apply, fold
from rules.log.state import Run, State
from rules.question import UNKNOWN, Given, Prompt

START = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)

PARTS_LISTS = ("inspect:damper-opened", "inspect:springs-changed")
SQUATS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}
CORNERS = ("left front", "right front", "left rear", "right rear")


def knob(
    name: str, controls: str, speed: str = "all", clicks: int = 18, start: float = 9, **more: Any
) -> dict[str, Any]:
    """Describe one knob as a car file does."""
    return {
        "id": name,
        "controls": controls,
        "speed": speed,
        "clicks": clicks,
        "count_from": "full soft",
        "start": start,
        **more,
    }


FRONT = (
    knob("rebound", "rebound"),
    knob("low-speed compression", "compression", "low"),
    knob("high-speed compression", "compression", "high"),
)
REAR = (knob("compression", "compression"), knob("rebound", "rebound"))
LEVERS: tuple[dict[str, Any], ...] = (
    {"id": "launch rpm", "kind": "launch rpm", "axle": "car", "unit": "rpm", "step": 100}
    | {"low": 2000, "high": 6000, "start": 4200, "minutes": 3},
    {"id": "rear tyre pressure", "kind": "tyre pressure", "axle": "rear", "unit": "psi"}
    | {"step": 0.5, "low": 9, "high": 16, "start": 13, "makers_minimum": 11, "minutes": 3},
    {"id": "front limiter", "kind": "travel limiter", "axle": "front", "unit": "in"}
    | {"step": 0.25, "low": 2, "high": 3.5, "start": 3, "minutes": 20, "lift_car": True},
)


def invented_car(
    front: Iterable[Mapping[str, Any]] = FRONT,
    rear: Iterable[Mapping[str, Any]] = REAR,
    levers: Iterable[Mapping[str, Any]] = LEVERS,
    **more: Any,
) -> Car:
    """Make an invented car; both sides of an axle carry the same knobs."""
    knobs = {"front": list(front), "rear": list(rear)}
    raw = {
        "id": "invented",
        "name": "Invented car",
        "units": "metric",
        "invented": True,
        "rear_suspension": "four-link",
        "dampers": [{"corner": c, "knobs": knobs[c.split()[1]]} for c in CORNERS],
        "levers": list(levers),
        **more,
    }
    return Car.parse(raw)


class Crew:
    """Drives one log: every event is folded as the logbook would fold it."""

    def __init__(
        self, car: Car | None = None, book: Book | None = None, session: str = "test"
    ) -> None:
        self.book = book or shipped()
        self.state = State()
        self.log: list[Event] = []
        self.clock = START
        self.names = 0
        car = car or invented_car()
        self.record(
            [
                CarDescribed(car=car),
                BaselineDeclared(baseline="b", name="Car file", settings=starts(car)),
                MeetingOpened(meeting="m", name="Invented meeting", session=session),
            ]
        )

    def new_id(self) -> str:
        """Return the next id."""
        self.names += 1
        return f"id-{self.names}"

    def record(self, bodies: Iterable[Body]) -> None:
        """Fold events, a second apart."""
        for body in bodies:
            self.clock += timedelta(seconds=1)
            seq = len(self.log) + 1
            event = Event(id=UUID(int=seq), device="test", seq=seq, at=self.clock, body=body)
            self.log.append(event)
            self.state = apply(self.state, event)

    def killed(self, events: int, names: int) -> "Crew":
        """Return a crew that has nothing but the first events of this log, as after a kill."""
        again = Crew(book=self.book)
        again.log = self.log[:events]
        again.state = fold(again.log)
        again.clock = again.log[-1].at
        again.names = names
        return again

    @property
    def prompt(self) -> Prompt:
        """The open question."""
        return next_step(self.state, self.book)

    def say(self, *values: Any) -> Prompt:
        """Answer one question after the other; return the one that is open then."""
        for value in values:
            given: Given = tuple(value) if isinstance(value, list) else value
            self.record(answer(self.state, self.book, self.prompt.id, given, self.new_id))
        return self.prompt

    def tell(self, **values: Any) -> Prompt:
        """Answer questions by id (with _ for -) until one is open that was not told.

        How bad a fault was is not known unless it is told.
        """
        told = {key.replace("_", "-"): value for key, value in values.items()}
        while True:
            prompt = self.prompt
            if prompt.id in told:
                self.say(told.pop(prompt.id))
            elif prompt.kind == "tick":
                self.say("all ok")
            elif prompt.id == "what-else":
                self.say(["nothing"])
            elif prompt.id == "symptoms" and prompt.default is not None:
                self.say([prompt.default])
            elif prompt.id == "sixty-foot":
                self.say("")
            elif prompt.id in ("sixty-foot-meant", "dated-before"):
                self.say("keep")
            elif prompt.id == "stop-meant":
                self.say("landing")
            elif prompt.id in PROMPTS:
                self.say(UNKNOWN)
            else:
                return prompt

    def do(self, action: str, **fields: Any) -> Prompt:
        """Take an action; return the question that is open then."""
        taken = ACTION.validate_python({"action": action, **fields})
        self.record(act(self.state, self.book, taken, self.new_id))
        return self.prompt

    def back(self) -> Prompt:
        """Go one question back."""
        self.record(go_back(self.state, self.book))
        return self.prompt

    def good_pass(self, sixty: float, *marks: str, lane: str | None = None) -> None:
        """Run a pass with nothing to fix on it, and note its slip."""
        self.say(["it-is-good"])
        self.do("slip", sixty=sixty, marks=marks, lane=lane)
        self.say(["nothing"])
        self.say("ok")

    def make(self) -> Change:
        """Take the advice and tick its whole work order; return the change."""
        self.say("make")
        change = self.state.changes[-1]
        self.tick()
        return self.state.change(change.id)

    def tick(self) -> None:
        """Tick off every turn that is open, and the list of a valving or springs put on by one."""
        while self.prompt.id.startswith(("turn:", *PARTS_LISTS)):
            self.say("all ok" if self.prompt.kind == "tick" else "done")

    def put_back(self) -> None:
        """Put the car back to the baseline, whatever it leads back to, and tick it all off."""
        self.do("put back to baseline", knowing=True)
        while self.prompt.id.startswith("recount:"):
            self.say("")
        self.tick()

    @property
    def advice(self) -> Advice:
        """The advice that is open."""
        about = self.prompt.about
        assert isinstance(about, Advice), self.prompt.id
        return about

    @property
    def last(self) -> Change:
        """The change proposed last."""
        return self.state.changes[-1]

    @property
    def run(self) -> Run:
        """The pass begun last."""
        return self.state.runs[-1]

    @property
    def fitted(self) -> dict[str, Adjuster]:
        """The adjusters of the car."""
        assert self.state.car is not None
        return adjusters(self.state.car)

    @property
    def off(self) -> dict[str, float]:
        """What stands off the baseline, and by how much."""
        assert self.state.baseline is not None
        goals = self.state.baseline.settings
        return {k: v - goals[k] for k, v in self.state.settings.items() if v != goals[k]}


def steps_of(advice: Advice, fitted: Mapping[str, Adjuster]) -> list[tuple[str, float]]:
    """Return each turn of an advice as its adjuster and its signed steps, firmer positive."""
    return [
        (t.adjuster, fitted[t.adjuster].up(True) * (t.after - t.before) / fitted[t.adjuster].step)
        for t in advice.turns
    ]
