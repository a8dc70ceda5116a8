"""The one road: an answer goes in, its events are committed, and only then the state moves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple
from uuid import UUID, uuid4

from profiles.local_time import now_here
from profiles.logbook import Logbook
from profiles.logfile import LogError
from rules.asked import ANSWER_HERE, Topic
from rules.book import Book
from rules.car.adjusters import starts
from rules.car.file_before import NO_FILE, FileBefore
from rules.car.model import Car
from rules.crew.hints import hinted
from rules.crew.open_question import next_step
from rules.log.state import State
from rules.question import Given, Prompt

if TYPE_CHECKING:
    # Imported where they are first needed: the first question of a day does without.
    from rules.car.edits import Edit
    from rules.crew.actions import Action
    from rules.crew.form_ends import Filled
    from rules.launch.outlook import Model
    from rules.log.events.event import Body
    from rules.passes.slip_entry import Entry
    from tui.papers import Papers

SEEDED_BASELINE = "Car file"


def slip_of(number: int) -> str:
    """Return the draft's name of the slip of a pass."""
    return f"slip {number}"


def new_name() -> str:
    """Return a fresh identifier."""
    return uuid4().hex


class HalfFilled(NamedTuple):
    """The answers of a form that was left; they fit as long as nothing else was recorded."""

    state: State
    filled: Filled


@dataclass
class Desk:
    """One car's log, the book, and the open question.

    model: what turns are weighed by; None for the trade's steps alone. With one, an answer is
    committed first and the advice it makes due comes after it, by `advise` or `work_out`.
    drafts: what was half answered and left, a form by its name and a slip by `slip_of` its pass;
        gone when the program ends.
    keep: puts edits into the kept car file and returns the car it then describes.
    before: reads the car file that stood before the last edit.
    kept: reads the kept car file as it is now, None where it has faults.
    papers: what can be written out of a car that is kept; made when it is first asked for.
    """

    log: Logbook
    book: Book
    clock: Callable[[], datetime] = now_here
    event_ids: Callable[[], UUID] = uuid4
    names: Callable[[], str] = new_name
    model: Model | None = None
    notice: str = ""
    keep: Callable[[Sequence[Edit]], Car] | None = None
    before: Callable[[], FileBefore] = lambda: NO_FILE
    kept: Callable[[], Car | None] = lambda: None
    papers: Callable[[], Papers] | None = None
    resumed: bool = field(default=False, init=False)
    drafts: dict[str, Entry | HalfFilled] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        self.resumed = bool(self.state.meetings)

    @property
    def state(self) -> State:
        """Where everything stands."""
        return self.log.state

    @property
    def car(self) -> Car:
        """The car of this log."""
        return self.state.described_car

    @property
    def prompt(self) -> Prompt:
        """The one question that is open now."""
        state = self.state
        if state.meeting is None:
            # A meeting that nobody named is called by the day it is today, not by the last entry's.
            state = replace(state, now=self.clock())
        return hinted(next_step(state, self.book), state)

    def describe(self, car: Car) -> None:
        """Take the car file in: a new log starts from its counts, an older one keeps its own.

        Raises:
            LogError: if this is the log of another car, or the file could not be committed.
        """
        if self.state.car == car:
            return
        if self.state.car is not None and self.state.car.id != car.id:
            raise LogError(
                f"{self.log.name}: this is the log of the car {self.state.car.id!r}; "
                f"found the file of {car.id!r}; nothing was written"
            )
        from rules.crew.damper_doubts import doubts
        from rules.log.events.car import BaselineDeclared, CarDescribed

        bodies: list[Body] = [CarDescribed(car=car)]
        if self.state.car is None:
            seed = BaselineDeclared(
                baseline=self.names(), name=SEEDED_BASELINE, settings=starts(car)
            )
            bodies.append(seed)
        else:
            bodies += doubts(self.state.car, car)
        self.record(bodies)

    def edit(self, edits: Sequence[Edit]) -> None:
        """Put values into the car file, then take the file in.

        Raises:
            CarFileError: with every fault of the file, or of what it would be; nothing is written.
            DataFolderError: if the file could not be written.
            LogError: if it could not be committed.
        """
        if self.keep is None:
            raise LogError(f"{self.log.name}: no car file is kept here")
        self.log.hold()
        self.describe(self.keep(edits))

    def answer(self, prompt_id: str, value: Given) -> None:
        """Take an answer to the open question.

        Raises:
            AnswerError: if it does not fit.
            LogError: if it could not be committed.
        """
        if (prompt_id, value) == (Topic.READ_ONLY, ANSWER_HERE):
            self.answer_here()
            return
        from rules.crew.loop import answer

        now = self.clock()
        state = replace(self.state, now=now)
        bodies = answer(state, self.book, prompt_id, value, self.names, advised=self.model is None)
        self.record(bodies, now)

    def look(self) -> None:
        """Read what another window answered meanwhile; a log that is locked shows it later."""
        with suppress(LogError):
            self.log.look()

    def answer_here(self) -> None:
        """Take the answers at this desk from now on, with the car file as it is now.

        Raises:
            LogError: if it can still only be looked at; the state says why.
        """
        self.log.answer_here()
        if (car := self.kept()) is not None:
            self.describe(car)

    def act(self, action: Action) -> None:
        """Take an action.

        Raises:
            ActionError: if it cannot be done now.
            LogError: if it could not be committed.
        """
        from rules.crew.actions import act

        now = self.clock()
        state = replace(self.state, now=now)
        bodies = act(state, self.book, action, self.names, advised=self.model is None)
        self.record(bodies, now)

    def back(self) -> bool:
        """Open the question before this one; False where there is none.

        The slip of a pass that is struck out waits as a draft.
        """
        from rules.crew.loop import go_back

        before = self.state.open_run
        bodies = go_back(self.state, self.book, advised=self.model is None)
        self.record(bodies)
        runs = self.state.runs
        if before is not None and before.slip is not None and not runs.find(before.id):
            from rules.passes.slip_entry import begun

            self.drafts[slip_of(before.number)] = begun(self.car.units, before.slip)
        return bool(bodies)

    @property
    def is_advice_due(self) -> bool:
        """Whether the last answer is in the log and the advice about it is not yet."""
        return self.prompt.topic == Topic.WORKING_OUT

    def work_out(self, state: State) -> list[Body]:
        """Return the advice that is due in `state`, as events; touches neither log nor clock.

        With a model this takes a while: off the event loop, please.
        """
        from rules.crew.loop import due_advice

        return due_advice(state, self.book, self.model)

    def learn(self, state: State) -> None:
        """Let the model learn from the passes so far: off the event loop, please."""
        if self.model is None or state.car is None:
            return
        from rules.advice.earlier_passes import taught_so_far
        from rules.launch.proposed_change import missing

        if not missing(state.car):
            self.model.learn(state.car, taught_so_far(state))

    def advise(self) -> None:
        """Work out the advice that is due, if any, and record it.

        Raises:
            LogError: if it could not be committed.
        """
        self.record(self.work_out(self.state), self.state.now)

    def record(self, bodies: list[Body], now: datetime | None = None) -> None:
        """Commit the events of one answer together, at the time they were thought of."""
        if bodies:
            self.log.append(bodies, now=now or self.clock(), ids=self.event_ids)
