"""A finger or a mouse may do what keys do: choices, keys at the foot, corners of the car."""

from drive import Rig, at_the_screen, make_desk, to_work_order
from roads import BY_NAME

from rules.log.events.passes import Answered
from tui.widgets.choices import Choices
from tui.widgets.key_row import KeyRow


async def click_choice(rig: Rig, key: str) -> None:
    """Click the row of a choice, on its label."""
    choices = rig.app.screen.query_one(Choices)
    rows = [index for index, _ in choices._lines]
    at = [option.id for option in choices.options].index(key)
    await rig.pilot.click(Choices, offset=(8, rows.index(at)))
    await rig.pilot.pause()
    await rig.worked()


async def click_key(rig: Rig, label: str) -> None:
    """Click a key at the foot."""
    row = rig.app.screen.query_one(KeyRow)
    await rig.pilot.click(row, offset=(row.render().plain.index(label), 0))
    await rig.pilot.pause()
    await rig.worked()


async def test_a_key_that_is_pointed_at_says_what_it_does_and_beside_it_nothing() -> None:
    async with at_the_screen(make_desk()) as rig:
        row = rig.app.screen.query_one(KeyRow)
        caps = row.render().plain
        for label, pointed in (("take", "Take what is marked"), ("slip", "Time slip, digits only")):
            await rig.pilot.hover(row, offset=(caps.index(label), 0))
            assert row.tooltip == pointed
        blank = (caps.index("take") + len("take"), 0)
        await rig.pilot.hover(row, offset=blank)
        await rig.pilot.click(row, offset=blank)
        assert row.pointed is None
        assert row.tooltip is None
        assert rig.state.open_run is None


async def test_a_click_marks_and_a_click_on_a_key_takes() -> None:
    async with at_the_screen(make_desk()) as rig:
        await click_choice(rig, "2")
        assert "■ Front drops hard" in rig.said
        await click_choice(rig, "2")
        assert "□ Front drops hard" in rig.said
        await click_choice(rig, "2")
        await click_key(rig, "take")
        assert rig.state.runs[-1].answers["symptoms"] == ("front-drops-hard",)


async def test_a_click_turns_pages_and_says_that_nobody_knows() -> None:
    async with at_the_screen(make_desk()) as rig:
        await click_choice(rig, "9")
        assert "page 2 of" in rig.said
        await click_choice(rig, "0")
        assert rig.state.runs[-1].answers["symptoms"] == ("unknown",)


async def test_a_click_on_what_cannot_be_taken_says_why() -> None:
    async with at_the_screen(BY_NAME["settle"].desk()) as rig:
        await click_choice(rig, "2")
        assert rig.events() == []
        assert "only by the next choice" in rig.message


async def test_a_click_too_soon_after_a_new_question_is_dropped() -> None:
    async with at_the_screen(make_desk(), settle_s=30.0) as rig:
        await click_choice(rig, "2")
        assert "■" not in rig.work.split("\n", 2)[2]


async def test_a_second_click_on_the_same_place_claims_nothing() -> None:
    async with at_the_screen(make_desk(), settle_s=0.0) as rig:
        await to_work_order(rig)
        rig.events()
        rig.app.screen.query_one("Asker").pace.settle_s = 5.0  # type: ignore[attr-defined]
        rig.app.screen.query_one("Asker").pace._since = -100.0  # type: ignore[attr-defined]
        await click_choice(rig, "2")
        await click_choice(rig, "2")
        assert [body.kind for body in rig.events()] == ["turn-done"]


async def test_choices_are_two_rows_high_where_the_window_is() -> None:
    for size, rows in (((80, 24), 1), ((132, 40), 2), ((100, 30), 2)):
        async with at_the_screen(BY_NAME["advice"].desk(), size=size) as rig:
            choices = rig.app.screen.query_one(Choices)
            counts = [[index for index, _ in choices._lines].count(at) for at in range(2)]
            assert min(counts) >= rows, size


async def test_a_click_picks_a_corner_and_another_lets_it_go() -> None:
    async with at_the_screen(BY_NAME["60-foot"].desk()) as rig:
        await rig.pilot.click("#car", offset=(3, 3))
        await rig.pilot.pause()
        assert "WHAT WAS TURNED HERE" in rig.text
        assert "extension 8→11" in rig.text
        assert "■ better" in rig.text
        await rig.pilot.click("#car", offset=(3, 3))
        await rig.pilot.pause()
        assert "WHAT WAS TURNED HERE" not in rig.text
        assert rig.events() == []


async def test_left_and_right_pick_corners_and_where_no_plan_stands_a_page_shows_it() -> None:
    async with at_the_screen(make_desk()) as rig:
        await rig.keys("right")
        assert "WHAT WAS TURNED HERE" in rig.text
        await rig.keys("left")
        assert "WHAT WAS TURNED HERE" not in rig.text
    async with at_the_screen(make_desk(), size=(60, 20)) as rig:
        await rig.keys("right")
        assert "WHAT WAS TURNED HERE" in rig.text
        await rig.keys("escape")
        assert "what did the car do?" in rig.said
        assert not [body for body in rig.events() if isinstance(body, Answered)]
