"""Where everything stands: the fold of the log, frozen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

from rules.car.adjusters import Adjuster, Settings, adjusters
from rules.car.model import Car
from rules.growing_sequence import GrowingSequence, Keyed, Passing, digest
from rules.log.call_time import later, went_back
from rules.log.changes import Change
from rules.log.dampers import Dampers, Parts
from rules.log.looking import Looking, looking_of
from rules.log.ticks import Ticks
from rules.once import once_for_each
from rules.register import Register
from rules.replaced import replace

if TYPE_CHECKING:
    from rules.log.advice import Advice
    from rules.log.events.base import AnswerValue
    from rules.log.events.event import Event
    from rules.log.events.meeting import SessionKind
    from rules.log.events.passes import PassImported
    from rules.log.events.whole_log import Unread
    from rules.log.noted import Conditions, Given, Measurement
    from rules.log.recounts import Recounting
    from rules.log.rounds import Round
    from rules.passes.slip import Lane, Slip

SIXTY_FOOT = "sixty-foot"
MEETINGS = 8
"""So many meetings are remembered with their passes while one state is asked."""
LET_GO_AFTER = 500
"""Passes, or changes; so many are held while a whole log is gone through."""
Item = TypeVar("Item")


class NoCarError(ValueError):
    """Something is said of a car before any was described."""


@dataclass(frozen=True)
class Meeting:
    """A race meeting, the passes before it, and what was on until then.

    `stood` is where passes and changes stood as it began, as `State.stands` says it.
    """

    id: str
    name: str
    since: int = 0
    session_before: SessionKind | None = None
    call_before: datetime | None = None
    stood: str = ""


@dataclass(frozen=True)
class Baseline:
    """A named set of every setting; `parts` are the dampers and springs it was declared with."""

    id: str
    name: str
    settings: Settings
    at: datetime
    facts: Mapping[str, str] = field(default_factory=dict)
    parts: Parts = field(default_factory=dict)


@dataclass(frozen=True)
class Stood:
    """An adjuster as the car file had it, and where it stood."""

    adjuster: Adjuster
    setting: float


@dataclass(frozen=True)
class Run:
    """One pass and what was said about it.

    `given` is the advice that is open, `settled_last` the one that was last settled, both as
    stored: `advice` and `followed` read them. `put_by` is an advice that was open when lane, air or
    track was noted. `car`, `settings` and `parts` are those it ran with, as far as the log knew
    then; `lane` is what slip or conditions said last; `ticks` are the marks made for the lists of
    this pass, by inspection and item.
    """

    id: str
    number: int
    at: datetime
    meeting: str | None
    session: SessionKind | None
    change: str | None
    answers: Mapping[str, AnswerValue] = field(default_factory=dict)
    measured: Mapping[str, Measurement] = field(default_factory=dict)
    given: Given | None = None
    settled_last: Given | None = None
    put_by: Given | None = None
    settled: tuple[str, ...] = ()
    done: bool = False
    control_skipped: bool = False
    in_doubt: tuple[str, ...] = ()
    conditions: Conditions | None = None
    car: Car | None = None
    settings: Mapping[str, float] = field(default_factory=dict)
    slip: Slip | None = None
    lane: Lane | None = None
    parts: Parts = field(default_factory=dict)
    ticks: Mapping[tuple[str, str], str] = field(default_factory=dict)

    @property
    def advice(self) -> Advice | None:
        """The advice that is open."""
        return self.given.advice if self.given else None

    @property
    def followed(self) -> Advice | None:
        """The advice that was last settled."""
        return self.settled_last.advice if self.settled_last else None

    @property
    def sixty_s(self) -> float | None:
        """The 60-foot time: the slip's, or the one that was answered."""
        if self.slip is not None and self.slip.sixty_s is not None:
            return self.slip.sixty_s
        answered = self.answers.get(SIXTY_FOOT)
        return answered if isinstance(answered, float) else None


@dataclass(frozen=True)
class Unfitting:
    """An event of a merged log that fits nothing before it: kept in the log, without effect."""

    event: Event
    why: str


@dataclass(frozen=True)
class Note:
    """Words of the crew."""

    text: str
    at: datetime
    run: str | None


