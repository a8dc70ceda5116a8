"""Keys that claim what happened to the car differ between adjoining screens."""

from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rules.question import Prompt
from tests.support.crew import Crew
from tests.support.sample import examples

PAGE = 8
ACTS = {"done", "stops early", "cannot reach", "not done", "ran"}


def keys(prompt: Prompt) -> dict[str, str]:
    """Return what each key of a question records at once: no mark that still waits for Enter."""
    if prompt.kind != "one":
        return {}
    return {one.key or str(at % PAGE + 1): one.id for at, one in enumerate(prompt.choices)}


def claims(prompt: Prompt) -> dict[str, str]:
    """Return the keys of a question that say what a hand did, or that the car ran."""
    acts = prompt.id.startswith("turn:") or prompt.id == "ran"
    return {key: one for key, one in keys(prompt).items() if acts and one in ACTS}


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_no_digit_claims_one_thing_and_then_another(data: st.DataObject) -> None:
    walk(data)


@pytest.mark.sweep
@examples(15, 60, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_no_digit_of_many_walks_claims_one_thing_and_then_another(data: st.DataObject) -> None:
    walk(data)


def walk(data: st.DataObject) -> None:
    """Over a walk of any answers: two presses of one key never make two different claims."""
    crew = Crew()
    before: Prompt | None = None
    for _ in range(30):
        now = crew.prompt
        if before is not None and before.id != now.id:
            for key, act in claims(now).items():
                assert keys(before).get(key, act) == act or claims(before) == {}
                assert before.id.startswith("turn:") or act != "ran" or key not in keys(before)
        before = now
        if now.kind == "tick":
            crew.say("all ok")
        elif now.kind == "many":
            named = data.draw(st.sampled_from([one.id for one in now.choices if not one.why_not]))
            crew.say([named])
        elif now.kind in ("text", "number"):
            crew.say("unknown" if now.optional else "9")
        else:
            open_ = [one.id for one in now.choices if not one.why_not and one.id != "not-yet"]
            crew.say(data.draw(st.sampled_from(open_)))


def test_done_and_it_ran_share_no_key() -> None:
    """`2` was "done" and, 0.28 s later, "the car ran the pass": a ghost pass."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="big", front_travel="short-harsh")
    crew.say("make")
    seen = [crew.prompt]
    while crew.prompt.id.startswith("turn:"):
        crew.say("done")
        seen.append(crew.prompt)
    assert seen[-1].id == "ran"
    for one, other in product(seen[:-1], seen[-1:]):
        assert not claims(one).keys() & claims(other).keys()
        assert not keys(one).keys() & claims(other).keys()
    assert "8" in claims(seen[-1])
