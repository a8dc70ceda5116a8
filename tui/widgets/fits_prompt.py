"""Validation of a line while it is typed, by what its question takes."""

from collections.abc import Callable

from textual.validation import ValidationResult, Validator
from textual.widgets import Input

from rules.question import Prompt
from rules.typing_on import no_way_on


class FitsPrompt(Validator):
    """Fails where nothing typed behind a line can make it an answer.

    asked: returns the question that is open.
    """

    def __init__(self, asked: Callable[[], Prompt]) -> None:
        super().__init__()
        self.asked = asked

    def validate(self, value: str) -> ValidationResult:
        """Return whether the line is, or can still become, an answer."""
        wanted = no_way_on(self.asked(), value)
        return self.failure(f"Wanted: {wanted.strip()}.") if wanted else self.success()


def objection(event: Input.Changed) -> str:
    """Return what is said of a line that changed; empty where it may go on."""
    found = event.validation_result
    return "" if found is None else " ".join(found.failure_descriptions)
