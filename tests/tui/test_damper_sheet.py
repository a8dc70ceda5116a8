"""A revalve on the screen: few keys, every question whole at 80x24, the order walked by names."""

import pytest
from drive import BOOK, Rig, at_the_screen, make_desk

from rules.crew.damper_doubts import doubts, prompt
from rules.crew.sheets.dampers.damper_sheet import DAMPERS
from rules.crew.sheets.rounds import filling, open_field
from rules.crew.sheets.sheet import prompt_of
from rules.log.state_after import after
from tests.rules.crew.test_landing_story import story_car
from tests.support.crew import FRONT, invented_car, knob
from tui.arranged import FRAME_ROWS as PIT_ROWS
from tui.lines import prompt_rows, spoken_prompt
from tui.pages.log import log_page
from tui.pages.reports import counts_page
from tui.screens.sheet import FRAME_ROWS
from tui.widgets.asker import Asker


def asked(rig: Rig) -> str:
    return rig.app.screen.query_one(Asker).prompt.id


async def open_dampers(rig: Rig) -> None:
    await rig.keys("j", "9", "1")


async def test_a_revalve_takes_eleven_keys_to_its_order_and_goes_by_names() -> None:
    desk = make_desk(car=story_car(), meeting="Invented")
    prompts: list[str] = []
    async with at_the_screen(desk) as rig:
        await open_dampers(rig)
        for answer in (
            "valving", "front", "from outside", "compression", "as in the book", "C2", "shims",
            "no", "as in the book", "low speed",
        ):  # fmt: skip
            one = open_field(DAMPERS, filling(DAMPERS, desk.state))
            assert one is not None
            prompts.append(one.key)
            spoken = spoken_prompt(desk.state, prompt_of(one))
            assert prompt_rows(spoken, 78) + FRAME_ROWS + 2 <= 24, one.key
            assert one.question in rig.said
            if answer == "shims":
                await rig.type("0.15 x 3")
            else:
                await rig.choose(answer)
        assert len(prompts) == 10
        assert "One change with its clicks: compression 12 to 10." in rig.said
        await rig.choose("finish")
        await rig.keys("escape")
        assert asked(rig) == "turn:left front compression"
        await rig.choose("done")
        await rig.choose("done")
        assert asked(rig) == "inspect:damper-opened"
        assert "Index marks matched" in rig.said
        await rig.all_ok()
        assert "ran" in asked(rig)
        told = " ".join(" ".join([*counts_page(desk.state), *log_page(desk)]).split())
        assert "left front: the one that was on the left front" in told
        words = "valving changed from outside, now compression C2, 0.15 x 3"
        assert f"Front, both sides: {words}." in told
        assert f"right front: {words}" in told


async def test_a_valving_order_says_what_comes_out_and_goes_in_and_no_positions() -> None:
    desk = make_desk(car=story_car(), meeting="Invented", book=BOOK)
    async with at_the_screen(desk) as rig:
        await rig.keys("t")
        await rig.choose("front valving")
        await rig.choose("C2")
        await rig.choose("low speed")
        assert "OUT: C1" in rig.said
        assert "IN: C2" in rig.said
        assert "position" not in rig.said.lower()


def test_a_car_file_with_other_clicks_is_asked_about_when_it_is_taken_in() -> None:
    desk = make_desk(car=invented_car(), meeting="Invented")
    assert desk.prompt.id == "symptoms"
    desk.describe(invented_car(front=[knob("rebound", "rebound", clicks=12, start=4), *FRONT[1:]]))
    assert desk.prompt.id == "other-damper:left front"
    desk.answer(desk.prompt.id, "same")
    assert desk.prompt.id == "symptoms"


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
def test_the_question_after_other_clicks_stands_whole(width: int, rows: int) -> None:
    """Three knobs with other clicks on both sides are the longest that a front has."""
    state = make_desk(car=invented_car(), meeting="Invented").state
    clicks = (12, 24, 30)
    front = [{**one, "clicks": to} for one, to in zip(FRONT, clicks, strict=True)]
    told = doubts(invented_car(), invented_car(front=front))
    asked = prompt(after(state, told))
    assert asked is not None
    assert prompt_rows(spoken_prompt(state, asked), width - 2) <= rows - PIT_ROWS


@pytest.mark.parametrize(("typed", "name"), [("", "Car file"), ("Sunday", "Sunday")])
async def test_other_clicks_of_another_damper_end_with_its_baseline_by_one_key(
    typed: str, name: str
) -> None:
    desk = make_desk(car=invented_car(), meeting="Invented")
    desk.describe(invented_car(front=[knob("rebound", "rebound", clicks=12, start=4), *FRONT[1:]]))
    async with at_the_screen(desk) as rig:
        await rig.choose("another")
        while desk.prompt.topic == "recount":
            await rig.type("5")
        assert "Other dampers are on. Name of the baseline from here?" in rig.said
        assert "Enter keeps Car file, with the counts just read." in rig.said
        await (rig.type(typed) if typed else rig.keys("enter"))
        assert desk.state.baseline is not None
        assert desk.state.baseline.name == name
        assert desk.state.baseline.settings["left front rebound"] == 5.0
        assert desk.prompt.kind == "tick"