@dataclass(frozen=True)
class State:
    """Everything the log says, ready to be asked.

    `to_recount` names what has to be counted by hand, with the steps it stood firmer than each
    baseline whose goal moves along with the count. `unfitted` left the car file. `split` names
    what a recount found apart from its pair, with the passes after which it is asked about.
    `worth_s` is the smallest gain of the 60-foot declared to be worth a change.
    `ticked` are the marks of lists that belong to no pass: `ticks` has them all.
    `coming` is what was noted for the pass that comes.
    `call_said` is the latest time read since the call was said; `call_doubted`: one was earlier.
    `disputed` are the counts on which two merged logs differ, until each is recounted. `imported`
    are passes from elsewhere, which are history and no part of the loop. `owed` says by inspection
    and reason which lists still have to be ticked though what raised them was corrected.
    `unlearnt` are the passes that the launch learns nothing from, as of each fresh beginning.
    `unread` are events of a newer program, one of each kind and version; `held` is what keeps the
    log from being written at this moment. While there is either, nothing is asked or written.
    """

    car: Car | None = None
    settings: Mapping[str, float] = field(default_factory=dict)
    known_since: Mapping[str, int] = field(default_factory=dict)
    to_recount: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    unfitted: Mapping[str, Stood] = field(default_factory=dict)
    split: Mapping[str, int] = field(default_factory=dict)
    recounts: Mapping[str, Recounting] = field(default_factory=dict)
    meetings: Register[Meeting] = field(default_factory=Register)
    session: SessionKind | None = None
    call_at: datetime | None = None
    call_said: datetime | None = None
    call_doubted: bool = False
    now: datetime | None = None
    baselines: tuple[Baseline, ...] = ()
    changes: Register[Change] = field(default_factory=Register)
    runs: Register[Run] = field(default_factory=Register)
    coming: Conditions | None = None
    ticked: Mapping[tuple[str, str, str], str] = field(default_factory=dict)
    owed: Mapping[tuple[str, str], str] = field(default_factory=dict)
    damage: Mapping[str, str] = field(default_factory=dict)
    notes: GrowingSequence[Note] = field(default_factory=GrowingSequence)
    worth_s: float | None = None
    imported: GrowingSequence[PassImported] = field(default_factory=GrowingSequence)
    disputed: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    unfitting: GrowingSequence[Unfitting] = field(default_factory=GrowingSequence)
    sheets: Mapping[str, tuple[Round, ...]] = field(default_factory=dict)
    dampers: Dampers = field(default_factory=Dampers)
    unlearnt: tuple[frozenset[str], ...] = ()
    unread: tuple[Unread, ...] = ()
    held: Looking | None = None
    events: int = 0

    def __post_init__(self) -> None:
        # What is said of a part of the log by plain tuples shares nothing yet.
        for name, kind in _SHARING:
            if not isinstance(getattr(self, name), kind):
                object.__setattr__(self, name, kind(getattr(self, name)))

    @property
    def ticks(self) -> Ticks:
        """The marks of all lists, by inspection, reason and item."""
        return Ticks(self.runs, self.ticked)

    @property
    def described_car(self) -> Car:
        """The car.

        Raises:
            NoCarError: if none was described yet.
        """
        if self.car is None:
            raise NoCarError("no car was described yet")
        return self.car

    @property
    def looking(self) -> Looking | None:
        """Why this log can only be looked at; None where answers are taken."""
        return looking_of(self.unread, self.held)

    @property
    def meeting(self) -> Meeting | None:
        """The meeting that is on."""
        return self.meetings[-1] if self.meetings else None

    @property
    def meeting_id(self) -> str | None:
        """The id of the meeting that is on; None before the first."""
        return self.meetings[-1].id if self.meetings else None

    @property
    def fitted(self) -> Mapping[str, Adjuster]:
        """Every adjuster of the car by id; none before a car is described."""
        return adjusters(self.car) if self.car else {}

    @property
    def runs_of_meeting(self) -> tuple[Run, ...]:
        """The passes of the meeting that is on."""
        return self.runs_at(self.meeting_id)

    def last_at(self, meeting: str | None) -> Run | None:
        """Return the latest pass of a meeting, None before its first."""
        return self.runs.last_under(*MEETING_OF_RUN, meeting or "")

    @once_for_each(MEETINGS)
    def runs_at(self, meeting: str | None) -> tuple[Run, ...]:
        """Return the passes of a meeting."""
        return tuple(self.runs.under(*MEETING_OF_RUN, meeting or ""))

    def run_numbered(self, number: int) -> Run | None:
        """Return the pass of a number, counted from 1; None where there is none."""
        return self.runs[number - 1] if 1 <= number <= len(self.runs) else None

    def runs_of(self, change: Change) -> tuple[Run, ...]:
        """Return the passes made with a change, the first one first."""
        return tuple(run for key in change.runs if (run := self.runs.find(key)) is not None)

    @property
    def baseline(self) -> Baseline | None:
        """The baseline in force."""
        return self.baselines[-1] if self.baselines else None

    @property
    def open_change(self) -> Change | None:
        """The change that waits for something; a put-back in progress comes first."""
        return next(self.changes.last_where("is open", lambda change: change.is_open), None)

    @property
    def left_open(self) -> list[Run]:
        """The passes before the last one that are not done: two laptops can leave some."""
        return [one for one in self.runs.where(*NOT_DONE) if one.number < len(self.runs)]

    @property
    def open_run(self) -> Run | None:
        """The pass that is being talked about."""
        return self.runs[-1] if self.runs and not self.runs[-1].done else None

    @property
    def work_order(self) -> Change | None:
        """The change whose turns are not all made."""
        change = self.open_change
        unfinished = change is not None and change.status in ("proposed", "part-applied")
        return change if unfinished else None

    def one_by_one(self, items: Iterable[Item]) -> Iterator[Item]:
        """Yield items of the whole log; after some of them, passes long past are let go."""
        for number, item in enumerate(items, 1):
            yield item
            if number % LET_GO_AFTER == 0:
                for name, _ in _SHARING:
                    getattr(self, name).let_go()

    def teaches(self, run: Run) -> bool:
        """Tell whether the launch may learn from a pass: made since it was begun afresh."""
        return not self.unlearnt or run.id not in self.unlearnt[-1]

    @property
    def stands(self) -> str:
        """Where the passes and the changes stand: it is another once anything was answered."""
        last = self.runs[-1] if self.runs else None
        said = (last.id, tuple(last.answers.items()), last.settled, last.done) if last else ()
        changes = self.changes.told("stands", lambda part: digest(*map(_stand, part)))
        return digest(len(self.changes), *said, *changes)

    @property
    def steps_stand(self) -> str:
        """Where the steps of all changes stand: it is another once anything was turned."""
        steps = self.changes.told("steps", lambda part: digest(*(one.steps for one in part)))
        return digest(len(self.changes), *steps)

    @property
    def current_advice(self) -> Advice | None:
        """The advice that what is open now belongs to; none behind a change of the crew's own."""
        run, change = self.open_run, self.open_change
        if run is not None and run.advice is not None and self.work_order is None:
            return run.advice
        if change is not None:
            told = self.runs.find(change.run)
            return told.followed if told else None
        return self.runs[-1].followed if self.runs and run is None else None

    @property
    def minutes_left(self) -> int | None:
        """Whole minutes to the next call as of the last event, where the crew gave a time.

        None are left by a clock that went back since: how many are is not known then.
        """
        if self.call_at is None or self.now is None:
            return None
        if self.clock_went_back:
            return 0
        now = later(self.call_said, self.now)
        return max(0, int((self.call_at - now).total_seconds() // 60))

    @property
    def clock_went_back(self) -> bool:
        """Whether the clock went back since the minutes to the call were said."""
        if self.call_at is None or self.now is None:
            return False
        return self.call_doubted or went_back(self.call_said, self.now)

    def change(self, change_id: str) -> Change:
        """Return a change by id.

        Raises:
            KeyError: if there is none.
        """
        return self.changes.by_id(change_id)

    def run(self, run_id: str) -> Run:
        """Return a pass by id.

        Raises:
            KeyError: if there is none.
        """
        return self.runs.by_id(run_id)

    def with_run(self, changed: Run) -> State:
        """Return the state with a pass changed."""
        return replace(self, runs=self.runs.having(changed))

    def with_change(self, changed: Change) -> State:
        """Return the state with a change changed."""
        return replace(self, changes=self.changes.having(changed))


_SHARING: tuple[tuple[str, type[GrowingSequence[Any]]], ...] = (
    ("runs", Register),
    ("changes", Register),
    ("meetings", Register),
    ("notes", GrowingSequence),
    ("imported", GrowingSequence),
    ("unfitting", GrowingSequence),
)


def _meeting_of(one: Run | Change) -> str:
    return one.meeting or ""


def _stand(change: Change) -> tuple[object, ...]:
    return change.id, change.status, change.steps


def _is_not_done(run: Run) -> bool:
    return not run.done


NOT_DONE = Passing("is not done", _is_not_done)
MEETING_OF_RUN = Keyed[Run]("meeting", _meeting_of)
MEETING_OF_CHANGE = Keyed[Change]("meeting", _meeting_of)
