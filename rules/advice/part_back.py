"""The way back from a valving or springs that no lever of the car file names."""

from rules.advice.safety.awake_dangers import is_awake
from rules.advice.safety.dangers import dangers
from rules.advice.safety.work_gates import knowing_prompt, list_before
from rules.advice.situation import Situation
from rules.book import Book
from rules.log.advice import Draft
from rules.log.changes import PUT_BACK, Change, PartMade
from rules.log.events.changes import ChangeWithdrawn
from rules.log.other_parts import other_places, places_of
from rules.log.part_counts import counts_before
from rules.log.state import State
from rules.log.state_after import after
from rules.question import Prompt
from rules.wording import capital

QUALIFIED = "Opened by its maker or qualified hands alone; from outside only as its own sheet says."


def part_back(now: Situation, change: Change, part: PartMade, cause: str) -> Draft | None:
    """Return the order that puts the part before in again; None where that leads to a danger."""
    if leads_back(now.state, change):
        return None
    return Draft(
        kind=PUT_BACK,
        title=f"Put the last change back: {part.back} in again",
        undoes=(change.id,),
        cause=cause,
        why="With the part before in, what was learnt with it holds again.",
        expect="The car as it was before.",
        look_for=f"{part.back} in. {counts_before(now.state, change)}",
        cautions=(QUALIFIED,) if part.what == "valving" else (),
        lines=(f"{capital(part.where)}: {part.back} in again. On stands.",),
    )


def goes_back_by_part(draft: Draft) -> bool:
    """Tell whether a draft puts a part back in, of which the launch cannot weigh anything."""
    return draft.kind == PUT_BACK and not draft.turns


def leads_back(state: State, change: Change) -> str:
    """Say which danger was seen with the part before and would be awake with it, or nothing."""
    place = places_of(change, state.fitted)
    undone = after(state, [ChangeWithdrawn(change=change.id, why="imagined")])
    for danger in dangers(undone):
        seen_before = place & other_places(state, danger.run) - danger.other
        if seen_before and is_awake(undone, danger, undone.settings):
            return danger.where
    return ""


def why_part_held(state: State, book: Book, change: Change, *, knowing: bool) -> str:
    """Return why the part before is not ordered in again, or nothing; as `why_held` of turns."""
    block = list_before(state, book, ())
    if block is not None:
        title = book.inspections[block.inspection].title
        return f"no turn before the open list is ticked: {title}. {block.says}"
    danger = "" if knowing else leads_back(state, change)
    if not danger:
        return ""
    return f"this leads back to a danger: {danger}; with knowing = true it is ordered"


def part_asked_first(state: State, book: Book, change: Change) -> Prompt | None:
    """Ask before a part that a danger was seen with goes in again; None where none was."""
    danger = "" if list_before(state, book, ()) else leads_back(state, change)
    return knowing_prompt(capital(danger) + ".") if danger else None
