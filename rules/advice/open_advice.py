"""Whether the advice that is open goes before the decision about a change."""

from rules.advice.change_evidence import ChangeVerdict, latest_tried
from rules.log.advice import Advice
from rules.log.state import State


def goes_first(state: State, known: ChangeVerdict) -> str:
    """Say which open advice goes before the decision about a change, where they say different."""
    run = state.open_run
    advice = run.advice if run else None
    tried = latest_tried(state)
    about = advice is not None and (known.change == tried[0] or known.change.id in advice.undoes)
    if run is None or advice is None or not about or _agree(advice, known):
        return ""
    return f"The advice on pass {run.number} goes first: {advice.title}."


def _agree(advice: Advice, known: ChangeVerdict) -> bool:
    """Tell whether following the advice does what was decided about the change."""
    turned = {turn.adjuster for turn in advice.turns}
    match known.decision.action if known.decision else None:
        case "keep":
            moved = {step.turn.adjuster for step in known.change.steps if step.moved}
            return advice.kind not in ("inspect", "stop") and not moved & turned
        case "go further":
            return advice.kind == "turn" and advice.rule == known.change.rule
        case "repeat":
            return advice.kind == "control"
        case action:
            return advice.kind == action
