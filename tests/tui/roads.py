"""Where a screen can stand: each road answers a fresh desk up to it, and says what to press."""

from collections.abc import Callable
from dataclasses import dataclass, field

from drive import Clock, make_desk

from rules.crew.actions import ACTION
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.rounds import answered, closed, filling, open_field
from rules.crew.sheets.scales import SCALES
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.question import UNKNOWN, Given
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


NAMED = (("front-drops-hard",), ("nothing",), "big", "plainly")
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


def timed_pass(desk: Desk, sixty: float, minutes: int = 25, **more: object) -> None:
    """Run a good pass with a slip."""
    assert isinstance(desk.clock, Clock)
    desk.clock.wait(minutes)
    desk.answer("symptoms", ("it-is-good",))
    desk.act(ACTION.validate_python({"action": "slip", "sixty": sixty, **more}))
    desk.answer("what-else", ("nothing",))
    desk.answer("advice", "ok")


def note_air(desk: Desk, temperature: float, dew_point: float) -> None:
    action = {"action": "conditions", "air_temperature": temperature, "dew_point": dew_point}
    action |= {"pressure": 29.2, "pressure_kind": "station pressure", "track_temperature": 104}
    desk.act(ACTION.validate_python(action))


def timed_day(desk: Desk) -> None:
    """Three passes with the baseline, one lifted, then a change and its pass; all invented."""
    timed_pass(desk, 1.431, three_thirty=4.21, eighth=6.51, eighth_speed=104.5, quarter=10.21,
               quarter_speed=131.2, lane="left")  # fmt: skip
    note_air(desk, 70, 52)
    timed_pass(desk, 1.44, eighth=6.53, quarter=10.25)
    timed_pass(desk, 1.61, marks=["lifted"])
    answers(("spins-at-hit",))(desk)
    slip = {"action": "slip", "sixty": 1.452, "three_thirty": 4.25, "eighth": 6.55}
    desk.act(ACTION.validate_python(slip))
    answers(("nothing",), "under", "squats", "plainly", "make", "done", "done")(desk)
    assert isinstance(desk.clock, Clock)
    desk.clock.wait(25)
    slip = {"action": "slip", "run": "new", "sixty": 1.418, "three_thirty": 4.19, "eighth": 6.48,
            "eighth_speed": 104.9, "quarter": 10.19, "quarter_speed": 131.4}  # fmt: skip
    desk.act(ACTION.validate_python(slip))
    note_air(desk, 88, 61)
    answers(("nothing",), "better", "under", "squats", "a-little")(desk)


def in_the_shop(desk: Desk) -> None:
    """Weigh the car, begin the survey, and fail one fit check."""
    filled(
        desk, SCALES, "aboard", "half", "850", "830", "770", "755", "no", "130", "330", "weighed"
    )
    desk.record(closed(SCALES, desk.state, desk.names))
    filled(desk, TRAVEL_SURVEY, "14 in", "10 in", "yes")
    filled(desk, FIT_CHECKS, "pass", "pass", "pass", "pass", "fail", "Left rear, near the header")


def surveyed(desk: Desk) -> None:
    """Survey the front whole, with a spring that is loose and a hose that pulls."""
    said = {
        "ride": "14 in", "spring at ride": "10 in", "coil-over": "yes", "alike": "yes",
        "squash": "1 in", "spring free": "11.5 in", "spring solid": "6 in", "spring rate": "200",
        "shortest": "11.5 in", "longest": "16.5 in", "full bump": "12 in", "full droop": "16 in",
        **{f"height {n}": f"{n - 3} in / {14 - 0.8 * (n - 3)} in" for n in range(1, 6)},
    }  # fmt: skip
    front = {f"front {key}": value for key, value in said.items()} | {"touch hoses": "yes"}
    while (one := open_field(TRAVEL_SURVEY, filling(TRAVEL_SURVEY, desk.state))) is not None:
        filled(desk, TRAVEL_SURVEY, front.get(one.key, UNKNOWN))


def filled(desk: Desk, sheet: Sheet, *values: Given) -> None:
    for value in values:
        one = open_field(sheet, filling(sheet, desk.state))
        assert one is not None
        desk.record(answered(sheet, desk.state, one.key, value))


