"""The three safety lists. They stand above every rule, every override and every crew's own book.

Blocks: advice waits until an inspection is ticked clean. Always: what is said with every advice.
Never: what no rule can make the tool say. Common practice, no source; rulebook, makers and
qualified people come first.
"""

from collections.abc import Iterable, Mapping
from functools import partial
from typing import NamedTuple

from rules.advice.safety.job_time import needed
from rules.book import Book
from rules.car.adjusters import Adjuster, Turn
from rules.car.hand_words import HAND_WORDS
from rules.growing_sequence import Passing
from rules.log.changes import Change
from rules.log.said import named_symptoms
from rules.log.standing import known
from rules.log.state import Run, State
from rules.question import UNKNOWN
from rules.shop.blocks import found_in_shop


class Block(NamedTuple):
    """A reason for which advice waits: raised by symptoms named or by answers given."""

    id: str
    inspection: str
    says: str
    symptoms: frozenset[str] = frozenset()
    answers: frozenset[tuple[str, str]] = frozenset()


def _answers(*pairs: tuple[str, str]) -> frozenset[tuple[str, str]]:
    return frozenset(pairs)


BLOCKS: tuple[Block, ...] = (
    Block(
        "fluid",
        "fluid-leak",
        "Fluid was found.",
        answers=_answers(("found", "fluid"), ("knob-fault", "weeps")),
    ),
    Block(
        "hard-landing",
        "hard-landing",
        "A hard landing was not inspected yet.",
        symptoms=frozenset({"front-drops-hard"}),
        answers=_answers(("stand", "dangerous"), ("front-travel", "at-stop")),
    ),
    Block(
        "violent-shake",
        "violent-shake",
        "A violent shake was not inspected yet.",
        answers=_answers(("shake", "violent"), ("shake", UNKNOWN)),
    ),
    Block(
        "loose-or-toe",
        "loose-or-toe",
        "Something is loose, or the toe changed.",
        answers=_answers(("found", "loose")),
    ),
    Block(
        "damper-damage",
        "damper-damage",
        "A bent shaft, lost gas or a wrong click total.",
        symptoms=frozenset({"knob-sticks"}),
        answers=_answers(("found", "damper"), ("rod-return", "dead")),
    ),
    Block(
        "contact",
        "contact-marks",
        "Oil pan, coil or stop met something.",
        answers=_answers(
            ("found", "contact"),
            ("contact", "low-part"),
            ("contact", "tyre-body"),
            ("contact", "driveline"),
        ),
    ),
    Block("spring", "loose-spring", "A spring is loose.", answers=_answers(("found", "spring"))),
    Block(
        "limiter-or-bar",
        "limiter-and-bars",
        "Limiter or wheelie bars may be damaged.",
        answers=_answers(("found", "limiter"), ("bars", "hit"), ("top-out", "bang")),
    ),
    Block(
        "brakes-steering",
        "brakes-and-steering",
        "Brakes, parachute, steering or wandering.",
        symptoms=frozenset({"wanders-at-speed", "brakes-badly"}),
        answers=_answers(("found", "brakes"), ("steering-feel", "heavy")),
    ),
    Block(
        "tyre",
        "tyre-damage",
        "Tyre damage, or the tyre slipped on the rim.",
        answers=_answers(("found", "tyre")),
    ),
    Block(
        "something",
        "walk-round",
        "Damage was named that nobody can name.",
        answers=_answers(("found", UNKNOWN)),
    ),
)

FOUND = {
    word: block.inspection
    for block in BLOCKS
    for prompt, word in block.answers
    if prompt == "found"
}

ALWAYS_WITH_ADVICE = "Rulebook, makers and qualified people come before this advice."
ALWAYS_IN_WORK = (
    "Engine off, stands and chocks, beware of hot headers.",
    "Torque to the maker's figure.",
)
# Nothing is bolted or unbolted for these, so no figure of the maker's is there to torque to.
UNBOLTED = frozenset({"tyre pressure", "launch rpm"})


def always_in_work(parts: Iterable[str]) -> tuple[str, ...]:
    """Return what is always said on a work order: of torque only where something is bolted."""
    engine_off, torque = ALWAYS_IN_WORK
    return (engine_off,) if set(parts) <= UNBOLTED else (engine_off, torque)


ALWAYS_BEFORE_PASS = (
    "Tell the driver what was changed, and agree an abort point: height, distance, any sideways.",
    "Beyond it: lift early and progressively, wheel straight, no brakes until the front tyres turn "
    "on the ground.",
)
ALWAYS_AFTER_INSPECTION = 'Nothing found is not "safe".'
BEGUN = "A list once begun is ticked to its end."

NO_MINIMUM = "tyre maker's minimum is not in the car file, so never less pressure"


class OpenBlock(NamedTuple):
    """A block that holds, with the reason its ticks belong to."""

    inspection: str
    reason: str
    says: str


def raised(symptoms: frozenset[str], answers: Mapping[str, object]) -> list[Block]:
    """Return the blocks that the symptoms and answers of one pass raise."""
    given = {(prompt, value) for prompt, value in answers.items() if isinstance(value, str)}
    return [b for b in BLOCKS if b.symptoms & symptoms or b.answers & given]


def is_danger(symptoms: frozenset[str], answers: Mapping[str, object], book: Book) -> bool:
    """Tell whether a pass showed danger: then no car goes out "to see", with no change made."""
    named = [book.symptoms[symptom] for symptom in symptoms & book.symptoms.keys()]
    return any(symptom.safety for symptom in named) or bool(raised(symptoms, answers))


