"""The question how bad a fault was: no rule reads the answer, the belief of the launch does.

So it is asked where the mechanics choose what is turned, after all that the rules ask, and only
where no reading and no more exact word says it.
"""

from collections.abc import Mapping

from rules.advice.by_mechanics.decide import judged_by_mechanics
from rules.advice.decision import decide
from rules.advice.situation import Situation
from rules.launch.severity import how_bad

_HIGH = frozenset({"big", "dangerous"})
_SAID_BY: Mapping[str, Mapping[str, frozenset[str]]] = {
    "front-carries": {"stand": _HIGH | {"none"}},
    "front-drops-hard": {"front-travel": frozenset({"at-stop", "near-stop"})},
    "wheelie-bar-hits": {"bars": frozenset({"clear", "touched"}), "stand": _HIGH},
    "front-slow-to-rise": {"hooked": frozenset({"yes"})},
    "front-rises-violently": {"top-out": frozenset({"no", "bang"})},
    "unloads-after-hit": {"unload-when": frozenset({"front-landed"})},
}
"""By symptom the answers that say it already, by their question: a tyre that lets go as the front
lands does so for as long as the landing takes; a car that hooks is left alone however it rose."""

_READ_BY: Mapping[str, frozenset[str]] = {
    "front-carries": frozenset({"lift"}),
    "front-drops-hard": frozenset({"front ring", "touchdown"}),
    "squats-and-drags": frozenset({"rear ring"}),
}
"""By symptom what was measured where it says it, see `rules.crew.measured`."""


def next_how_bad(now: Situation) -> str | None:
    """Return the question how bad the treated fault was, where the answer is read; None elsewhere.

    Advice that was given stands: nothing is asked after it.
    """
    prompt = how_bad(now.symptom)
    if now.run.given is not None or prompt in now.run.answers or prompt not in now.book.prompts:
        return None
    if _is_said(now) or not judged_by_mechanics(now, decide(now).draft):
        return None
    return prompt


def _is_said(now: Situation) -> bool:
    answers, words = now.run.answers, _SAID_BY.get(now.symptom, {})
    read = _READ_BY.get(now.symptom, frozenset())
    said = any(answers.get(prompt) in says for prompt, says in words.items())
    return said or not read.isdisjoint(now.run.measured)
