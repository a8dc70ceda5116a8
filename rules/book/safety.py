"""What no page of the book, shipped or a crew's own, may do to the safety gates."""

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from rules.book.schema import RuleText

if TYPE_CHECKING:
    from rules.book import Book

_NEVER_WRITTEN = (
    (r"(raise|remove|take off|unhook|shorten)\b.*\bbars?\b", "raises or removes wheelie bars"),
    (r"(open|charge|recharge|drill|heat|bleed)\b.*\b(damper|gas|shock|body)", "opens a damper"),
    (r"(force|push past)\b.*\b(stop|end|knob)\b", "forces a stop"),
    (r"(cut|bend|weld|heat)\b.*\b(arm|link|bracket|spring|coil|mount|bar)", "cuts, bends or welds"),
    (r"below\b.*\bminimum", "goes below a maker's minimum"),
    (r"(another|one more) pass to see", "sends the car out to see"),
)
_NEGATED = re.compile(r"\b(never|not|no|don't|without|before|until)\b", re.I)


def never_written(rule: RuleText) -> Iterator[str]:
    """Yield each sentence of a rule's texts that tells a hand to do what is never advised."""
    for text in (rule.why, rule.expect, rule.look_for, rule.put_back_if, rule.caution):
        for sentence in re.split(r"[.;:]\s*", text):
            if _NEGATED.search(sentence):
                continue
            for pattern, what in _NEVER_WRITTEN:
                if re.search(rf"^\W*(then |or |and |just )?({pattern})", sentence, re.I):
                    yield f"{what}: {sentence!r}"


def weakened(base: "Book", own: "Book") -> Iterator[str]:
    """Yield each way in which a crew's own pages would take something from a safety gate."""
    for symptom_id, symptom in own.symptoms.items():
        shipped = base.symptoms.get(symptom_id)
        if shipped is None:
            continue
        where = f"symptom {symptom_id}"
        if symptom.safety < shipped.safety:
            yield f"{where}: found safety {symptom.safety}; wanted at least {shipped.safety}"
        if shipped.inspection is not None and symptom.inspection != shipped.inspection:
            yield f"{where}: wanted inspection {shipped.inspection!r}, as shipped"
        asked = {ask.prompt for ask in symptom.asks if ask in shipped.asks}
        for ask in shipped.asks:
            if ask.prompt not in asked:
                yield f"{where}: wanted the ask {ask.prompt!r}, as shipped"
    yield from _lost(base.prompts, own.prompts, "prompt", "choices")
    yield from _lost(base.inspections, own.inspections, "inspection", "items")


def _lost(
    base: Mapping[str, object], own: Mapping[str, object], what: str, parts: str
) -> Iterator[str]:
    for key, page in own.items():
        if key not in base:
            continue
        kept = {part.id for part in getattr(page, parts)}
        for part in getattr(base[key], parts):
            if part.id not in kept:
                yield f"{what} {key}: wanted {part.id!r} among its {parts}, as shipped"
