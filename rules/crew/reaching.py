"""What the hand under the car cannot reach: how it can be, asked once and remembered."""

from collections.abc import Mapping

from rules.asked import Topic
from rules.car.adjusters import Adjuster, adjusters
from rules.car.hand_words import Access
from rules.faults import there
from rules.log.changes import ADVICE, Change, Step
from rules.log.events.changes import ChangeWithdrawn, TurnReopened
from rules.log.events.event import Body
from rules.log.events.passes import AnswerTakenBack
from rules.log.reach import (
    NEVER_A_HOLE,
    WAYS,
    Reach,
    asked_about,
    is_out,
    said_bodies,
    way_to,
    ways_of,
)
from rules.log.state import State
from rules.log.state_after import after
from rules.question import Choice, Prompt
from rules.wording import capital

AS_IT_IS = "as it is"
ASKS: Mapping[Access, str] = {
    "knob": "how can it be reached?",
    "bolted": "how can it be reached?",
    "open": "not to be changed here?",
}
REMEMBERED = "It is remembered for the next order"
HINTS: Mapping[Access, str] = {
    "knob": f"{REMEMBERED}, both sides. {NEVER_A_HOLE}",
    "bolted": f"{REMEMBERED}.",
    "open": "Another change is looked for. Backspace: it can be done after all.",
}


def prompt(step: Step, state: State) -> Prompt:
    """Ask how a knob can be reached, what can be done here before what the shop does."""
    one = adjusters(state.described_car)[step.turn.adjuster]
    # What can be chosen between rounds stands first; what the shop does in its own order behind.
    places = {"track": "", "nowhere": "", "shop": "Shop: "}
    ways = sorted(ways_of(one), key=lambda way: [*places].index(way.where))
    choices = tuple(
        Choice(way.id, f"{places[way.where]}{way.label}{_minutes(way)}")
        for way in ways
        if way.id != AS_IT_IS
    )
    return Prompt(
        Topic.REACH,
        f"{one.label}: {ASKS[one.hand.access]}",
        choices=choices,
        hint=HINTS[one.hand.access],
        subject=one.id,
    )


def _minutes(way: Reach) -> str:
    return f", {way.minutes} min" if way.minutes else ""


def bodies(state: State, change: Change, way: str) -> list[Body]:
    """Return what an answer records.

    What can be done here opens the turn again. Otherwise the knob is out of reach: a change of
    which nothing moved is off, and its advice is worked out again without that knob.
    """
    step = there(asked_about(state, change), "a turn out of reach")
    one = adjusters(state.described_car)[step.turn.adjuster]
    said = said_bodies(state, one, way)
    if WAYS[way].where == "track":
        return [*said, TurnReopened(change=change.id, adjuster=one.id)]
    now = after(state, said).change(change.id)
    if change.origin == "put back" or any(each.moved for each in now.steps):
        return said
    said.append(ChangeWithdrawn(change=change.id, why="nothing moved: cannot reach"))
    if change.run is not None:
        said.append(AnswerTakenBack(run=change.run, prompt=ADVICE))
    return said


def reached_after_all(state: State, one: Adjuster) -> list[Body]:
    """Return what a turn made on a knob that was out of reach says of it."""
    return said_bodies(state, one, AS_IT_IS) if is_out(state, one.id) else []


def notice(state: State, adjuster: str) -> str:
    """Say what reaching a knob takes, as it was found; empty where nobody said."""
    way = way_to(state, adjuster)
    if way is None or not way.says:
        return ""
    words = capital(way.says)
    return f"{words}, {way.minutes} min more." if way.minutes else f"{words}."
