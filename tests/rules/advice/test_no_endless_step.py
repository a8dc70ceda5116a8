"""Whatever eye and clock say, no lever is turned the same way for ever."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.crew import SQUATS, Crew
from tests.support.sample import examples

AGAIN = "once more the same way"
MOST = 8
TIMES = st.lists(st.sampled_from((1.33, 1.38, 1.431, 1.46, 1.50)), min_size=MOST, max_size=MOST)


@pytest.mark.long
@examples(4, 40)
@given(TIMES, st.booleans())
def test_a_fault_that_stays_the_same_is_not_treated_the_same_way_again_and_again(
    times: list[float], timed: bool
) -> None:
    """Once more after the first step at most, lever by lever, until something else is done."""
    crew = Crew()
    for number in range(3):
        crew.say(["it-is-good"])
        if timed:
            crew.do("slip", sixty=1.430 + 0.001 * number)
        crew.say(["nothing"])
        crew.say("ok")
    crew.say(["spins-at-hit"])
    crew.tell(**SQUATS)
    again: dict[str | None, int] = {}
    for time in times:
        if crew.prompt.id != "advice" or crew.advice.kind not in ("turn", "put back"):
            return
        if AGAIN in crew.advice.cause:
            again[crew.advice.rule] = again.get(crew.advice.rule, 0) + 1
        crew.make()
        if crew.prompt.id == "ran":
            crew.say("ran")
        if timed:
            crew.do("slip", sixty=time, keep=["sixty"])
        crew.tell(verdict="same", symptoms=["spins-at-hit"], **SQUATS)
    assert max(again.values(), default=0) <= 1
