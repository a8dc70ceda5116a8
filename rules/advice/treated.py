"""Which of several symptoms is treated first, and why."""

from rules.book import Book


def treated_symptom(symptoms: tuple[str, ...], book: Book) -> str:
    """Return the symptom to treat; empty if unknown.

    Safety first, then what spoils the word of the pass on any other, then cause before effect.
    """
    known = [book.symptoms[symptom] for symptom in symptoms if symptom in book.symptoms]
    ranked = sorted(known, key=lambda s: (-s.safety, not s.settled_first, s.cause, s.id))
    return ranked[0].id if ranked else ""


def order_reason(symptoms: tuple[str, ...], book: Book) -> str:
    """Say which of several symptoms is treated first, and why; empty for a single one."""
    if len([s for s in symptoms if s in book.symptoms]) < 2:
        return ""
    first = book.symptoms[treated_symptom(symptoms, book)]
    others = [book.symptoms[s] for s in symptoms if s != first.id and s in book.symptoms]
    safer = any(other.safety < first.safety for other in others)
    reason = "it comes earlier in the pass, and may cause the rest"
    if first.settled_first:
        reason = "until it is settled the pass says nothing of the rest"
    if safer:
        reason = "safety comes first"
    return f"Treated first: {first.name}, because {reason}."
