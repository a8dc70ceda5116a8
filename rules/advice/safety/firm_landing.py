"""Whether a landing was made firm, so that nobody undoes it to bring the nose down."""

from rules.growing_sequence import Passing
from rules.log.changes import PUT_BACK, Change, is_in
from rules.log.state import State

LANDING_FIRMED = "landing firmed"
ROOM_TO_LAND = 0.6
"""Share of the front's bump travel up to which a landing has room to spare; common practice."""


def landing_was_firmed(state: State) -> bool:
    """Tell whether a change that is on the car made the front's compression firmer."""
    return next(state.changes.last_where(*asked_of_changes(state)), None) is not None


def asked_of_changes(state: State) -> Passing[Change]:
    """Return what is asked of every change: whether it made the front's compression firmer.

    Of a valving that no lever names nobody knows which way it went, so it is taken for firmer.
    """
    firmer = {
        one.id: one.up(True)
        for one in state.fitted.values()
        if one.axle == "front"
        and (one.part == "valving" or (one.part == "knob" and one.controls != "rebound"))
    }

    def firmed(change: Change) -> bool:
        if change.part is not None:
            strokes, places = change.part.strokes, change.part.places
            inside = change.part.what == "valving" and (not strokes or "compression" in strokes)
            return inside and is_in(change) and any(one.endswith("front") for one in places)
        return (
            change.status != "withdrawn"
            and change.origin != PUT_BACK
            and any(one.moved * firmer.get(one.turn.adjuster, 0) > 0 for one in change.steps)
        )

    return Passing(f"firmed the landing, {sorted(firmer.items())}", firmed)
