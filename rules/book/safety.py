"""What no page of the book, shipped or a crew's own, may do to the safety gates."""

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from rules.book.schema import PromptText, RuleText, SymptomText

if TYPE_CHECKING:
    from rules.book import Book

_HEAT = "heat (?:the|a|up)"
_NEVER_WRITTEN = (
    (r"(raise|remove|take off|unhook|shorten)\b.*\bbars?\b", "raises or removes wheelie bars"),
    (rf"(open|charge|recharge|drill|bleed|{_HEAT})\b.*\b(damper|gas|shock|body)", "opens a damper"),
    (r"(force|push past)\b.*\b(stop|end|knob)\b", "forces a stop"),
    (
        rf"(cut|bend|weld|{_HEAT})\b.*\b(arm|link|bracket|spring|coil|mount|bar)",
        "cuts, bends or welds",
    ),
    (r"(?:\w+ ){0,4}below\b.*\bminimum", "goes below a maker's minimum"),
    (r"(?:\w+ ){0,3}(another|one more) pass to see", "sends the car out to see"),
)
_NEGATED = re.compile(r"\b(never|not|no|don't|without|before|until)\b", re.I)


_CLAUSE = re.compile(r",\s*|\b(?:and|or|then|but|to(?! see)|can|may|please|just|simply)\b", re.I)


def never_written(page: RuleText | SymptomText | PromptText) -> Iterator[str]:
    """Yield each sentence of a page that tells a hand to do what is never advised."""
    for text in _told(page):
        for sentence in re.split(r"[.;:]\s*", text):
            if _NEGATED.search(sentence):
                continue
            for pattern, what in _NEVER_WRITTEN:
                clauses = _CLAUSE.split(sentence)
                if any(re.match(rf"\W*({pattern})", clause, re.I) for clause in clauses):
                    yield f"{what}: {sentence!r}"


def _told(page: RuleText | SymptomText | PromptText) -> tuple[str, ...]:
    """Return the texts of a page that a hand would follow."""
    match page:
        case RuleText():
            told = (page.cause, page.why, page.expect, page.look_for, page.put_back_if)
            return (*told, page.caution)
        case SymptomText():
            return page.ladder
        case PromptText():
            return (page.hint, page.measure)


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
