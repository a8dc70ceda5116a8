"""Two laptops of one car: joined without loss, the same from either side, nothing chosen."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import NAMESPACE_OID, UUID, uuid5

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.log.events.changes import TurnDone
from rules.log.events.event import Body, Event
from rules.log.events.passes import PassImported
from rules.log.events.whole_log import LogsMerged
from rules.log.folds.fold import apply, fold
from rules.log.merge import MergeError, merge, replayed, state_of
from rules.log.reading_order import in_order, is_merged
from rules.log.state import State
from rules.passes.slip import Slip
from tests.rules.log.test_clicks import MOVES, OFFSET_CAR, take
from tests.support.crew import START, Crew, invented_car
from tests.support.sample import examples

LANDING: dict[str, Any] = {"stand": "small", "front_travel": "at-stop"}


class Laptop(Crew):
    """A crew whose log began as the log of another, and goes on under its own device name."""

    def __init__(self, begun: Crew, device: str, ahead_s: int = 0) -> None:
        self.book, self.device = begun.book, device
        self.log, self.state = list(begun.log), begun.state
        self.clock = begun.clock + timedelta(seconds=ahead_s)
        self.names, self.written, self.tick_s = 0, 0, 1

    def new_id(self) -> str:
        self.names += 1
        return f"{self.device} {self.names}"

    def event(self, body: Body) -> Event:
        self.clock += timedelta(seconds=self.tick_s)
        self.written += 1
        key = uuid5(NAMESPACE_OID, f"{self.device} {self.written}")
        last = max((one.seq for one in self.log if one.device == self.device), default=0)
        return Event(id=key, device=self.device, seq=last + 1, at=self.clock, body=body)

    def record(self, bodies: Iterable[Body]) -> None:
        for body in bodies:
            event = self.event(body)
            self.log.append(event)
            self.state = apply(self.state, event)

    def take_in(self, other: "Crew") -> int:
        """Merge another log into this one, as the command does; return how many events came."""
        found = merge(self.log, other.log)
        self.log += found.events
        if found.closing is not None:
            self.log.append(self.event(found.closing))
        self.state = state_of(self.log)
        if found.events:
            assert replace(found.state, now=self.state.now) == self.state
        self.clock = max(event.at for event in self.log)
        return len(found.events)


def settled(state: State) -> tuple[Any, ...]:
    """Return what has to be the same on both laptops."""
    return (state.runs, state.changes, state.settings, dict(state.to_recount), state.baselines)


def a_change(crew: Crew, symptom: str = "front-drops-hard") -> None:
    crew.tell(symptoms=[symptom], **LANDING)
    crew.make()


def parted(*, change_first: bool = False) -> tuple[Laptop, Laptop]:
    begun = Crew()
    if change_first:
        a_change(begun)
    return Laptop(begun, "pit"), Laptop(begun, "tower", ahead_s=30)


def counts_of(found: LogsMerged | None) -> dict[str, tuple[float, float]]:
    assert found is not None
    return found.counts


def test_what_only_theirs_holds_comes_in_without_a_question() -> None:
    pit, tower = parted()
    a_change(tower)
    assert pit.take_in(tower) == len(tower.log) - 3
    assert not is_merged(pit.log)
    assert pit.state == tower.state
    assert pit.take_in(tower) == 0
    assert tower.take_in(pit) == 0


def test_counts_that_differ_are_to_be_recounted_and_never_chosen() -> None:
    pit, tower = parted()
    key = "left front rebound"
    pit.do("recount", adjuster=key, found="6")
    tower.do("recount", adjuster=key, found="8")
    pit.take_in(tower)
    assert pit.state.disputed == {key: (6, 8)}
    assert pit.prompt.id == f"recount:{key}"
    assert "one laptop had 6, the other 8: recount" in pit.prompt.question
    pit.say("7")
    assert pit.state.settings[key] == 7
    assert not pit.state.disputed
    assert key not in pit.state.to_recount


def test_a_knob_turned_alike_on_both_is_recounted_too() -> None:
    pit, tower = parted()
    for laptop in (pit, tower):
        laptop.do("recount", adjuster="left front rebound", found="6")
    assert counts_of(merge(pit.log, tower.log).closing) == {"left front rebound": (6, 6)}


def test_a_merge_moves_no_baseline() -> None:
    pit, tower = parted()
    goals = pit.state.baseline
    pit.do("recount", adjuster="left front rebound", found="6")
    tower.do("note", text="Wind")
    pit.take_in(tower)
    pit.say("5")
    assert pit.state.baseline == goals
    assert pit.off == {"left front rebound": -4}


def test_passes_of_both_stand_in_the_order_of_time_and_the_open_one_is_closed() -> None:
    pit, tower = parted()
    pit.say(["front-bounces"])
    tower.say(["tyre-shake"])
    tower.do("note", text="Later")
    found = merge(tower.log, pit.log)
    tower.take_in(pit)
    assert [run.answers["symptoms"] for run in tower.state.runs] == [
        ("front-bounces",),
        ("tyre-shake",),
    ]
    assert [run.number for run in tower.state.runs] == [1, 2]
    assert [run.done for run in tower.state.runs] == [True, False]
    assert found.closed == (1,)


def test_a_pass_is_kept_though_the_other_laptop_took_its_change_back() -> None:
    pit, tower = parted(change_first=True)
    pit.do("undo last change", knowing=True)
    pit.tick()
    tower.say("ran")
    tower.tell(verdict="better", **LANDING)
    pit.take_in(tower)
    assert [run.answers["verdict"] for run in pit.state.runs[1:]] == ["better"]
    assert [one.event.body.kind for one in pit.state.unfitting][:1] == ["pass-run"]
    assert {event.id for event in tower.log} <= {event.id for event in pit.log}


def test_a_slip_that_both_imported_stands_there_once() -> None:
    pit, tower = parted()
    for laptop in (pit, tower):
        laptop.record(
            [
                PassImported(
                    imported=laptop.new_id(),
                    when=START,
                    slip=Slip(sixty_s=sixty, eighth_s=6.8),
                    file="invented.csv",
                )
                for sixty in (1.31, 1.32)
            ]
        )
    pit.take_in(tower)
    assert [one.slip.sixty_s for one in pit.state.imported] == [1.31, 1.32]
    tower.take_in(pit)
    assert tower.state.imported == pit.state.imported


@pytest.mark.parametrize("passes", [1, 4])
def test_events_of_one_moment_keep_the_order_in_which_each_laptop_wrote_them(passes: int) -> None:
    pit, tower = parted()
    for laptop in (pit, tower):
        laptop.tick_s = 0
        for number in range(passes):
            laptop.do("slip", run="new", sixty=1.4 + number / 100)
            laptop.tell(symptoms=["it-is-good"])
            laptop.say("ok")
        laptop.do("note", text="Wind")
    pit.take_in(tower)
    tower.take_in(pit)
    assert not pit.state.unfitting
    assert [run.slip and run.slip.sixty_s for run in pit.state.runs].count(None) == 0
    assert settled(pit.state) == settled(tower.state)


def test_what_does_not_fit_is_kept_and_listed() -> None:
    pit, tower = parted()
    for laptop in (pit, tower):
        laptop.say(["front-bounces"])
    odd = tower.event(TurnDone(change="nobody's", adjuster="left front rebound"))
    found = merge(pit.log, tower.log)
    together = [*pit.log, *found.events, odd, pit.event(found.closing or odd.body)]
    state = state_of(together)
    assert [(one.event, one.why) for one in state.unfitting] == [(odd, '"nobody\'s"')]
    assert state.events == len(together)
    assert len(list(replayed(together))) == len(together)


def test_a_log_without_a_merge_is_read_strictly_and_as_it_stands() -> None:
    pit, _ = parted(change_first=True)
    assert in_order(pit.log) == pit.log
    assert state_of(pit.log) == fold(pit.log)
    odd = pit.event(TurnDone(change="nobody's", adjuster="left front rebound"))
    with pytest.raises(KeyError):
        state_of([*pit.log, odd])


def test_a_copy_under_the_same_device_name_keeps_the_numbers_apart() -> None:
    begun = Crew()
    pit, copy = Laptop(begun, "pit"), Laptop(begun, "pit", ahead_s=30)
    pit.do("note", text="Here")
    copy.written = 100
    for text in ("There", "There again"):
        copy.do("note", text=text)
    pit.take_in(copy)
    copy.do("note", text="Later")
    pit.take_in(copy)
    names = [(event.device, event.seq) for event in pit.log]
    assert len(names) == len(set(names))
    assert {note.text for note in pit.state.notes} == {"Here", "There", "There again", "Later"}
    assert len({device for device, _ in names}) == 3
    copy.take_in(pit)
    assert settled(copy.state) == settled(pit.state)


def test_another_car_is_refused() -> None:
    with pytest.raises(MergeError, match="car: found the log of 'another'; wanted one of 'inven"):
        merge(Crew().log, Crew(invented_car(id="another")).log)


def test_a_log_that_began_by_itself_is_refused() -> None:
    apart = Crew()
    apart.log = [
        event.model_copy(update={"id": UUID(int=10**6 + event.seq)}) for event in apart.log
    ]
    with pytest.raises(MergeError, match="did not begin as one"):
        merge(Crew().log, apart.log)
    with pytest.raises(MergeError, match="empty"):
        merge(Crew().log, [])


SIDES = st.lists(MOVES, max_size=14)


@examples(12, 60)
@given(st.lists(MOVES, max_size=6), SIDES, SIDES, st.integers(-40, 40))
def test_either_side_comes_to_the_same(
    before: list[Any], ours: list[Any], theirs: list[Any], ahead_s: int
) -> None:
    begun = Crew(OFFSET_CAR)
    for move in before:
        take(begun, move)
    pit, tower = Laptop(begun, "pit"), Laptop(begun, "tower", ahead_s)
    for laptop, moves in ((pit, ours), (tower, theirs)):
        for move in moves:
            take(laptop, move)
    all_ids = {event.id for event in (*pit.log, *tower.log)}
    other_tower = Laptop(tower, "other tower")
    other_tower.take_in(pit)
    pit.take_in(tower)
    assert settled(pit.state) == settled(other_tower.state)
    tower.take_in(pit)
    assert settled(tower.state) == settled(pit.state)
    for laptop in (pit, tower):
        kept = [event.id for event in laptop.log]
        assert set(kept) >= all_ids
        assert len(kept) == len(set(kept))
    assert (pit.take_in(tower), tower.take_in(pit)) == (0, 0)


STEPS = st.lists(
    st.one_of(
        st.tuples(st.integers(0, 2), MOVES),
        st.tuples(st.integers(0, 2), st.integers(0, 2)),
    ),
    max_size=30,
)


@examples(12, 60)
@given(STEPS)
def test_three_laptops_that_merge_as_they_like_end_alike(steps: list[Any]) -> None:
    begun = Crew(OFFSET_CAR)
    laptops = [Laptop(begun, name, ahead) for name, ahead in (("a", 0), ("b", 7), ("c", -20))]
    for who, what in steps:
        if not isinstance(what, int):
            take(laptops[who], what)
        elif who != what:
            laptops[who].take_in(laptops[what])
    a, b, c = laptops
    for one, other in ((a, b), (a, c), (b, a), (c, a), (b, c), (a, b), (c, a)):
        one.take_in(other)
    assert settled(a.state) == settled(b.state) == settled(c.state)
    assert {e.id for e in a.log} == {e.id for e in b.log} == {e.id for e in c.log}
