"""Which of several symptoms is treated first, and why."""

from rules.book import Book


def treated_symptom(symptoms: tuple[str, ...], book: Book) -> str:
    """Return the symptom to treat: safety first, then cause before effect; empty if unknown."""
    known = [book.symptoms[symptom] for symptom in symptoms if symptom in book.symptoms]
    return min(known, key=lambda s: (-s.safety, s.cause, s.id)).id if known else ""


def order_reason(symptoms: tuple[str, ...], book: Book) -> str:
    """Say which of several symptoms is treated first, and why; empty for a single one."""
    if len([s for s in symptoms if s in book.symptoms]) < 2:
        return ""
    first = book.symptoms[treated_symptom(symptoms, book)]
    others = [book.symptoms[s] for s in symptoms if s != first.id and s in book.symptoms]
    safer = any(other.safety < first.safety for other in others)
    reason = (
        "safety comes first" if safer else "it comes earlier in the pass, and may cause the rest"
    )
    return f"Treated first: {first.name}, because {reason}."
