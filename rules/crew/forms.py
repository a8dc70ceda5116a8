"""Short chains of questions that end in an action: a recount, a note, an override, ..."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from rules.advice.part_back import part_asked_first
from rules.advice.safety.gates import open_blocks
from rules.advice.safety.proven import nearest_proven
from rules.advice.safety.work_gates import KNOWING, YES, asked_first, list_before
from rules.book import Book
from rules.car.adjusters import Turn, adjusters
from rules.crew import actions as act
from rules.crew import doubted_time, learnt_afresh, readings, taking_back
from rules.crew.correctable import can_ask, prompt_of
from rules.crew.measured import BRAKED_AS, KINDS, question, still_asked
from rules.crew.pass_actions import NoteConditions, pressure_doubt
from rules.crew.pass_actions import worth as asked_worth
from rules.crew.prompts import as_built, of_pass
from rules.crew.proven_back import PutBackToProven
from rules.crew.valving_change import next_step as valving_step
from rules.crew.valving_change import valving_bodies
from rules.faults import there
from rules.log.changes import is_in
from rules.log.engine import BREATHING, is_said
from rules.log.events import ChangeProposed
from rules.log.other_parts import of_other_parts
from rules.log.state import SIXTY_FOOT, Run, State
from rules.log.way_back import (
    baseline_turns,
    last_change,
    meeting_named,
    older_baselines,
    other_meetings,
    parts_off_baseline,
    undo_turns,
)
from rules.passes.reading_ends import BRAKED
from rules.passes.readings import LANE, PRESSURE_KIND, READINGS
from rules.passes.slip import AskBack
from rules.passes.slip_entry import TAKE, asked_back
from rules.question import UNKNOWN, AnswerError, Choice, Given, Prompt, check
from rules.wording import capital

SLIP = "slip"
ELSE, LATEST = "else", 6
DOUBT, KEEP = "doubt", "keep"
Filled = Mapping[str, Given]


@dataclass(frozen=True)
class OpenSlip:
    """The form ends at the slip of a pass."""

    number: int


@dataclass(frozen=True)
class LeftAsItStands:
    """The crew was told what an order leads to, and left all as it stands."""

    says: str = "Nothing was ordered: the car stays as it stands."


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
    return _knowing(state, book, filled, turns) or step.model_copy(update={KNOWING: known})


def _valving_turned(state: State, book: Book, filled: Filled) -> Next:
    """Record a valving that is in already: that is no order, so nothing stands before it."""
    step = valving_step(state, filled)
    if isinstance(step, Prompt):
        return step
    if open_blocks(state, book):
        return act.AlreadyTurned(adjuster=step.lever, now=step.to)
    return step.model_copy(update={KNOWING: True})


def _knowing(
    state: State, book: Book, filled: Filled, turns: Iterable[Turn]
) -> Prompt | LeftAsItStands | None:
    """Ask before turns that lead back to a danger; an open list is told when they are ordered."""
    turned = tuple(turns)
    return _told_first(
        None if list_before(state, book, turned) else asked_first(state, turned), filled
    )


def _told_first(asked: Prompt | None, filled: Filled) -> Prompt | LeftAsItStands | None:
    """Return the question about a danger while it is open; None where there is none, or a yes."""
    if asked is None or filled.get(KNOWING) == YES:
        return None
    return LeftAsItStands() if KNOWING in filled else asked


def put_back(state: State, book: Book, filled: Filled) -> Next:
    """Ask how far to go back."""
    if "how far" not in filled:
        last = last_change(state)
        baseline = state.baseline.name if state.baseline else ""
        other = of_other_parts(state, state.baseline) if state.baseline else ""
        baseline += f" ({other})" if other else ""
        change = state.open_change
        waits = change is not None and not is_in(change)
        off = bool(baseline_turns(state) or parts_off_baseline(state)) or waits
        return Prompt(
            "how far",
            "Put back: how far?",
            choices=(
                Choice(
                    "last",
                    f"Undo the last change: {last.title}" if last else "Undo the last change",
                    "" if last else "there is none on the car",
                ),
                Choice(
                    "baseline",
                    f"Everything to the baseline: {baseline}",
                    "" if off else "everything stands there already",
                ),
                *_to_proven(state, book),
            ),
        )
    if filled["how far"] == "proven":
        return _back_to_proven(state, book, filled)
    last = last_change(state)
    back = filled["how far"] == "baseline"
    turns = baseline_turns(state) if back else undo_turns(state, [last] if last else [])
    if last is not None and last.part is not None and not back:
        asked = _told_first(part_asked_first(state, book, last), filled)
        return asked or act.UndoLast(knowing=KNOWING in filled)
    parts = (part_asked_first(state, book, one) for one in parts_off_baseline(state))
    if back and (asked := _told_first(next(filter(None, parts), None), filled)) is not None:
        return asked
    action = act.PutBack if back else act.UndoLast
    return _knowing(state, book, filled, turns) or action(knowing=KNOWING in filled)


def _to_proven(state: State, book: Book) -> Iterator[Choice]:
    """Yield the way to the nearest proved setting, where there is one off today's."""
    found = nearest_proven(state, book, state.coming)
    if found is not None and found.turns:
        differs = f" ({'; '.join(found.differs)})" if found.differs else ""
        yield Choice("proven", f"As on pass {found.run.number}, proved{differs}")


