"""Between two advised turns on the car lies a judged or passed-over pass of the first.

Whatever a crew answers, turns, counts and puts back: when a turn is ordered, no advised change is
on the car that no pass has judged and no word of the crew has passed over. And every verdict in
force was given on one of the own passes of its change.
"""

from typing import Any

from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from rules.log.changes import Change
from rules.log.folds.waiting import ON_TOP
from rules.log.said import VERDICT
from rules.question import ActionError, AnswerError, Prompt
from tests.support.crew import Crew
from tests.support.sample import examples

PROMPTS = ("not-yet", "leave")
KNOBS = ("right front high-speed compression", "left rear compression", "launch rpm")


def answer_to(prompt: Prompt, pick: int) -> Any:
    """Return one of the answers to a question."""
    if prompt.kind == "tick":
        return "all ok"
    if prompt.kind in ("number", "text"):
        return prompt.default or ("unknown" if prompt.unknown else "")
    choices = [one.id for one in prompt.choices if not one.why_not and one.id not in PROMPTS]
    choice = choices[pick % len(choices)] if choices else prompt.choices[0].id
    return [choice] if prompt.kind == "many" else choice


def act_beside(crew: Crew, pick: int) -> None:
    """Do one of the things that a crew does beside the questions."""
    key = KNOBS[pick % len(KNOBS)]
    one, now = crew.fitted[key], crew.state.settings[key]
    moved = now + one.step * (1 if pick % 2 else -1)
    match pick % 5:
        case 0:
            crew.do("recount", adjuster=key, found=f"{moved:g}")
        case 1:
            crew.do("already turned", adjuster=key, now=f"{moved:g}", sides="one")
        case 2:
            crew.do("already turned", adjuster=key, now=f"{moved:g}")
        case 3:
            crew.do("undo last change")
        case 4:
            crew.back()


def unproved(crew: Crew) -> list[Change]:
    """Return the advised changes on the car that nothing has judged or passed over."""
    skipped = {run.id for run in crew.state.runs if run.control_skipped}
    return [
        one
        for one in crew.state.changes
        if one.origin == "advice"
        and one.status in ("part-applied", "applied", "run")
        and any(step.moved for step in one.steps)
        and not skipped & set(one.runs)
        and one.set_aside in ("", ON_TOP)
    ]


def given_by_the_crew(crew: Crew) -> bool:
    """Tell whether every verdict was answered on a pass of its change."""
    return all(
        one.verdict in [crew.state.run(run).answers.get(VERDICT) for run in one.runs]
        for one in crew.state.changes
        if one.verdict is not None
    )


@examples(8, 40, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.booleans(), st.integers(0, 60)), min_size=10, max_size=50))
def test_no_advised_turn_is_stacked_on_one_without_a_pass(
    moves: list[tuple[bool, int]],
) -> None:
    crew = Crew()
    for beside, pick in moves:
        before = {one.id for one in crew.state.changes}
        waiting = unproved(crew)
        try:
            if beside and pick % 3 == 0:
                act_beside(crew, pick)
            else:
                crew.say(answer_to(crew.prompt, pick))
        except (ActionError, AnswerError):
            continue
        new = [one for one in crew.state.changes if one.id not in before]
        advised = [one for one in new if one.origin == "advice" and not one.id.endswith("-again")]
        assert not (advised and [one for one in waiting if one.set_aside != ON_TOP])
        assert given_by_the_crew(crew)
