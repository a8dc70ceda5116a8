"""Where a screen can stand: each road answers a fresh desk up to it, and says what to press."""

from collections.abc import Callable
from dataclasses import dataclass, field

from drive import make_desk

from rules.actions import ACTION
from rules.session import Given
from tui.desk import Desk


@dataclass(frozen=True)
class Road:
    """A desk brought somewhere, and the keys that open the screen meant."""

    name: str
    go: Callable[[Desk], None] = field(default=lambda desk: None)
    press: tuple[str, ...] = ()
    resumed: bool = False

    def desk(self) -> Desk:
        desk = make_desk()
        self.go(desk)
        desk.resumed = self.resumed
        return desk


def answers(*given: Given) -> Callable[[Desk], None]:
    """Return a road that answers whatever is open with these, in order."""

    def go(desk: Desk) -> None:
        for value in given:
            desk.answer(desk.prompt.id, value)

    return go


NAMED = (("front-drops-hard",), ("nothing",), "big", "short-harsh")
TICKED = (*NAMED, "all ok")
ORDER = (*TICKED, "make")
MADE = (*ORDER, "done", "done")
JUDGED = (*MADE, "ran", ("nothing",), "better")


def half_ticked(desk: Desk) -> None:
    answers(*NAMED)(desk)
    first, second, third, *_ = desk.prompt.choices
    desk.answer(desk.prompt.id, {first.id: "ok", second.id: "fault", third.id: "not fitted"})


def with_a_log(desk: Desk) -> None:
    answers(*JUDGED, 1.31)(desk)
    desk.act(ACTION.validate_python({"action": "note", "text": "Wind from the left [gusts]"}))
    desk.act(
        ACTION.validate_python({"action": "recount", "adjuster": "left rear rebound", "found": 7})
    )


ROADS = (
    Road("prompt", press=("2",)),
    Road("page 2", press=("9", "3")),
    Road("tick list", half_ticked),
    Road("advice", answers(*TICKED)),
    Road("work order", answers(*ORDER, "done")),
    Road("settle", answers(*ORDER, "done", "stops early", "9")),
    Road("stopped where", answers(*ORDER, "done", "stops early"), ("1",)),
    Road("before the pass", answers(*MADE)),
    Road("60-foot", answers(*JUDGED), ("1", ".", "3")),
    Road("counts", with_a_log, ("k",)),
    Road("log", with_a_log, ("l",)),
    Road("why", answers(*TICKED), ("w",)),
    Road("help", press=("question_mark",)),
    Road("form", press=("o",)),
    Road("form refused", press=("o", "1")),
    Road("note", press=("n",)),
    Road("put back", press=("p",)),
    Road("measured", answers(("front-drops-hard",)), ("h",)),
    Road("what if: which", press=("f",)),
    Road("what if: damper", press=("f", "1", "plus", "plus")),
    Road("what if: launch", press=("f", "1", "plus", "plus", "2")),
    Road("what if: travel", press=("f", "2", "minus", "3")),
    Road("what if: numbers", press=("f", "5", "plus", "tab", "tab", "tab")),
    Road("control pass", answers(("spins-at-hit",), ("burnout",), "under", "squats")),
    Road("put right", answers(("front-drops-hard",), ("burnout",), "small", "at-stop", "all ok")),
    Road("find out", answers(("tyre-shake",), ("nothing",), "unknown", "unknown", "all ok")),
    Road("resumed", answers(*NAMED[:2]), resumed=True),
)
BY_NAME = {road.name: road for road in ROADS}
