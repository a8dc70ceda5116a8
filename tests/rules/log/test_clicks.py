"""Whatever a crew turns, stops, recounts or undoes: counts stay true and the way back exists."""

from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rules.advice.safety.gates import open_blocks
from rules.book import shipped
from rules.car.adjusters import adjusters
from rules.log.events.car import CarDescribed
from rules.question import ActionError
from tests.support.crew import FRONT, LEVERS, Crew, invented_car, knob
from tests.support.sample import examples

HARD = knob("compression", "compression", clicks=7, start=3, count_from="full hard")
TURNS = {
    "id": "rebound",
    "controls": "rebound",
    "turns": 2.5,
    "marks_per_turn": 8,
    "count_from": "full soft",
    "start": 1.25,
}
OFFSET_CAR = invented_car(
    front=FRONT,
    rear=(HARD, TURNS),
    dampers=[
        {"corner": "left front", "knobs": [knob("rebound", "rebound", start=6)]},
        {"corner": "right front", "knobs": [knob("rebound", "rebound", start=8, offset=2)]},
        {"corner": "left rear", "knobs": [HARD, TURNS]},
        {"corner": "right rear", "knobs": [HARD, TURNS]},
    ],
)
KEYS = sorted(adjusters(OFFSET_CAR))
MOVES = st.one_of(
    st.tuples(st.just("turn"), st.sampled_from(KEYS), st.integers(0, 40), st.booleans()),
    st.tuples(st.just("recount"), st.sampled_from(KEYS), st.integers(0, 40), st.booleans()),
    st.tuples(st.just("undo"), st.none(), st.none(), st.none()),
    st.tuples(st.just("put back"), st.none(), st.none(), st.none()),
    st.tuples(st.just("answer"), st.none(), st.integers(0, 7), st.none()),
    st.tuples(st.just("back"), st.none(), st.none(), st.none()),
    st.tuples(st.just("advice"), st.sampled_from(sorted(shipped().symptoms)), st.none(), st.none()),
)


def setting(crew: Crew, key: str, number: int) -> Any:
    one = crew.fitted[key]
    if one.part != "knob":
        return min(one.high, one.low + number * one.step)
    return str(number) if one.per_unit == 1 else f"{number}/{one.per_unit}"


def take(crew: Crew, move: tuple[Any, ...]) -> None:
    """Take one move; a refusal is an answer too, and changes nothing."""
    what, key, number, both = move
    before = len(crew.log)
    try:
        match what:
            case "turn":
                now = setting(crew, key, number)
                crew.do("already turned", adjuster=key, now=now, sides="both" if both else "one")
            case "recount":
                crew.do("recount", adjuster=key, found=setting(crew, key, number))
            case "undo":
                crew.do("undo last change", knowing=True)
            case "put back":
                crew.do("put back to baseline", knowing=True)
            case "back":
                crew.back()
            case "advice":
                if crew.prompt.id == "symptoms":
                    crew.say([key])
            case "answer":
                answer_something(crew, number)
    except ActionError:
        assert len(crew.log) == before


def answer_something(crew: Crew, number: int) -> None:
    prompt = crew.prompt
    if prompt.kind == "tick":
        crew.say("all ok")
    elif prompt.kind == "text":
        crew.say(setting(crew, prompt.id.partition(":")[2], min(number, 7)))
    elif prompt.kind == "number":
        crew.say("")
    else:
        free = [choice.id for choice in prompt.choices if not choice.why_not]
        chosen = free[number % len(free)]
        crew.say([chosen] if prompt.kind == "many" else chosen)


def ticked(crew: Crew) -> None:
    """Answer on until no list stands before a way back; a knob that stopped is said to be there."""
    while open_blocks(crew.state, crew.book):
        answer_something(crew, 1 if crew.prompt.id.startswith("turn:") else 0)


def check_counts(crew: Crew) -> None:
    for key, one in crew.fitted.items():
        assert one.holds(crew.state.settings[key]), key
    waiting = [c for c in crew.state.changes if c.is_open and c.origin != "put back"]
    assert len(waiting) <= 1


@examples(25, 150)
@example(
    [
        ("turn", "rear tyre pressure", 0, True),
        ("turn", "rear tyre pressure", 8, True),
        ("undo", None, None, None),
    ]
)
@given(st.lists(MOVES, max_size=14))
def test_counts_stay_in_range_and_the_way_back_lands_on_the_baseline(
    moves: list[tuple[Any, ...]],
) -> None:
    crew = Crew(OFFSET_CAR)
    for move in moves:
        take(crew, move)
        check_counts(crew)
    ticked(crew)
    if crew.off or crew.state.open_change:
        crew.put_back()
    assert crew.off == {}
    assert crew.state.open_change is None
    rebound = [crew.state.settings[f"{side} front rebound"] for side in ("left", "right")]
    assert rebound == [6, 8]


