"""What a sheet asks beside its own questions: whether anew, which answer again, how it ends."""

from rules.crew.sheets.rounds import correctable, goes_along
from rules.crew.sheets.sheet import Filling, Result, Sheet
from rules.question import Choice, Prompt
from tui.visible import visible

FINISH, TAKE, READ, CORRECT, NEW = "finish", "take", "read", "correct", "new"
START = Prompt(
    "start",
    "This sheet was finished. What now?",
    choices=(
        Choice(NEW, "A new one, held against the last"),
        Choice(CORRECT, "Correct or complete the last one"),
    ),
    hint="What was finished stays in the log as it was.",
)


def which_prompt(sheet: Sheet, now: Filling, width: int) -> Prompt:
    """Ask which answer shall be said again, each in one row of the window."""
    choices = []
    for key, label, words in correctable(sheet, now):
        along = goes_along(sheet, now, key)
        tail = f" (+{along} to say again)" if along else ""
        row = visible(f"{label}: {words}", width - 4 - len(tail))
        choices.append(Choice(key, row + tail))
    others = "Others stay but where + says how many more hang on it."
    chained = any(choice.label.endswith(" to say again)") for choice in choices)
    hint = f"{others if chained else 'All others stay as they are.'} Backspace goes back."
    return Prompt("which", "Which answer shall be said again?", choices=tuple(choices), hint=hint)


def finish_prompt(result: Result, edits: int, end_words: str, refused: str) -> Prompt:
    """Ask how the sheet ends.

    edits: so many values there are for the car file. end_words: what finishing without them is
    called. refused: why it cannot be finished, or nothing.
    """
    why_not = "the faults first" if result.faults else ""
    put = f"Finish, and put {edits} into the car file"
    take = [Choice(TAKE, put, why_not)] if edits else []
    end = Choice(FINISH, end_words, refused)
    read = [Choice(READ, "Read all of it"), Choice(CORRECT, "Say one answer again")]
    hint = "Backspace goes back to the last question."
    return Prompt("finish", "Finish this sheet?", choices=(*take, end, *read), hint=hint)
