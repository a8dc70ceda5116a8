"""The driver is told every difference from the last pass that was judged, from the settings."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from rules.advice.safety.gates import ALWAYS_BEFORE_PASS
from tests.support.crew import Crew, invented_car
from tests.support.sample import examples

LAUNCH, LIMITER = "launch rpm", "front limiter"
LEFT, RIGHT = (f"{side} front rebound" for side in ("left", "right"))
SPINS: dict[str, Any] = {"tyre_hit": "under", "rear_motion": "squats"}


def judged() -> Crew:
    crew = Crew()
    crew.tell(symptoms=["it-is-good"])
    crew.say("ok")
    return crew


def test_every_one_of_several_put_backs_is_named() -> None:
    crew = Crew()
    crew.do("already turned", adjuster=LAUNCH, now="4000")
    crew.do("already turned", adjuster="left rear rebound", now="11")
    crew.say("ran", ["nothing"], "gone")
    crew.tell()
    crew.say("ok")
    for _ in range(2):
        crew.do("undo last change")
        crew.tick()
    assert crew.prompt.id == "symptoms"
    assert "Since pass 1: rear rebound 11 to 9; launch rpm 4000 rpm to 4200 rpm." in (
        crew.prompt.notice
    )
    assert ALWAYS_BEFORE_PASS[0] in crew.prompt.notice


def test_a_put_back_stays_named_after_a_pass_begun_by_mistake() -> None:
    crew = judged()
    crew.do("already turned", adjuster=LAUNCH, now="4000")
    told = crew.prompt.notice
    assert told == "Since pass 1: launch rpm 4200 rpm to 4000 rpm."
    crew.say("ran")
    crew.back()
    assert crew.prompt.id == "ran"
    assert crew.prompt.notice == told


def test_a_pass_that_was_not_judged_changes_nothing_of_what_is_told() -> None:
    crew = judged()
    crew.do("already turned", adjuster=LAUNCH, now="4000")
    told = crew.prompt.notice
    crew.say("ran", ["burnout"], ["spins-at-hit"])
    crew.tell(**SPINS)
    crew.say("control")
    assert crew.prompt.id == "ran"
    assert crew.prompt.notice == told


def test_two_sides_apart_are_told_apart() -> None:
    crew = judged()
    crew.do("recount", adjuster=LEFT, found="12")
    crew.do("recount", adjuster=RIGHT, found="11")
    while crew.prompt.id.startswith("pair:"):
        crew.say("keep")
    assert "left front rebound 9 to 12; right front rebound 9 to 11." in crew.prompt.notice


def test_what_lets_the_front_rise_again_after_a_danger_is_named() -> None:
    crew = Crew(invented_car(wheelie_bars=True))
    crew.tell(symptoms=["front-carries"], stand="dangerous", bars="hit")
    crew.make()
    assert crew.prompt.notice == "Since pass 1: launch rpm 4200 rpm to 4100 rpm."
    crew.say("ran")
    crew.tell(verdict="gone")
    crew.say("ok")
    crew.put_back()
    assert (
        "Since pass 2: launch rpm 4100 rpm to 4200 rpm. Launch rpm lets the front rise more again: "
        "the wheelie was over {24 in|0.6 m} or past the bars on pass 1."
    ) in crew.prompt.notice


def test_a_car_left_as_it_showed_danger_is_told_so() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("leave")
    wanted = "As lively as it was: the wheelie was over {12 in|0.3 m} on pass 1."
    assert wanted in crew.prompt.notice


MOVES = st.lists(
    st.tuples(st.sampled_from([LAUNCH, LIMITER, LEFT, "left rear rebound"]), st.integers(0, 3)),
    max_size=5,
)


@examples(12, 40)
@given(MOVES, st.booleans())
def test_what_is_told_is_what_differs_however_it_came_about(
    moves: list[tuple[str, int]], back: bool
) -> None:
    """Whatever was turned and put back, the words name what differs from that pass, no more."""
    crew = judged()
    then = dict(crew.run.settings)
    for adjuster, steps in moves:
        goal = crew.fitted[adjuster].low + steps * crew.fitted[adjuster].step
        if goal != crew.state.settings[adjuster]:
            crew.do("already turned", adjuster=adjuster, now=goal)
    if back and crew.off:
        crew.put_back()
    names = {LEFT: "front rebound", "left rear rebound": "rear rebound"}
    wanted = [
        f"{names.get(key, key)} {crew.fitted[key].show(then[key])} to {crew.fitted[key].show(now)}"
        for key, now in crew.state.settings.items()
        if now != then[key] and not key.startswith("right")
    ]
    told = f"Since pass 1: {'; '.join(wanted)}."
    assert crew.prompt.notice.startswith(told) if wanted else not crew.prompt.notice