@examples(15, 60)
@given(st.sampled_from(KEYS), st.integers(0, 40))
def test_undo_is_exact(key: str, number: int) -> None:
    crew = Crew(OFFSET_CAR)
    before = dict(crew.state.settings)
    take(crew, ("turn", key, number, True))
    if not crew.state.changes:
        return
    crew.do("undo last change")
    crew.tick()
    assert crew.state.settings == before
    assert crew.state.changes[0].status == "withdrawn"


@examples(15, 60)
@given(st.lists(st.tuples(st.sampled_from(KEYS), st.integers(0, 7)), max_size=5), st.integers(0, 4))
def test_a_put_back_is_resumed_half_way(turned: list[tuple[str, int]], ticks: int) -> None:
    crew = Crew(OFFSET_CAR)
    for key, number in turned:
        take(crew, ("turn", key, number, True))
    if not crew.off:
        return
    crew.do("put back to baseline")
    for _ in range(ticks):
        if crew.prompt.id.startswith("turn:"):
            crew.say("done")
    again = Crew(OFFSET_CAR)
    again.log.clear()
    again.state = type(again.state)()
    again.record([event.body for event in crew.log])
    assert again.prompt == crew.prompt
    again.tick()
    assert again.off == {}


@pytest.mark.parametrize(
    ("count_from", "start", "after"), [("full soft", 9, 12), ("full hard", 9, 6)]
)
def test_the_end_counted_from_decides_which_way_is_firmer(
    count_from: str, start: int, after: int
) -> None:
    high = knob("high", "compression", "high", start=start, count_from=count_from)
    crew = Crew(invented_car(front=[high]))
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    assert {turn.after for turn in crew.advice.turns} == {after}
    assert "firmer" in crew.advice.title


def test_a_knob_in_turns_is_advised_and_counted_in_turns() -> None:
    rebound = {**TURNS, "turns": 2, "start": 1}
    crew = Crew(invented_car(front=[rebound]))
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    assert {(t.before, t.after) for t in crew.advice.turns} == {(8, 10)}
    assert "1/4 turn firmer" in crew.advice.title
    crew.make()
    one = crew.fitted["left front rebound"]
    assert one.show(crew.state.settings[one.id]) == "1 1/4"


def test_a_pair_with_an_offset_moves_equally_and_is_clamped_at_the_nearer_end() -> None:
    car = invented_car(
        dampers=[
            {"corner": "left front", "knobs": [knob("rebound", "rebound", start=12)]},
            {"corner": "right front", "knobs": [knob("rebound", "rebound", start=17, offset=5)]},
        ],
    )
    crew = Crew(car)
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    assert [(t.before, t.after) for t in crew.advice.turns] == [(12, 13), (17, 18)]


def test_two_knobs_without_a_pair_are_turned_alike_too() -> None:
    car = invented_car(
        dampers=[
            {"corner": "left front", "knobs": [knob("rebound", "rebound", start=4, pair="none")]},
            {"corner": "right front", "knobs": [knob("rebound", "rebound", start=16, pair="none")]},
        ],
    )
    crew = Crew(car)
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    assert [t.after - t.before for t in crew.advice.turns] == [1, 1]


def test_the_minutes_of_a_pair_are_counted_once() -> None:
    crew = Crew(invented_car(front=[knob("rebound", "rebound", minutes=7)]))
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    assert crew.advice.minutes == 7


def test_two_different_levers_of_a_kind_are_never_moved_together() -> None:
    links = [
        {"id": name, "kind": "link position", "axle": "rear", "start": 3, "low": 0, "high": 6}
        for name in ("upper link", "lower link")
    ]
    crew = Crew(invented_car(rear=[], levers=links))
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert [turn.adjuster for turn in crew.advice.turns] == ["upper link"]


def test_left_and_right_lever_move_together() -> None:
    pressures = [{**LEVERS[1], "id": f"{side} rear pressure"} for side in ("left", "right")]
    crew = Crew(invented_car(rear=[], levers=pressures))
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert [(t.adjuster, t.after) for t in crew.advice.turns] == [
        ("left rear pressure", 12.5),
        ("right rear pressure", 12.5),
    ]


