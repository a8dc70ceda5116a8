"""What the log knows beside a question; the crew still answers."""

from dataclasses import replace

from rules.log.said import VERDICT
from rules.log.state import State
from rules.question import Prompt

SPREAD = "spread"
COMPARED = 4


def hinted(prompt: Prompt, state: State) -> Prompt:
    """Return a question with what was measured or timed beside it."""
    if prompt.id == SPREAD:
        return replace(prompt, hint=_spread(state) or prompt.hint)
    if prompt.id == VERDICT:
        return replace(prompt, hint=f"{prompt.hint}{_sixty_before_and_now(state)}")
    run = state.open_run
    if run is None or not run.measured:
        return prompt
    from rules.crew import measured

    return measured.hinted(prompt, state)


def _spread(state: State) -> str:
    """Say the last clean 60-foot times of this meeting and how far apart they are."""
    from rules.advice.timed_passes import is_counted

    here = state.runs_of_meeting
    runs = [run for run in here if run.sixty_s is not None and is_counted(run)][-COMPARED:]
    if len(runs) < 2:
        return ""
    times = [run.sixty_s for run in runs if run.sixty_s is not None]
    numbers = ", ".join(f"{run.sixty_s:.3f} (pass {run.number})" for run in runs)
    return f"Slips: {numbers}: {max(times) - min(times):.3f} s apart."


def _sixty_before_and_now(state: State) -> str:
    """Say the 60-foot of this pass beside the last clean one on the old setting."""
    run = state.open_run
    if run is None or run.change is None or run.sixty_s is None:
        return ""
    from rules.advice.change_evidence import settings_of
    from rules.advice.timed_passes import is_counted, stood_on

    old, _ = settings_of(state, state.change(run.change))
    timed = state.runs.last_where(
        "timed and counted", lambda one: one.sixty_s is not None and is_counted(one)
    )
    before = (one for one in timed if one.number < run.number and stood_on(state, one) == old)
    last = next(before, None)
    if last is None or last.sixty_s is None:
        return ""
    return f". 60-foot {last.sixty_s:.3f} before, {run.sixty_s:.3f} now: judge by what you saw"
