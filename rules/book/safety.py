"""What no page of the book, shipped or a crew's own, may do to the safety gates."""

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from rules.book.schema import BookPart, ChoiceText, ItemText, PromptText, RuleText, SymptomText

if TYPE_CHECKING:
    from rules.book import Book

Parts = tuple[ChoiceText, ...] | tuple[ItemText, ...]

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
            return tuple(rung.text for rung in page.ladder)
        case PromptText():
            return (page.hint, page.measure)


def weakened(base: "Book", own: "Book") -> Iterator[str]:
    """Yield each way in which a crew's own pages would take something from a safety gate.

    Shipped questions, answers, lists and names keep their words, because the gates read their
    ids; a crew may add to them.
    """
    for symptom_id, symptom in own.symptoms.items():
        if symptom_id in base.symptoms:
            yield from _weaker_symptom(base.symptoms[symptom_id], symptom)
    for prompt_id, prompt in own.prompts.items():
        if shipped := base.prompts.get(prompt_id):
            where = f"prompt {prompt_id}"
            yield from _changed(where, shipped, prompt, "question", "standing")
            yield from _lost(where, "choices", shipped.choices, prompt.choices)
    for inspection_id, inspection in own.inspections.items():
        if listed := base.inspections.get(inspection_id):
            where = f"inspection {inspection_id}"
            yield from _changed(where, listed, inspection, "title", "lasts")
            yield from _lost(where, "items", listed.items, inspection.items)
    for rule in own.rules.values():
        yield from _weaker_rule(base, rule)


def _weaker_symptom(shipped: SymptomText, own: SymptomText) -> Iterator[str]:
    where = f"symptom {own.id}"
    yield from _changed(where, shipped, own, "name", "safety")
    if shipped.inspection is not None:
        yield from _changed(where, shipped, own, "inspection")
    if shipped.never is not None:
        yield from _changed(where, shipped, own, "never")
    if own.never_ticked is not None:
        yield from _changed(where, shipped, own, "never_ticked")
    for ask in shipped.asks:
        if ask not in own.asks:
            yield f"{where}: wanted the ask {ask.prompt!r}, as shipped"


def _weaker_rule(base: "Book", own: RuleText) -> Iterator[str]:
    """Yield why a rule may not replace a shipped one, or come before it, where there is danger."""
    shipped = base.rules.get(own.id)
    if shipped is not None and own != shipped:
        danger = base.symptoms[shipped.symptom].safety > 0
        if shipped.do in ("stop", "inspect", "leave") and danger:
            yield (
                f"rule {own.id}: says {shipped.do!r} for {shipped.symptom}, a symptom of danger; "
                "it is not overridden or retired"
            )
    symptom = base.symptoms.get(own.symptom)
    if symptom is None or not symptom.safety or own.do in ("stop", "inspect"):
        return
    first = [rule for rule in base.rules_for(symptom.id) if rule.do in ("stop", "inspect")]
    last = max((rule.order for rule in first), default=0)
    if own != shipped and own.order <= last:
        yield (
            f"rule {own.id}: found order {own.order}; wanted more than {last}, after what is "
            f"stopped or inspected first for {symptom.id}"
        )


def _changed(where: str, shipped: BookPart, own: BookPart, *fields: str) -> Iterator[str]:
    for field in fields:
        wanted, found = getattr(shipped, field), getattr(own, field)
        if found != wanted:
            yield f"{where}: found {field} {found!r}; wanted {wanted!r}, as shipped"


def _lost(where: str, parts: str, shipped: Parts, own: Parts) -> Iterator[str]:
    """Yield each shipped part that is missing, or that says something else under its id."""
    for part in shipped:
        said = {one.label for one in own if one.id == part.id}
        if not said:
            yield f"{where}: wanted {part.id!r} among its {parts}, as shipped"
        elif said != {part.label}:
            yield f"{where}: {part.id!r} among its {parts} wants {part.label!r}, as shipped"