def shorter_car(**front: Any) -> Any:
    return invented_car(front=[{**FRONT[0], **front}, *FRONT[1:]])


def redescribed(crew: Crew, car: Any) -> None:
    crew.record([CarDescribed(car=car)])


def test_a_car_file_with_fewer_clicks_asks_for_the_count() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left front rebound", now="16")
    redescribed(crew, shorter_car(clicks=12))
    assert crew.prompt.id == "recount:left front rebound"
    check_counts(crew)
    crew.say("10")
    assert crew.prompt.id == "recount:right front rebound"
    crew.say("10")
    assert crew.state.open_change is None
    assert crew.off == {"left front rebound": 7, "right front rebound": 7}
    crew.put_back()
    assert crew.off == {}


def test_a_car_file_counted_from_the_other_end_keeps_the_distance_from_the_baseline() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left front rebound", now="12")
    redescribed(crew, shorter_car(count_from="full hard"))
    crew.say("6", "6")
    assert crew.off == {"left front rebound": -3, "right front rebound": -3}


def test_an_unchanged_count_is_not_asked_for_again() -> None:
    crew = Crew()
    redescribed(crew, shorter_car(clicks=20))
    assert crew.prompt.id == "symptoms"
    assert crew.state.settings["left front rebound"] == 9


def test_a_knob_taken_off_the_car_file_withdraws_its_work_order() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("make", "done")
    redescribed(crew, invented_car(front=FRONT[1:]))
    assert crew.last.status == "withdrawn"
    assert crew.prompt.id == "symptoms"


def test_a_knob_new_to_the_car_file_joins_the_baseline() -> None:
    crew = Crew(invented_car(front=FRONT[1:]))
    redescribed(crew, invented_car())
    crew.do("already turned", adjuster="left front rebound", now="12")
    crew.put_back()
    assert crew.state.settings["left front rebound"] == 9


def test_a_knob_that_was_off_the_car_file_keeps_its_count_and_its_goals() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left front rebound", now="12")
    crew.put_back()
    crew.do("recount", adjuster="left front rebound", found="14")
    redescribed(crew, invented_car(front=FRONT[1:]))
    assert "left front rebound" not in crew.state.settings
    assert crew.prompt.id == "symptoms"
    crew.do("declare baseline", name="Without")
    redescribed(crew, shorter_car(start=3))
    assert crew.state.settings["left front rebound"] == 14
    assert crew.prompt.id == "recount:left front rebound"
    crew.say("10", "9")
    assert [b.settings["left front rebound"] for b in crew.state.baselines] == [9, 9]
    assert crew.off == {"left front rebound": 1}
    crew.put_back()
    assert crew.state.settings["left front rebound"] == 9


def test_a_knob_that_is_back_and_counted_otherwise_keeps_its_distance() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left front rebound", now="12")
    redescribed(crew, invented_car(front=FRONT[1:]))
    redescribed(crew, shorter_car(count_from="full hard"))
    crew.say("6", "6")
    assert crew.off == {"left front rebound": -3, "right front rebound": -3}


def test_a_recount_that_waited_while_the_knob_was_off_is_still_asked() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left front rebound", now="12")
    redescribed(crew, shorter_car(count_from="full hard"))
    redescribed(crew, invented_car(front=FRONT[1:]))
    assert crew.prompt.id == "symptoms"
    redescribed(crew, shorter_car(count_from="full hard"))
    crew.say("6", "6")
    assert crew.off == {"left front rebound": -3, "right front rebound": -3}


def test_every_baseline_moves_along_with_the_way_of_counting() -> None:
    crew = Crew()
    crew.do("recount", adjuster="left front rebound", found="12")
    crew.do("recount", adjuster="right front rebound", found="12")
    crew.do("declare baseline", name="Evening")
    redescribed(crew, shorter_car(count_from="full hard"))
    crew.say("6", "6")
    assert [b.settings["left front rebound"] for b in crew.state.baselines] == [9, 6]


@pytest.mark.parametrize(
    ("action", "fields"),
    [("declare baseline", {"name": "Now"}), ("put back to baseline", {})],
)
def test_no_baseline_and_no_way_back_before_the_count_is_found(
    action: str, fields: dict[str, str]
) -> None:
    crew = Crew()
    redescribed(crew, shorter_car(count_from="full hard"))
    with pytest.raises(ActionError, match="left front rebound has to be recounted first"):
        crew.do(action, **fields)
