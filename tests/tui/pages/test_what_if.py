"""The what-if screen: a knob picked, its count moved, four drawings, and nothing recorded."""

import threading
from dataclasses import replace

import pytest
from drive import DEMO, METRIC, Rig, answer_to_advice, at_the_screen, make_desk, to_advice

import rules.launch.what_if
from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.crew.actions import ACTION
from rules.launch.what_if import WhatIf
from tests.support.sample import sampled
from tui.screens.what_if import WORKING, WhatIfScreen, which_knob
from tui.widgets.page_tabs import PageTabs
from tui.widgets.plot import Plot


@pytest.fixture
def one_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests of keys alone: the numbers of the car as it stands are those of every turn."""
    real = rules.launch.what_if.what_if

    def told(
        car: Car,
        today: Settings,
        then: Settings,
        baseline: Settings | None = None,
        knob: str = "",
        *_: object,
    ) -> WhatIf:
        found: WhatIf = real(car, today, today, baseline, "left front rebound", ())
        return replace(found, knob=knob, settings={**found.settings, "proposed": dict(then)})

    monkeypatch.setattr(rules.launch.what_if, "what_if", told)


def proposed(rig: Rig) -> dict[str, float]:
    screen = rig.app.screen
    assert isinstance(screen, WhatIfScreen)
    return screen.proposed


async def test_a_turn_is_drawn_and_nothing_is_recorded(rig: Rig) -> None:
    await rig.keys("f")
    assert "What would you change?" in rig.text
    await rig.keys("1", "plus", "plus", "plus")
    assert "front extension, both, 3 clicks tighter" in rig.text
    assert "FRONT HEIGHT, in; seconds from the hit" in rig.text
    assert "── today, 8" in rig.text
    assert "━━ proposed, 11" in rig.text
    assert rig.message.startswith("Not in it: wheel slip, driveline torque, roll")
    await rig.keys("escape")
    assert "what did the car do?" in rig.text
    assert rig.events() == []
    assert rig.state.settings["left front rebound"] == 8


async def test_every_page_by_digit_by_tab_and_by_a_click(rig: Rig) -> None:
    await rig.keys("f", "1", "plus")
    shown = []
    for digit in "123456789":
        await rig.keys(digit)
        assert rig.app.screen.query_one(PageTabs).active == f"page-{digit}"
        assert "Not in it: wheel slip, driveline torque, roll" in rig.text
        shown.append(rig.text)
    assert "THE STOP, −" in shown[0]
    assert "THE GROUND, −4.50 in: lowest part" in shown[0]
    assert "FRONT HEIGHT, in; seconds from the hit" in shown[1]
    assert "REAR TIRE LOAD, lb; seconds from the hit" in shown[2]
    assert "EXTENSION: lb at the wheels; in/s" in shown[3]
    assert "TRAVEL USED, in; 8 in 10 cars" in shown[4]
    assert "front bump" in shown[4]
    assert "━━3.0" in shown[4]
    assert "time in the air, s" in shown[5]
    await rig.keys("6")
    assert "Guessed:" in str(rig.app.screen.query_one("#lines").render())
    await rig.keys("9")
    for text in shown:
        await rig.keys("tab")
        assert rig.text == text
    await rig.pilot.click("#page-3")
    assert rig.text == shown[2]


def lone(rig: Rig) -> Plot:
    return next(plot for plot in rig.app.screen.query(Plot) if plot.display)


@pytest.mark.parametrize(("size", "dots"), [((80, 24), (100, 60)), ((132, 40), (200, 110))])
async def test_a_picture_has_dots_enough(size: tuple[int, int], dots: tuple[int, int]) -> None:
    async with at_the_screen(make_desk(), size=size) as rig:
        await rig.keys("f", "1", "plus")
        across, down = lone(rig).dots
        assert across >= dots[0]
        assert down >= dots[1]


async def test_the_o_ring_of_the_last_pass_stands_in_the_landing() -> None:
    desk = make_desk()
    answer_to_advice(desk, "front-drops-hard", stand="big", front_travel="short-harsh")
    inputs = {"ring": 1.5, "ratio": 1.0, "braked": 0.0}
    action = {"action": "measure", "what": "front ring", "inputs": inputs}
    desk.act(ACTION.validate_python(action))
    async with at_the_screen(desk) as rig:
        await rig.keys("f", "3")
        assert "O-ring, last pass −1.50 in" in rig.text


@pytest.mark.parametrize(
    ("key", "after"),
    sampled([("plus", 9), ("add", 9), ("equals_sign", 9), ("minus", 7), ("subtract", 7)], 3),
)
@pytest.mark.usefixtures("one_turn")
async def test_every_plus_and_minus_there_is(rig: Rig, key: str, after: float) -> None:
    await rig.keys("f", "1", key)
    assert proposed(rig)["left front rebound"] == after
    assert proposed(rig)["right front rebound"] == after


@pytest.mark.usefixtures("one_turn")
async def test_the_end_of_a_knob_is_said(rig: Rig) -> None:
    await rig.keys("f", "3", *["minus"] * 6)
    assert proposed(rig)["left front high-speed compression"] == 0
    assert "ends there: whole clicks, 0 to 12" in rig.message


@pytest.mark.usefixtures("one_turn")
async def test_backspace_picks_another_knob_and_again_leaves(rig: Rig) -> None:
    await rig.keys("f", "1", "plus", "backspace", "5")
    assert "rear extension, both, as today" in rig.text
    assert "9 → 9" not in rig.text, "large figures where there is room"
    await rig.keys("backspace", "backspace")
    assert "what did the car do?" in rig.text
    assert rig.events() == []


async def test_a_lever_the_model_does_not_know(rig: Rig) -> None:
    await rig.keys("f", "9", "4", "minus", "4")
    assert "no curve to draw" in rig.text
    await rig.keys("6")
    told = " ".join(str(rig.app.screen.query_one("#lines").render()).split())
    assert "Not in the model, or not measured that far: launch preload." in told


async def test_what_was_advised_is_marked(rig: Rig) -> None:
    await to_advice(rig, "front-drops-hard", stand="big", front_travel="short-harsh")
    advice = rig.state.runs[-1].advice
    assert advice is not None
    assert which_knob(rig.state).default == advice.turns[0].adjuster
    rig.events()
    await rig.keys("f", "enter", "6")
    assert "front tire lift" in rig.text
    assert rig.events() == []


@pytest.mark.usefixtures("one_turn")
async def test_keys_still_answer_while_it_works(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    gate = threading.Event()
    asked: list[float] = []
    real = rules.launch.what_if.what_if

    def slow(car: Car, today: dict[str, float], then: dict[str, float], *rest: object) -> WhatIf:
        asked.append(then["left front rebound"])
        assert gate.wait(30)
        return real(car, today, then, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(rules.launch.what_if, "what_if", slow)
    await rig.pilot.press("f", "1")
    await rig.pilot.pause()
    assert rig.message == WORKING
    await rig.pilot.press("plus", "plus", "plus", "2")
    await rig.pilot.pause()
    assert "3 clicks tighter" in rig.text
    assert rig.app.screen.query_one(PageTabs).active == "page-2"
    assert rig.message == WORKING
    gate.set()
    await rig.worked()
    assert rig.message.startswith("Not in it: ")
    assert asked == [8, 11], "what lay between was never worked out, and the old answer is dropped"
    screen = rig.app.screen
    assert isinstance(screen, WhatIfScreen)
    assert screen.found is not None
    assert screen.found.settings["proposed"]["left front rebound"] == 11


@pytest.mark.usefixtures("one_turn")
@pytest.mark.parametrize("fault", ["", "hs: found 9"])
async def test_a_worker_that_ends_wipes_nothing_that_is_shown(
    rig: Rig, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    """What was said while it worked stands after it, whether it found numbers or a fault."""
    gate = threading.Event()
    real = rules.launch.what_if.what_if

    def slow(*args: object) -> WhatIf:
        assert gate.wait(30)
        if fault:
            raise ValueError(fault)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(rules.launch.what_if, "what_if", slow)
    await rig.pilot.press("f", "3", *["minus"] * 6)
    assert "ends there: whole clicks, 0 to 12" in rig.message
    gate.set()
    await rig.worked()
    assert "ends there: whole clicks, 0 to 12" in rig.message
    assert fault in rig.message
    assert WORKING not in rig.message
    await rig.keys("plus")
    assert rig.message.startswith(f"No numbers: {fault}" if fault else "Not in it: ")


@pytest.mark.usefixtures("one_turn")
async def test_leaving_while_it_works_is_quiet(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    gate = threading.Event()
    real = rules.launch.what_if.what_if

    def slow(*args: object) -> WhatIf:
        assert gate.wait(30)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(rules.launch.what_if, "what_if", slow)
    await rig.pilot.press("f", "1", "escape")
    await rig.pilot.pause()
    gate.set()
    await rig.pilot.pause()
    assert "what did the car do?" in rig.text
    assert rig.events() == []


async def test_a_model_that_refuses_is_told_in_words(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: object) -> WhatIf:
        raise ValueError("hs: found 9, wanted a number from 0.05 to 3")

    monkeypatch.setattr(rules.launch.what_if, "what_if", refuse)
    await rig.keys("f", "1")
    assert rig.message == "No numbers: hs: found 9, wanted a number from 0.05 to 3"


async def test_a_car_with_a_name_only_says_what_to_measure() -> None:
    bare = replace_masses(DEMO)
    async with at_the_screen(make_desk(car=bare)) as rig:
        await rig.keys("f", "1", "plus")
        for digit in "1236":
            await rig.keys(digit)
            assert "does not say masses.total" in rig.said


async def test_metric_turns_and_a_split() -> None:
    async with at_the_screen(make_desk(car=METRIC)) as rig:
        await rig.keys("f")
        assert "1 1/2 and 1 3/4" in rig.text
        await rig.keys("1", "minus")
        assert "front rebound, both, 1/8 turn firmer" in rig.text
        assert "1 1/2 → 1 3/8" in rig.text
        await rig.keys("6")
        assert "front tyre lift, mm" in rig.text


@pytest.mark.parametrize("size", sampled([((60, 20),), ((80, 24),), ((120, 40),)], 3))
async def test_every_page_is_whole(size: tuple[int, int]) -> None:
    async with at_the_screen(make_desk(), size=size) as rig:
        await rig.keys("f", "2", "plus")
        for digit in "123456":
            await rig.keys(digit)
            assert len(rig.text.split("\n")) == size[1]
            assert max(map(len, rig.rows)) <= size[0]
            told = rig.said
            assert "Not in it: wheel slip, driveline torque, roll, wheelie bars." in told
            assert "leave" in rig.rows[-1]


async def test_lines_are_told_apart_without_colour(rig: Rig) -> None:
    """Each line has another sample and a name in the key, and is drawn that way."""
    await rig.keys("r")
    await rig.choose("left front rebound")
    await rig.type("6")
    await rig.keys("f", "1", "plus", "plus", "2")
    picture = lone(rig).picture
    assert picture is not None
    ways = [line.how for line in picture.lines]
    assert sorted(ways) == ["dashed", "double", "single"]
    for entry in picture.whole_key:
        assert f"{entry.sample} {entry.words}" in rig.text


def replace_masses(car: Car) -> Car:
    """Return the invented car with no mass known."""
    nothing = car.masses.model_copy(update=dict.fromkeys(car.masses.fields))
    return car.model_copy(update={"masses": nothing})