def open_blocks(state: State, book: Book) -> list[OpenBlock]:
    """Return every block that still holds, from whichever pass, report or knob it came.

    An answer that is taken back takes its block along, but not a list on which something was
    ticked already: a fault that was found does not go away with the answer.
    """
    says = {
        (FOUND[what], report): f"Reported: {_said(what)}." for report, what in state.damage.items()
    }
    for change in state.changes.where(*ASKED_OF_CHANGES):
        if stopped := _what_stopped(state, change):
            says["damper-damage", change.id] = stopped
    unclear = list(state.runs.where(*asked_of_runs(state, book)))
    for run in unclear:
        symptoms = frozenset(named_symptoms(state, run))
        for block in raised(symptoms, run.answers):
            says.setdefault((block.inspection, run.id), block.says)
        for symptom in sorted(symptoms & book.symptoms.keys()):
            wanted = book.symptoms[symptom].inspection
            if wanted is not None:
                says.setdefault((wanted, run.id), book.symptoms[symptom].name + ".")
    says.update(found_in_shop(state))
    for where, why in state.owed.items():
        if where[0] in book.inspections:
            says.setdefault(where, why)
    begun = [(inspection, run.id) for run in unclear for inspection, _ in run.ticks]
    for inspection, reason in (*begun, *(key[:2] for key in state.ticked)):
        if inspection in book.inspections:
            says.setdefault((inspection, reason), BEGUN)
    return [
        OpenBlock(inspection, reason, why)
        for (inspection, reason), why in says.items()
        if not is_clear(state, book, inspection, reason)
    ]


def _what_stopped(state: State, change: Change) -> str:
    """Say what a hand found that could not go on; empty where nothing can be bent or stuck.

    An adjuster that the car file names no more is taken for a knob.
    """
    ones = (known(state, s.turn.adjuster) for s in change.steps if s.reason == "stops early")
    words = (HAND_WORDS[one.part if one else "knob"].stopped for one in ones)
    return next(filter(None, words), "")


def _stopped_early(change: Change) -> bool:
    return any(step.reason == "stops early" for step in change.steps)


ASKED_OF_CHANGES = Passing("stopped early", _stopped_early)


def asked_of_runs(state: State, book: Book) -> Passing[Run]:
    """Return what is asked of every pass: whether it leaves a list open."""
    lists_open = partial(_leaves_list_open, state, book)
    return Passing(f"leaves a list of {book.digest} open", lists_open)


def _leaves_list_open(state: State, book: Book, run: Run) -> bool:
    """Tell whether a pass raised or began a list that is not ticked clear for it.

    Of the state it looks only at the symptom that the change of the pass was for, which stays.
    """
    symptoms = frozenset(named_symptoms(state, run))
    named = [book.symptoms[one].inspection for one in symptoms & book.symptoms.keys()]
    lists = {block.inspection for block in raised(symptoms, run.answers)} | set(filter(None, named))
    begun = {inspection for inspection, _ in run.ticks} & book.inspections.keys()
    return not all(is_ticked(run.ticks, book, inspection) for inspection in lists | begun)


def is_ticked(ticks: Mapping[tuple[str, str], str], book: Book, inspection: str) -> bool:
    """Tell whether every item of a list was ticked on a pass, none of them a fault."""
    items = book.inspections[inspection].items
    return all(ticks.get((inspection, item.id)) in ("ok", "not fitted") for item in items)


def is_clear(state: State, book: Book, inspection: str, reason: str) -> bool:
    """Tell whether every item of the list was ticked for this reason, none of them a fault."""
    items = book.inspections[inspection].items
    return all(
        state.ticks.get((inspection, reason, item.id)) in ("ok", "not fitted") for item in items
    )


def never(
    turns: tuple[Turn, ...],
    fitted: Mapping[str, Adjuster],
    facts: Mapping[str, object],
    *,
    back: bool = False,
) -> str:
    """Return why these turns are never advised here, whoever asks for them, or nothing.

    back: they put a change back where it was.
    """
    from rules.advice.safety.moves import moves
    from rules.advice.safety.nevers import forbidden

    if why := forbidden(moves(turns, fitted), facts, back=back):
        return why
    for turn in turns:
        one = fitted[turn.adjuster]
        if one.part == "tyre pressure" and turn.after < turn.before:
            if one.makers_minimum is None:
                return NO_MINIMUM
            if turn.after < one.makers_minimum:
                return f"never below the tyre maker's minimum, {one.show(one.makers_minimum)}"
        if not one.floor <= turn.after <= one.high:
            return "never past the end of the range"
    return ""


def against(state: State, turn: Turn) -> str:
    """Say that a crew's own turn back is never advised after the last pass of this meeting."""
    from rules.advice.safety.moves import moves
    from rules.advice.safety.nevers import forbidden
    from rules.advice.safety.pass_facts import facts_of

    meeting = state.meeting_id
    last = state.last_at(meeting)
    if last is None:
        return ""
    facts = {**last.answers, **facts_of(state, last)}
    why = forbidden(moves((turn,), state.fitted), facts, back=True)
    return f"Not advised after what was seen: {why}." if why else ""


def hurried(
    fitted: list[Adjuster], minutes: int, minutes_left: int | None, clock_went_back: bool = False
) -> str:
    """Return why there is no time for a job, or nothing. A lifted car is never hurried."""
    lifted = any(one.lift_car for one in fitted)
    needs = needed(minutes, lifted)
    if minutes_left is None or needs <= minutes_left:
        return ""
    left = "the clock went back, say the call again" if clock_went_back else f"{minutes_left} left"
    if lifted:
        return f"needs {needs} min on stands, {left}: a lifted car is never hurried"
    return f"needs {needs} min, {left}"


def _said(found: str) -> str:
    return (
        next(block.says for block in BLOCKS if ("found", found) in block.answers)
        .rstrip(".")
        .lower()
    )