def _back_to_proven(state: State, book: Book, filled: Filled) -> Next:
    """Name the danger before the order is made, where there is one."""
    found = there(nearest_proven(state, book, state.coming), "a proved setting")
    action = PutBackToProven(run=found.run.number, knowing=KNOWING in filled)
    return _knowing(state, book, filled, found.turns) or action


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


def override(state: State, book: Book, filled: Filled) -> Next:
    """Ask for the reason of an override; say so first where there is nothing to override."""
    if why_not := act.why_no_override(state):
        return Prompt("none", capital(why_not) + ".")
    if "reason" not in filled:
        choices = tuple(Choice(key, label) for key, label in act.OVERRIDE_REASONS.items())
        hint = "The reason stays in the log. An inspection is never overridden."
        return Prompt("reason", "Go on without it: why?", choices=choices, hint=hint)
    if filled["reason"] == "other" and "words" not in filled:
        return Prompt("words", "The reason, in your words", "text", longest=200)
    return act.Override(reason=str(filled["reason"]), text=str(filled.get("words", "")))


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


def conditions(state: State, book: Book, filled: Filled) -> Next:
    """Ask for lane, air and track of the pass talked about, of the last, or of the one to come."""
    system = state.described_car.units
    if state.runs and LANE not in filled:
        return readings.lane(state.runs[-1])
    coming = filled.get(LANE, readings.COMING) == readings.COMING
    if coming and readings.COMING_LANE not in filled:
        return readings.coming_lane(len(state.runs) + 1)
    if coming and "surface" not in filled:
        return readings.surface()
    for key in READINGS:
        if key not in filled and _is_asked(key, filled):
            return (
                readings.elevation(state, system)
                if key == "elevation"
                else (readings.reading(key, system))
            )
        if key == "pressure" and PRESSURE_KIND not in filled and _said(filled, key):
            return readings.pressure_kind()
    said = {key: value for key, value in filled.items() if value != UNKNOWN and key != DOUBT}
    if coming:
        said["run"] = readings.COMING
        said.pop(LANE, None)
        if readings.COMING_LANE in said:
            said[LANE] = said.pop(readings.COMING_LANE)
        if filled["surface"] == UNKNOWN:
            said["surface"] = "new"
    action = NoteConditions.model_validate({"action": "conditions", **said})
    if odd := _odd_pressure(state, action):
        if DOUBT not in filled:
            return _doubted(odd)
        meant = filled[DOUBT]
        kept = {"keep": ("pressure",)} if meant == KEEP else {PRESSURE_KIND: meant}
        action = action.model_copy(update=kept)
    if BREATHING in filled:
        return action.model_copy(update={BREATHING: filled[BREATHING]})
    asks = state.runs and _said(filled, PRESSURE_KIND) and not is_said(state)
    return readings.breathing() if asks else action


def _odd_pressure(state: State, action: NoteConditions) -> str:
    """Say what is odd about the pressure; what cannot be noted at all is told when it is taken."""
    try:
        return pressure_doubt(state, action)
    except AnswerError:
        return ""


def _doubted(odd: str) -> Prompt:
    return Prompt(
        DOUBT,
        capital(odd) + ". What is it?",
        choices=(
            Choice("sea-level barometer", "A sea-level barometer", key="b"),
            Choice("station pressure", "Station pressure", key="s"),
            Choice(KEEP, "As I said, and read right", key="k"),
        ),
    )


