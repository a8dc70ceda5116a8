"""Which symptoms a pass showed, which of them is treated, and what else had changed."""

from collections.abc import Iterable

from rules.launch.judged import SPIN
from rules.log.state import Run, State
from rules.passes.marks import SPOILING, Mark
from rules.question import UNKNOWN
from rules.wording import listed

CONFOUNDERS = {
    "nothing": "Nothing else",
    "tyre-pressure": "Tyre pressure",
    "launch-rpm": "Launch rpm, two-step, converter or clutch",
    "burnout": "Burnout",
    "shift-point": "Shift point",
    "driver-lifted": "The driver lifted with the front in the air",
    "staging-or-car": "Staged deep, crept; tyres, ballast or crosswind",
    "lane-or-air": "Only the lane or the air",
}


SYMPTOMS = "symptoms"
WHAT_ELSE = "what-else"
GOOD = "it-is-good"
VERDICT = "verdict"
UNJUDGED = "unjudged"

# Lane and air alone can make these: a repeat pass tells the track from the car.
GRIP = SPIN | {"unloads-at-gear-change", "front-slow-to-rise"}
LANE_OR_AIR = "lane-or-air"
HARMLESS_CHANGES = frozenset({"nothing", LANE_OR_AIR, "unknown"})


def named_symptoms(state: State, run: Run) -> tuple[str, ...]:
    """Return the symptoms of a pass: those named, or the treated one that is still there."""
    named = run.answers.get(SYMPTOMS)
    if isinstance(named, tuple):
        return named
    if run.change is None:
        return ()
    said, treated = run.answers.get(VERDICT), state.change(run.change).symptom
    if said == "gone":
        return () if spoiling(state, run) else (GOOD,)
    if said in ("better", "same", "worse") and treated is not None:
        return (treated,)
    return ()


def fault_before(state: State, run: Run) -> str:
    """Return the fault that the pass before this one showed in its meeting; empty where none."""
    earlier = state.runs[run.number - 2] if run.number > 1 else None
    if earlier is None or earlier.meeting != run.meeting:
        return ""
    return next((one for one in named_symptoms(state, earlier) if one != GOOD), "")


def confounders(run: Run) -> tuple[str, ...]:
    """Return what else had changed that makes the pass say little about a damper."""
    changed = run.answers.get(WHAT_ELSE, ())
    if not isinstance(changed, tuple):
        return ()
    return tuple(one for one in changed if one not in HARMLESS_CHANGES)


def parts_changed(run: Run) -> frozenset[str]:
    """Return the kinds of lever that the crew said were changed before a pass."""
    return frozenset(one.replace("-", " ") for one in confounders(run))


def spoiling(state: State, run: Run) -> tuple[Mark, ...]:
    """Return the marks of the slip for which a pass says nothing of the change it was made with."""
    if run.change is None or run.slip is None:
        return ()
    marks = run.slip.marks & SPOILING
    # A pass that spun says something of a change that was for spin.
    if state.change(run.change).symptom in SPIN:
        marks = marks - {"spun"}
    return tuple(sorted(marks))


def is_unjudged(state: State, run: Run) -> bool:
    """Tell whether the pass says too little of a change.

    Something else changed, it was lifted, aborted or spun, the crew cannot tell, or the change was
    made whole only after it. Passing over the control pass makes no whole pass of an aborted one.
    """
    if spoiling(state, run):
        return True
    if run.control_skipped:
        return False
    spoilt = bool(confounders(run)) or made_whole_later(state, run)
    return spoilt or run.answers.get(VERDICT) == UNKNOWN


def made_whole_later(state: State, run: Run) -> bool:
    """Tell whether a change was made whole only after this pass, so that none has run it yet."""
    changes = [state.change(run.change)] if run.change else []
    return any(run.number <= one.said_after for one in changes)


def verdict_on(state: State, run: Run) -> str:
    """Return what the crew said of the change on this very pass; "" for a pass without one."""
    if run.change is None:
        return ""
    said = run.answers.get(VERDICT)
    judged = isinstance(said, str) and not is_unjudged(state, run)
    return str(said) if judged else UNJUDGED


def confounder(key: str) -> str:
    """Return the words for something else that changed."""
    words = CONFOUNDERS.get(key, key)
    return words[0].lower() + words[1:]


def marked(marks: Iterable[str]) -> str:
    """Say for which marks of its slip a pass says nothing of its change: Lifted: ..."""
    return f"{listed(marks).capitalize()}: the pass says nothing of the change"
