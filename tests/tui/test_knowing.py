"""On the screen a way back to a danger is asked about, and Enter alone leaves the car."""

from drive import DEMO, make_desk, work_text

from tui.app import SetdownApp
from tui.desk import Desk


def over_and_lowered() -> Desk:
    """Return a desk whose pass 1 went over 24 in; the launch was made softer, and it was gone."""
    desk = make_desk(car=DEMO)
    desk.answer("symptoms", ("front-carries",))
    for _ in range(40):
        prompt = desk.prompt
        given = {"stand": "dangerous", "bars": "hit", "what-else": ("nothing",)}
        given |= {"verdict": "gone", "ran": "ran", "sixty-foot": "", "symptoms": ("it-is-good",)}
        if prompt.id == "advice":
            can = [choice.id for choice in prompt.choices if not choice.why_not]
            if desk.state.runs[-1].number == 2:
                desk.answer("advice", can[0])
                return desk
            desk.answer("advice", can[0])
        elif prompt.id.startswith("turn:"):
            desk.answer(prompt.id, "done")
        elif prompt.kind == "tick":
            desk.answer(prompt.id, "all ok")
        else:
            desk.answer(prompt.id, given.get(prompt.id, "unknown"))
    raise AssertionError(desk.prompt.id)


async def test_p_says_what_it_leads_back_to_and_asks() -> None:
    desk = over_and_lowered()
    app = SetdownApp(desk, settle_s=0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p", "1")
        await pilot.pause()
        text = " ".join(work_text(app).split())
        assert "This leads back to a danger. Turn it all the same?" in text
        assert "on pass 1." in text
        assert "No: leave the car as it stands" in text
        before = desk.state.events
        await pilot.press("enter")
        await pilot.pause()
        assert desk.state.events == before
        assert "Nothing was ordered" in " ".join(work_text(app).split())
        await pilot.press("p", "1", "y")
        await pilot.pause()
        assert desk.prompt.id.startswith("turn:")
        assert "lets the front rise more" in " ".join(work_text(app).split())


async def test_the_driver_is_told_at_80_by_24() -> None:
    desk = over_and_lowered()
    app = SetdownApp(desk, settle_s=0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p", "1", "y", "2")
        await pilot.pause()
        text = " ".join(work_text(app).split())
        assert desk.prompt.id == "symptoms"
        assert "Since pass 2: launch" in text
        assert "again: the wheelie was over" in text
        assert "what did the car do?" in text
