"""Short chains of questions that end in an action: a recount, a note, an override, ..."""

from collections.abc import Callable, Iterator

from rules.advice.safety.gates import open_blocks
from rules.advice.safety.work_gates import KNOWING
from rules.book import Book
from rules.car.adjusters import adjusters
from rules.crew import actions as act
from rules.crew import correcting, learnt_afresh, noting_conditions, overriding, putting_back
from rules.crew.form_ends import Filled, LeftAsItStands, OpenSlip
from rules.crew.measured import BRAKED_AS, KINDS, question, still_asked
from rules.crew.ordering import knowing_first
from rules.crew.pass_actions import worth as asked_worth
from rules.crew.valving_change import next_step as valving_step
from rules.crew.valving_change import valving_bodies
from rules.log.events.changes import ChangeProposed
from rules.log.state import State
from rules.log.way_back import baseline_turns, meeting_named, older_baselines, other_meetings
from rules.passes.reading_ends import BRAKED
from rules.question import AnswerError, Choice, Prompt

Next = Prompt | act.Action | OpenSlip | LeftAsItStands
Form = Callable[[State, Book, Filled], Next]


def note(state: State, book: Book, filled: Filled) -> Next:
    """Ask for a note."""
    if "note" not in filled:
        return Prompt("note", "Note", "text", hint="Anything worth keeping. It is never lost.")
    return act.AddNote(text=str(filled["note"]))


def measure(state: State, book: Book, filled: Filled) -> Next:
    """Ask what was measured on the pass talked about, or the last, and its numbers."""
    if not state.runs:
        return Prompt("none", "Measured on which pass?")
    if "what" not in filled:
        choices = tuple(Choice(key, kind.name) for key, kind in KINDS.items())
        hint = "All of it is optional. The number comes with its spread, and stays in the log."
        number = state.runs[-1].number
        return Prompt("what", f"What did you measure on pass {number}?", "one", choices, hint)
    kind = next(kind for key, kind in KINDS.items() if key == filled["what"])
    for key in still_asked(kind, state.described_car):
        if key not in filled:
            return question(kind, key, state.described_car.units)
    given = {key: value for key, value in filled.items() if key != "what"}
    if BRAKED in given:
        given[BRAKED] = BRAKED_AS[str(given[BRAKED])]
    return act.ACTION.validate_python(
        {"action": "measure", "what": filled["what"], "inputs": given}
    )


def recount(state: State, book: Book, filled: Filled) -> Next:
    """Ask what was found on which adjuster."""
    if "adjuster" not in filled:
        return _which_adjuster(state, "What did you recount?")
    if "found" not in filled:
        return _setting(state, filled, "found", "what did you find?")
    return act.Recount(adjuster=str(filled["adjuster"]), found=str(filled["found"]))


def already_turned(state: State, book: Book, filled: Filled) -> Next:
    """Ask what was turned without the tool, and whether both sides were."""
    if "adjuster" not in filled:
        return _which_adjuster(state, "What did you change?")
    one = adjusters(state.described_car)[str(filled["adjuster"])]
    ordered = state.work_order is not None and state.work_order.turns(one.id)
    if one.part == "valving" and not ordered:
        return _valving_turned(state, book, filled)
    if one.partner and "sides" not in filled:
        both = Choice("both", "Both sides, by the same number")
        only = Choice("one", f"Only this one so far: {one.label}")
        return Prompt("sides", "Both sides, or one?", choices=(both, only))
    if "now" not in filled:
        return _setting(state, filled, "now", "where does it stand now?")
    sides = "one" if filled.get("sides") == "one" else "both"
    return act.AlreadyTurned(adjuster=one.id, now=str(filled["now"]), sides=sides)


def valving_changed(state: State, book: Book, filled: Filled) -> Next:
    """Ask which valving goes in, and the counts its knobs get."""
    step = valving_step(state, filled)
    if isinstance(step, Prompt):
        return step
    try:
        proposed = valving_bodies(state, step, lambda: "asked")
    except AnswerError:
        return step
    turns = [turn for body in proposed if isinstance(body, ChangeProposed) for turn in body.turns]
    known = KNOWING in filled
    return knowing_first(state, book, filled, turns) or step.model_copy(update={KNOWING: known})


def _valving_turned(state: State, book: Book, filled: Filled) -> Next:
    """Record a valving that is in already: that is no order, so nothing stands before it."""
    step = valving_step(state, filled)
    if isinstance(step, Prompt):
        return step
    if open_blocks(state, book):
        return act.AlreadyTurned(adjuster=step.lever, now=step.to)
    return step.model_copy(update={KNOWING: True})


def declare_baseline(state: State, book: Book, filled: Filled) -> Next:
    """Ask for the name of a baseline, or which older one comes back in force."""
    older = older_baselines(state)
    if older and "which" not in filled:
        choices = (
            Choice("new", "The settings of now"),
            *(Choice(one.id, f"Back to {one.name}") for one in older),
        )
        hint = "Nothing is turned: p then puts the car back to it."
        return Prompt("which", "Which settings are the baseline?", choices=choices, hint=hint)
    if filled.get("which", "new") != "new":
        name = next(one.name for one in older if one.id == filled["which"])
        return act.ReturnToBaseline(baseline=name)
    if "name" not in filled:
        hint = " ".join(
            [
                "The settings of now get this name. Older baselines stay in the log.",
                *_held(state, book),
            ]
        )
        return Prompt("name", "Name of the new baseline", "text", hint=hint, longest=60)
    return act.DeclareBaseline(name=str(filled["name"]))


