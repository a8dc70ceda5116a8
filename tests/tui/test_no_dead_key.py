"""Whatever key a screen names does something there, and no line to type in is without a way out."""

import re
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path

import pytest
from drive import Rig, at_the_screen, make_desk
from newcomer import describing
from roads import BY_NAME, ROADS, Road, answers
from test_practice import the_day
from textual.widgets import Input

from profiles.paths import DataFolder
from tests.support.sample import by_name, sampled
from tui.app import SetdownApp
from tui.screens.questions import QuestionScreen
from tui.widgets.key_row import KeyRow

NAMES = {"Space": "space", "Esc": "escape", "Backspace": "backspace", "Tab": "tab"}
NAMED = re.compile(rf"\b(?:F[1-9][0-2]?|{'|'.join(NAMES)})\b")
EVERYWHERE = ("f1", "question_mark")
"""Keys that the read-me names for every screen; where letters are text, F1 alone."""
PRACTICE = {
    "staged": ((), ()),
    "picture of a pass": ((), ("enter",)),
    "not run": ((), ("escape",)),
    "asked": ((), ("enter", "enter")),
    "list": (("front-drops-hard",), ()),
}
Opened = Callable[[], AbstractAsyncContextManager[Rig]]


def keys_named(rig: Rig) -> set[str]:
    """Return every key at the foot, in the words of the screen, and in those of its help."""
    screen = rig.app.screen
    foot = {one.key for one in screen.query_one(KeyRow).shown}
    words = NAMED.findall(f"{rig.text} {screen.HELP or ''}")
    typing = isinstance(screen.focused, Input)
    return foot | {NAMES.get(one, one.lower()) for one in words} | {*EVERYWHERE[: 2 - typing]}


def as_it_is(rig: Rig) -> tuple[object, ...]:
    """Return all that a key can change."""
    screens = tuple(map(id, rig.app.screen_stack))
    return rig.text, screens, rig.app.theme, rig.state.events, rig.app._exit


async def dead_keys(opened: Opened) -> set[str]:
    """Return the keys that a screen names and that do nothing there, each pressed afresh."""
    async with opened() as rig:
        named = keys_named(rig)
    dead = set()
    for key in sorted(named):
        async with opened() as rig:
            if isinstance(rig.app.screen, QuestionScreen):
                rig.app.screen.say("")  # A reason that stands there already may be said again.
                await rig.pilot.pause()
            before = as_it_is(rig)
            await rig.keys(key)
            if as_it_is(rig) == before:
                dead.add(key)
    return dead


@pytest.mark.parametrize(
    "road", sampled([(road,) for road in ROADS if road.name != "help"], 8), ids=by_name
)
async def test_every_key_that_a_screen_names_does_something(road: Road) -> None:
    @asynccontextmanager
    async def opened() -> AsyncIterator[Rig]:
        async with at_the_screen(road.desk()) as rig:
            await rig.keys(*road.press)
            yield rig

    assert await dead_keys(opened) == set()


@pytest.mark.long
@pytest.mark.parametrize("stage", PRACTICE)
async def test_no_dead_key_on_a_practice_day(tmp_path: Path, stage: str) -> None:
    said, press = PRACTICE[stage]
    days = iter(range(100))

    @asynccontextmanager
    async def opened() -> AsyncIterator[Rig]:
        day = the_day(tmp_path / str(next(days)))
        for symptom in said:
            day.was_run()
            answers((symptom,), ("nothing",), "big")(day.desk)
        app = SetdownApp(day.desk, settle_s=0.0, practising=day)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            rig = Rig(day.desk, app, pilot)
            await rig.worked()
            for key in press:  # A pass that is still on its way takes no further key.
                await rig.keys(key)
            yield rig

    assert await dead_keys(opened) == set()


@pytest.mark.long
async def test_no_dead_key_where_a_new_car_is_described(tmp_path: Path) -> None:
    folders = iter(range(100))
    for press in ((), ("enter",), ("enter", "1")):

        @asynccontextmanager
        async def opened(press: tuple[str, ...] = press) -> AsyncIterator[Rig]:
            folder = DataFolder(tmp_path / str(next(folders)))
            async with describing(folder) as (app, pilot, desk):
                rig = Rig(desk, app, pilot)  # type: ignore[arg-type]
                await rig.keys(*press)
                yield rig

        assert await dead_keys(opened) == set()


def typed_roads() -> list[Road]:
    """Return the roads that end on a line to type in."""
    names = ("note", "note amid a question", "event", "find", "stopped where", "ride height")
    return [BY_NAME[name] for name in names]


@pytest.mark.parametrize("width", [80, 60])
@pytest.mark.parametrize("road", [*typed_roads(), None], ids=lambda road: road and road.name)
async def test_the_way_out_of_a_line_to_type_stands_at_its_foot(
    road: Road | None, width: int
) -> None:
    """Letters are text there, so `q` is none; the first of all is the event of a new car."""
    desk = road.desk() if road else make_desk(meeting="")
    async with at_the_screen(desk, size=(width, 24)) as rig:
        await rig.keys(*(road.press if road else ()))
        assert isinstance(rig.app.screen.focused, Input)
        assert "escape" in {one.key for one in rig.app.screen.query_one(KeyRow).shown}
        await rig.keys("x")
        before = as_it_is(rig)
        await rig.keys("escape")
        assert as_it_is(rig)[1:] != before[1:] or not isinstance(rig.app.screen.focused, Input)


async def test_escape_leaves_the_first_question_and_all_is_kept(tmp_path: Path) -> None:
    async with at_the_screen(make_desk(meeting="")) as rig:
        assert "Esc leave" in rig.said
        await rig.keys("escape")
        assert rig.app.return_code == 0


async def test_escape_leaves_nothing_where_digits_answer(rig: Rig) -> None:
    await rig.keys("escape")
    assert not rig.app._exit
