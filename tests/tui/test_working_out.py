"""The answer is kept first and the advice worked out beside the screen, whose keys stay alive."""

import threading
from pathlib import Path
from typing import Any

import pytest
from drive import BOOK, DEMO, START, Rig, at_the_screen, make_desk
from test_parity import normal

from profiles.logfile import LogError
from rules.asked import Topic
from rules.car.model import Car
from rules.launch.outlook import Outlook, OutlookAsked
from rules.launch.proposed_change import Effect, Expected, ProposedChange, Range, Seen
from rules.launch.surprise import SurpriseAsked
from tests.support.launch.told import hopeless
from tests.support.practice import practice_truth
from tui.app import SetdownApp
from tui.commands.consult import Answers, consult
from tui.desk import Desk
from tui.practising import Practising
from tui.screens.reading import ReadingScreen
from tui.widgets import working

STEPS: tuple[dict[str, Any], ...] = (
    {"prompt": "symptoms", "answer": ["front-drops-hard"]},
    {"prompt": "what-else", "answer": ["nothing"]},
    {"prompt": "stand", "answer": "small"},
    {"prompt": "front-travel", "answer": "at-stop"},
    {"prompt": "inspect:hard-landing", "answer": "all ok"},
)


class SlowModel:
    """A model that answers when it is let."""

    def __init__(self) -> None:
        self.may = threading.Event()
        self.asked = 0

    def __call__(self, question: ProposedChange) -> Expected:
        self.asked += 1
        assert self.may.wait(20.0)
        before, after = (
            Range(low=low, middle=low + 0.007, high=low + 0.015) for low in (0.070, 0.055)
        )
        travel = Effect(
            name="landing travel", measure="length", before=before, after=after, less=1.0, more=0.0
        )
        left = travel.model_copy(update={"name": "travel left", "after": Range(
            low=0.015, middle=0.02, high=0.03)})  # fmt: skip
        return Expected(
            standing="agrees", reason="x", goal="landing travel", trade_step=len(question.steps),
            step=1, enough=1.0, effects=(travel, left), seed=1, cars=2,
        )  # fmt: skip

    def look_ahead(self, question: OutlookAsked) -> Outlook:
        return hopeless(question)

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        pass

    def surprise(self, question: SurpriseAsked) -> None:
        return None


def answered(path: Path | None, model: SlowModel) -> Desk:
    """Return a desk whose answers are all in the log, and whose advice is due."""
    desk = make_desk(path, meeting="Consultation")
    desk.model = model
    for step in STEPS:
        value = step["answer"]
        if value == "all ok":
            value = {choice.id: "ok" for choice in desk.prompt.choices}
        desk.answer(step["prompt"], tuple(value) if isinstance(value, list) else value)
    assert desk.prompt.topic == Topic.WORKING_OUT
    return desk


def kinds(desk: Desk) -> list[str]:
    return [event.body.kind for event in desk.log.events()]


async def until(rig: Rig, text: str) -> None:
    for _ in range(400):
        if text in rig.said:
            return
        await rig.pilot.pause(0.01)
    raise AssertionError(rig.text)


async def test_the_screen_says_so_and_its_keys_stay_alive() -> None:
    model = SlowModel()
    desk = answered(None, model)
    async with at_the_screen(desk) as rig:
        await until(rig, "Working out what to change")
        assert "advice-given" not in kinds(desk)
        await rig.pilot.press("k")
        await rig.pilot.pause()
        assert isinstance(rig.app.screen, ReadingScreen)
        await rig.pilot.press("escape")
        await rig.pilot.press("1", "enter")
        await rig.pilot.pause()
        assert "Working out what to change" in rig.said
        model.may.set()
        await until(rig, "1 CLICK TIGHTER")
        assert "cures 10 in 10" in rig.said
        await rig.keys("w")
        assert "Front lands using 2.2 to 2.8 in instead of 2.8 to 3.3; 0.6 in left." in rig.said
    assert kinds(desk).count("advice-given") == 1
    assert model.asked == 1