def _held(state: State, book: Book) -> Iterator[str]:
    """Yield what a baseline of now would hold that is not proved or not cleared."""
    off = {turn.adjuster for turn in baseline_turns(state)}
    for change in state.changes:
        moved = {step.turn.adjuster for step in change.steps if step.moved}
        unproved = change.origin != "put back" and change.status not in ("judged", "withdrawn")
        if unproved and moved & off:
            yield f"This baseline holds an unproved change: {change.title}."
    for block in open_blocks(state, book)[:1]:
        yield f"A fault stands: {block.says}"


def report_damage(state: State, book: Book, filled: Filled) -> Next:
    """Ask what was found."""
    if "found" not in filled:
        text = book.prompts["found"]
        choices = tuple(Choice(choice.id, choice.label) for choice in text.choices)
        return Prompt("found", text.question, choices=choices, hint=text.hint, unknown=True)
    return act.ReportDamage(found=str(filled["found"]))


def session_kind(state: State, book: Book, filled: Filled) -> Next:
    """Ask what kind of session it is now."""
    if "session" not in filled:
        kinds = (("test", "Test"), ("qualifying", "Qualifying"), ("eliminations", "Eliminations"))
        choices = tuple(Choice(key, label) for key, label in kinds)
        return Prompt("session", "What is it now?", choices=choices, default=state.session)
    return act.ACTION.validate_python({"action": "session", "session": filled["session"]})


def meeting(state: State, book: Book, filled: Filled) -> Next:
    """Ask for another event; one that is in the log already is offered."""
    others = other_meetings(state)
    if others and "which" not in filled:
        known = (Choice(one.id, f"Go on with {one.name}") for one in others)
        return Prompt("which", "Which event?", choices=(Choice("new", "A new one"), *known))
    gone_back_to = next((one for one in others if one.id == filled.get("which")), None)
    if gone_back_to is not None:
        return act.OpenMeeting(name=gone_back_to.name, again=True)
    if "name" not in filled:
        return Prompt("name", "Name of the new event", "text", longest=200)
    name = str(filled["name"])
    known_by_name = meeting_named(state, name)
    if known_by_name is not None and "same" not in filled:
        return Prompt(
            "same",
            f"{known_by_name.name} is in the log already. The same event?",
            choices=(
                Choice("same", "Yes: go on with it"),
                Choice("new", "No: another one of that name"),
            ),
            default="same",
        )
    return act.OpenMeeting(name=name, again=filled.get("same") == "same")


def call_time(state: State, book: Book, filled: Filled) -> Next:
    """Ask for the minutes to the next call."""
    if "minutes" not in filled:
        return Prompt(
            "minutes",
            "Minutes to the next call?",
            "number",
            hint="Advice then fits the time left. Enter alone: no call time.",
            low=0,
            high=1440,
            unit="min",
            optional=True,
        )
    minutes = filled["minutes"]
    return act.CallTime(minutes=int(minutes) if isinstance(minutes, float) else None)


def worth(state: State, book: Book, filled: Filled) -> Next:
    """Ask which gain of the 60-foot is worth a change."""
    if "gain" not in filled:
        return asked_worth(state)
    return act.ACTION.validate_python({"action": "worth", "gain": filled["gain"]})


def learn_afresh(state: State, book: Book, filled: Filled) -> Next:
    """Ask whether the launch begins this car afresh."""
    said = filled.get("afresh")
    if said is None:
        return learnt_afresh.asked(state)
    if said == learnt_afresh.KEEP:
        return LeftAsItStands("Nothing was recorded: it goes on with what it has learnt.")
    return learnt_afresh.LearnAfresh(taken_back=said == learnt_afresh.TAKE_BACK)


FORMS: dict[str, Form] = {
    "note": note,
    "measure": measure,
    "recount": recount,
    "already turned": already_turned,
    "valving changed": valving_changed,
    "put back": putting_back.next_step,
    "declare baseline": declare_baseline,
    "override": overriding.next_step,
    "report damage": report_damage,
    "session": session_kind,
    "meeting": meeting,
    "minutes to call": call_time,
    "conditions": noting_conditions.next_step,
    "worth": worth,
    "learn afresh": learn_afresh,
    "correct": correcting.next_step,
}


def _which_adjuster(state: State, question: str) -> Prompt:
    choices = tuple(
        Choice(one.id, f"{one.label}: {one.show(state.settings[one.id])} in the book")
        for one in adjusters(state.described_car).values()
    )
    return Prompt("adjuster", question, choices=choices)


def _setting(state: State, filled: Filled, key: str, question: str) -> Prompt:
    one = adjusters(state.described_car)[str(filled["adjuster"])]
    hint = f"In the book: {one.show(state.settings[one.id])}. Wanted: {one.wanted()}."
    return Prompt(key, f"{one.label}: {question}", "text", hint=hint)
