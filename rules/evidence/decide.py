"""What to do after a pass: keep, put back, go further, half back or repeat, with the reason.

Common practice, no source, in this order: a safety symptom outranks everything; then what the car
was seen to do; then what was measured; then the time. Where none of them speaks for the change and
it is probably worse, it goes back: a known setting is worth more than an unknown one.
"""

from dataclasses import dataclass
from typing import Literal

from rules.evidence.measured import BeforeAfter
from rules.evidence.passes_needed import PassesNeeded
from rules.evidence.verdict import Verdict
from rules.evidence.verdict_words import chances

Action = Literal["keep", "put back", "go further", "half back", "repeat"]
Symptom = Literal["gone", "better", "same", "worse", "other"]


@dataclass(frozen=True)
class Outcome:
    """All that is known of a change after its latest pass; what is not known is left out.

    `symptom` is the crew's word on the fault it was for, `for_safety` whether that is a danger;
    `safety` names the danger that the pass showed, "" where none, and `came_later` says that it was
    a later pass on the same setting than the one that was judged; `helped_before` that an earlier
    step the same way helped; `room` that it can go further the same way; `one_step` that it is the
    smallest step there is; `passes_left` how many passes the time allows.
    """

    verdict: Verdict | None = None
    more: PassesNeeded | None = None
    symptom: Symptom | None = None
    for_safety: bool = False
    safety: str = ""
    came_later: bool = False
    measured: tuple[BeforeAfter, ...] = ()
    helped_before: bool = False
    room: bool = True
    one_step: bool = False
    passes_left: int | None = None

    @property
    def costs_time(self) -> bool:
        """Whether the times say that it hurt and nothing outranks them."""
        return self.verdict is not None and self.verdict.word == "hurt" and not self.for_safety


@dataclass(frozen=True)
class Decision:
    """The one thing to do, why, and what else the crew must hear."""

    action: Action
    reason: str
    cautions: tuple[str, ...] = ()


INSPECT = "Inspect before the next pass: no turn of a knob clears what was seen."


def decide(outcome: Outcome) -> Decision:
    """Return what to do with a change. The safety gates still have the last word on every turn."""
    worse = [one.name for one in outcome.measured if one.safety and one.says == "worse"]
    if outcome.safety or worse:
        return _danger(outcome, outcome.safety or f"{worse[0]} got worse", bool(worse))
    by = {"worse": _worse, "other": _other, "gone": _gone, "better": _better}
    return by.get(_seen(outcome), _no_better)(outcome)


def _danger(outcome: Outcome, what: str, grew: bool) -> Decision:
    """Never a pass just to see; a change that was for this danger and eased it is not undone."""
    eased = outcome.for_safety and not grew and _seen(outcome) in ("gone", "better")
    if eased and outcome.came_later:
        return Decision("keep", f"{what}, on a later pass: the way back is no safer.", (INSPECT,))
    if not eased:
        return Decision("put back", f"{what}: safety outranks time.", (INSPECT,))
    if outcome.room:
        return Decision("go further", f"{what}: less than before, so more of the same.", (INSPECT,))
    return Decision("keep", f"{what}: less, and no room left; another lever is next.", (INSPECT,))


def _seen(outcome: Outcome) -> str:
    """Return the crew's word; without one, what the measurements agree on."""
    if outcome.symptom is not None:
        return outcome.symptom
    said = {one.says for one in outcome.measured} - {"cannot tell"}
    if "worse" in said:
        return "worse"
    return "better" if "better" in said else "same" if said else ""


def _worse(outcome: Outcome) -> Decision:
    if "better" in {one.says for one in outcome.measured}:
        return Decision(
            "repeat",
            "What was seen got worse and what was measured got better: one of them is wrong.",
        )
    if outcome.helped_before and not outcome.one_step:
        return Decision("half back", "The step before helped and this one went past.")
    return Decision("put back", "It got worse with this change on.")


def _other(outcome: Outcome) -> Decision:
    if outcome.one_step:
        return Decision("put back", "It brought another fault, and one step is as fine as it goes.")
    return Decision("half back", "It treated its fault and brought another: it went past.")


def _gone(outcome: Outcome) -> Decision:
    if (contrary := _contrary(outcome)) is not None:
        return contrary
    if outcome.costs_time:
        if outcome.one_step:
            return Decision("keep", "The fault is gone; the time it costs is the price of it.")
        return Decision("half back", "The fault is gone and it costs time: half of it may do both.")
    return Decision("keep", "The fault is gone.")


def _better(outcome: Outcome) -> Decision:
    if (contrary := _contrary(outcome)) is not None:
        return contrary
    if outcome.costs_time:
        return Decision("put back", "Better in what was seen, but it costs time beyond doubt.")
    if not outcome.room:
        return Decision("keep", "Better, and there is no room the same way: another lever is next.")
    return Decision("go further", "Better and not yet gone: the same way by the same step.")


def _contrary(outcome: Outcome) -> Decision | None:
    """Ask for another pass where a measurement says the opposite of what was seen."""
    worse = [one.name for one in outcome.measured if one.says == "worse"]
    if outcome.symptom is None or not worse:
        return None
    return Decision("repeat", f"It looked better but {worse[0]} says worse: one of them is wrong.")


def _no_better(outcome: Outcome) -> Decision:
    verdict = outcome.verdict
    if verdict is None:
        if outcome.symptom == "same" or outcome.measured:
            return Decision("put back", "The fault is unchanged: back on the known setting.")
        return Decision("repeat", "Nothing was seen, measured or timed: it needs a pass to judge.")
    if verdict.word == "helped":
        if outcome.room and outcome.symptom == "same":
            return Decision("go further", "Quicker, and the fault is still there: the same again.")
        return Decision("keep", f"Quicker, {chances(verdict.quicker)}.")
    if verdict.word == "hurt":
        if outcome.helped_before and not outcome.one_step:
            return Decision("half back", "The step before helped and this one costs time.")
        return Decision("put back", f"Slower, {chances(1.0 - verdict.quicker)}.")
    if verdict.probably_worse:
        return Decision("put back", "Probably worse: a known setting is worth more.")
    if verdict.no_matter:
        return Decision("put back", "No difference worth having: back on the known setting.")
    more, left = outcome.more, outcome.passes_left
    if more is not None and more.would_tell and (left is None or left >= len(more.settings)):
        return Decision("repeat", "The times cannot tell yet, and a few passes would.")
    return Decision("put back", "The times cannot tell, and the passes left would not either.")