def _said(filled: Filled, key: str) -> bool:
    return filled.get(key, UNKNOWN) != UNKNOWN


def _is_asked(key: str, filled: Filled) -> bool:
    """Tell whether a reading is asked for: a dew point without humidity, a height for pressure."""
    if key == "dew_point":
        return not _said(filled, "humidity")
    return key != "elevation" or _said(filled, "pressure")


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


def correct(state: State, book: Book, filled: Filled) -> Next:
    """Ask which answer of which pass is wrong, and what it should be."""
    if "run" not in filled:
        runs = list(reversed(state.runs))
        choices = tuple(Choice(str(run.number), f"Pass {run.number}") for run in runs)
        if any(taking_back.beside(state, book)):
            choices = (
                *choices[:LATEST],
                Choice(ELSE, "Something else recorded"),
                *choices[LATEST:],
            )
        return Prompt("run", "Correct an answer of which pass?", choices=choices)
    if filled["run"] == ELSE:
        return _take_back(list(taking_back.beside(state, book)), filled)
    run = next(r for r in state.runs if str(r.number) == filled["run"])
    if "prompt" not in filled:
        choices = tuple(
            Choice(key, prompt_of(state, book, run, key).question)
            for key in run.answers
            if can_ask(state, book, run, key)
        )
        slip = Choice(SLIP, "The time slip" if run.slip else "The time slip: none is in the log")
        off = tuple(Choice(one.id, one.label) for one in taking_back.of_pass(run))
        return Prompt("prompt", "Which answer was wrong?", choices=(slip, *choices, *off))
    if filled["prompt"] == SLIP:
        return OpenSlip(run.number)
    for one in taking_back.of_pass(run):
        if one.id == filled["prompt"]:
            return _off(one)
    asked_prompt = as_built(prompt_of(state, book, run, str(filled["prompt"])), state.car)
    if asked_prompt.id not in filled:
        return of_pass(asked_prompt, run.number)
    value = filled[asked_prompt.id]
    if asked_prompt.id == SIXTY_FOOT and (odd := _odd_time(state, run, asked_prompt, value)):
        return _sixty_meant(state, run, odd, filled)
    new = list(value) if isinstance(value, tuple) else value
    return act.ACTION.validate_python(
        {"action": "correct", "run": run.number, "prompt": asked_prompt.id, "value": new}
    )


def _odd_time(state: State, run: Run, prompt: Prompt, value: Given) -> AskBack | None:
    """Return what is odd about a corrected 60-foot; one out of bounds is told when it is taken."""
    try:
        seconds = check(prompt, value)
    except AnswerError:
        return None
    return doubted_time.doubt_of(state, run, seconds) if isinstance(seconds, float) else None


def _sixty_meant(state: State, run: Run, odd: AskBack, filled: Filled) -> Next:
    """Ask whether an odd 60-foot is meant; a mark needs the slip it stands on."""
    if DOUBT not in filled:
        asked = asked_back(odd, state.described_car.units)
        choices = tuple(one for one in asked.choices if one.id in (TAKE, KEEP))
        hint = "Backspace types it again. Lifted or spun: the time slip takes the mark."
        return replace(asked, topic=DOUBT, choices=choices, default=None, hint=hint)
    seconds = odd.offer if filled[DOUBT] == TAKE and odd.offer is not None else odd.found
    return act.Correct(run=run.number, prompt=SIXTY_FOOT, value=seconds, keep=True)


def _take_back(known: list[taking_back.Recorded], filled: Filled) -> Next:
    if "record" not in filled:
        choices = tuple(Choice(one.id, one.label) for one in known)
        hint = "It stays in the log, and counts no more."
        return Prompt("record", "Take back which?", choices=choices, hint=hint)
    return _off(next(one for one in known if one.id == filled["record"]))


def _off(one: taking_back.Recorded) -> act.TakeBack:
    return act.TakeBack(record=one.record, of=one.of, part=one.part)


FORMS: dict[str, Form] = {
    "note": note,
    "measure": measure,
    "recount": recount,
    "already turned": already_turned,
    "valving changed": valving_changed,
    "put back": put_back,
    "declare baseline": declare_baseline,
    "override": override,
    "report damage": report_damage,
    "session": session_kind,
    "meeting": meeting,
    "minutes to call": call_time,
    "conditions": conditions,
    "worth": worth,
    "learn afresh": learn_afresh,
    "correct": correct,
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
