"""A thread that works beside the screen goes on once the screen has had its turn."""

import asyncio
import threading

import pytest
from drive import at_the_screen, make_desk

from rules.giving_way import give_way, letting_on
from tui import beside
from tui.beside import ScreenFirst, threads_beside

PATIENCE_S = 20.0


@pytest.fixture(autouse=True)
def at_every_step(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside, "STRETCH_S", 0.0)
    monkeypatch.setattr(beside, "LONGEST_S", PATIENCE_S)


async def test_what_the_loop_is_at_is_done_before_the_thread_goes_on() -> None:
    loop, begun = asyncio.get_running_loop(), threading.Event()
    order: list[str] = []
    loop.set_default_executor(threads_beside(loop))

    def work() -> None:
        begun.set()
        give_way()
        order.append("worked")

    working = loop.run_in_executor(None, work)
    assert begun.wait(PATIENCE_S)
    threading.Event().wait(0.05)  # What a key takes to draw.
    order.append("drawn")
    await working
    assert order == ["drawn", "worked"]


async def test_a_loop_that_waits_for_the_thread_is_not_waited_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(beside, "LONGEST_S", 0.001)
    threads = threads_beside(asyncio.get_running_loop())
    assert threads.submit(give_way).result(PATIENCE_S) is None
    threads.shutdown()


def test_a_closed_loop_is_not_waited_for() -> None:
    loop = asyncio.new_event_loop()
    loop.close()
    ScreenFirst(loop)()


async def test_every_thread_of_the_application_lets_its_screen_go_first() -> None:
    async with at_the_screen(make_desk()):
        loop = asyncio.get_running_loop()
        assert isinstance(await loop.run_in_executor(None, letting_on.get), ScreenFirst)