async def test_an_answer_that_comes_too_late_is_dropped(monkeypatch: pytest.MonkeyPatch) -> None:
    """What takes long shows a bar, and how it is stopped."""
    monkeypatch.setattr(working, "PATIENCE_S", 0.01)
    model = SlowModel()
    desk = answered(None, model)
    async with at_the_screen(desk) as rig:
        await until(rig, "Working out")
        await until(rig, "working it out; Backspace goes back")
        await rig.pilot.press("backspace")
        await rig.pilot.pause()
        assert desk.prompt.topic != Topic.WORKING_OUT
        model.may.set()
        await rig.worked()
        assert "advice-given" not in kinds(desk)
        await until(rig, "1 At the stop")


async def test_killed_in_between_it_is_worked_out_again(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    first = answered(path, SlowModel())
    first.log.close()
    model = SlowModel()
    model.may.set()
    desk = make_desk(path, first_id=1000)
    desk.model = model
    async with at_the_screen(desk) as rig:
        await until(rig, "1 CLICK TIGHTER")
    assert kinds(desk).count("advice-given") == 1


def test_the_headless_twin_picks_up_in_between(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    answered(path, SlowModel()).log.close()
    model = SlowModel()
    model.may.set()
    desk, events = consult(DEMO, Answers(run="later"), BOOK, path, lambda: START, model=model)
    assert [event.body.kind for event in events] == ["advice-given"]
    assert desk.prompt.id == "advice"
    again, events = consult(DEMO, Answers(run="later"), BOOK, path, lambda: START, model=model)
    assert events == []
    assert again.prompt.id == "advice"


def test_the_headless_twin_gives_no_advice_to_another_car(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    answered(path, SlowModel()).log.close()
    model = SlowModel()
    model.may.set()
    other = DEMO.model_copy(update={"id": "other"})
    with pytest.raises(LogError):
        consult(other, Answers(run="later"), BOOK, path, lambda: START, model=model)
    assert "advice-given" not in kinds(make_desk(path, first_id=1000))


async def test_both_ways_make_the_same_events_with_a_model() -> None:
    model = SlowModel()
    model.may.set()
    desk = answered(None, model)
    async with at_the_screen(desk) as rig:
        await until(rig, "1 CLICK TIGHTER")
    twin, events = consult(DEMO, Answers(step=STEPS), BOOK, clock=lambda: START, model=model)
    assert normal(desk.log.events()) == normal(events)
    assert twin.prompt.id == "advice"


class Learns(SlowModel):
    """A model that keeps how many passes it was let learn from, and never waits."""

    def __init__(self) -> None:
        super().__init__()
        self.may.set()
        self.learnt: list[int] = []

    def learn(self, car: Car, passes: tuple[Seen, ...]) -> None:
        self.learnt.append(len(passes))


async def test_the_passes_before_are_learnt_while_the_crew_answers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tui.screens.pit.SETTLED_S", 0.001)
    desk = answered(None, model := Learns())
    desk.advise()
    async with at_the_screen(desk) as rig:
        await rig.pilot.pause(0.05)
        await rig.worked()
        assert model.learnt == [0], "of the pass that is open nothing is learnt before its advice"
        desk.answer("advice", "leave")
        desk.answer("symptoms", ("front-carries",))
        rig.app.screen.draw()  # type: ignore[attr-defined]
        await rig.worked()
        assert model.learnt == [0, 1]


async def test_the_passes_before_are_learnt_on_a_practice_day_too(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tui.screens.pit.SETTLED_S", 0.001)
    desk = answered(None, model := Learns())
    desk.advise()
    app = SetdownApp(desk, settle_s=0.0, practising=Practising(desk, DEMO, practice_truth))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.05)
        await Rig(desk, app, pilot).worked()
        assert model.learnt == [0]