ROADS = (
    Road("prompt", press=("2",)),
    Road("page 2", press=("9", "3")),
    Road("tick list", half_ticked),
    Road("advice", answers(*TICKED)),
    Road("work order", answers(*ORDER, "done")),
    Road("settle", answers(*ORDER, "done", "stops early", "9", "all ok")),
    Road("stopped where", answers(*ORDER, "done", "stops early"), ("1",)),
    Road("before the pass", answers(*MADE)),
    Road("60-foot", answers(*JUDGED), ("1", ".", "3")),
    Road("counts", with_a_log, ("k",)),
    Road("log", with_a_log, ("l",)),
    Road("why", answers(*TICKED), ("w",)),
    Road("help", press=("question_mark",)),
    Road("form", answers(*MADE), ("o",)),
    Road("form refused", press=("i", *"9999", "enter")),
    Road("note", press=("n",)),
    Road("note amid a question", answers(*ORDER, "done", "stops early"), ("f2",)),
    Road("event", press=("g",)),
    Road("find", with_a_log, ("l", "slash")),
    Road("learnt", press=("u",)),
    Road("put back", press=("p",)),
    Road("measured", answers(("front-drops-hard",)), ("h",)),
    Road("what if: which", press=("f",)),
    Road("what if: damper", press=("f", "1", "plus", "plus", "4")),
    Road("what if: launch", press=("f", "1", "plus", "plus", "2")),
    Road("what if: travel", press=("f", "2", "minus", "5")),
    Road("what if: numbers", press=("f", "5", "plus", "6")),
    Road("what if: car", press=("f", "1", "plus", "7")),
    Road("what if: damping", press=("f", "2", "plus", "8")),
    Road("what if: landing", press=("f", "3", "plus", "plus")),
    Road("shop", in_the_shop, ("j",)),
    Road("survey", in_the_shop, ("j", "4")),
    Road("survey found", surveyed, ("j", "4")),
    Road("ride height", press=("j", "4")),
    Road("fit list", in_the_shop, ("j", "5")),
    Road("control pass", answers(("spins-at-hit",), ("burnout",))),
    Road("put right", answers(("front-drops-hard",), ("burnout",), "small", "at-stop", "all ok")),
    Road("find out", answers(("tyre-shake",), ("nothing",), "unknown", "all ok")),
    Road("slip", answers(("spins-at-hit",)), ("s", "enter", *"0512", *"1432", *"4213")),
    Road("slip asked back", answers(("spins-at-hit",)), ("s", "enter", "enter", *"11.4", "enter")),
    Road("verdict", timed_day, ("v",)),
    Road("no verdict yet", press=("v",)),
    Road("air", timed_day, ("a",)),
    Road("day: 60-foot", timed_day, ("m",)),
    Road("day: knobs", timed_day, ("m", "2")),
    Road("day: every pass", timed_day, ("m", "3")),
    Road("day: where the time is", timed_day, ("m", "tab", "tab", "tab")),
    Road("resumed", answers(*NAMED[:2]), resumed=True),
)
BY_NAME = {road.name: road for road in ROADS}

PICTURES = (
    ("prompt", "large", "sunlight"),
    ("page 2", "large", "night"),
    ("tick list", "large", "sunlight"),
    ("advice", "large", "sunlight"),
    ("advice", "large", "night"),
    ("advice", "small", "sunlight"),
    ("work order", "large", "sunlight"),
    ("work order", "small", "night"),
    ("settle", "large", "sunlight"),
    ("before the pass", "large", "sunlight"),
    ("60-foot", "large", "night"),
    ("counts", "large", "sunlight"),
    ("log", "large", "night"),
    ("why", "large", "sunlight"),
    ("help", "large", "sunlight"),
    ("help", "small", "night"),
    ("form", "large", "sunlight"),
    ("resumed", "large", "sunlight"),
    ("shop", "large", "sunlight"),
    ("survey", "large", "sunlight"),
    ("survey found", "large", "sunlight"),
    ("fit list", "large", "sunlight"),
    ("fit list", "small", "night"),
    ("what if: damper", "large", "sunlight"),
    ("what if: launch", "large", "night"),
    ("what if: car", "large", "sunlight"),
    ("what if: landing", "small", "night"),
    ("slip", "large", "sunlight"),
    ("slip asked back", "small", "night"),
    ("verdict", "large", "sunlight"),
    ("air", "large", "night"),
    ("day: 60-foot", "large", "sunlight"),
    ("day: every pass", "small", "sunlight"),
)
"""The screens of which there is a picture: the road, the size and the theme."""

PICTURED = frozenset(name for name, _, _ in PICTURES)
