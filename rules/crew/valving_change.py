"""Another valving in an axle, with the counts its knobs get: one change, walked as one order."""

from collections.abc import Mapping
from typing import Literal

from rules.car import titles
from rules.car.adjusters import Adjuster, Turn, adjusters
from rules.crew.crew_action import CrewAction
from rules.crew.loop import counted
from rules.launch.kept_force import SPEEDS, Speed, as_turns, kept_counts
from rules.log.events.changes import ChangeProposed
from rules.log.events.event import Body
from rules.log.state import State
from rules.log.work_orders import half_made, set_aside_bodies
from rules.question import AnswerError, Choice, Given, NewId, Prompt

AT: dict[Speed, str] = {
    "low speed": "{2 in/s|51 mm/s}, the settle",
    "high speed": "{10 in/s|254 mm/s}, high speed",
    "rise speed": "{20 in/s|508 mm/s}, rise and landing",
}
AS_THEY_ARE = "counts as they are"
TYPED = "typed"


class ChangeValving(CrewAction):
    """Change an axle's valving to another of its lever's positions, on both sides.

    keep: the piston speed at which the clicks keep today's force, where the curves are known.
    counts: by knob, what it gets instead; the other side of a pair moves by the same number.
    knowing: of the danger it may lead back to, if one is named.
    """

    action: Literal["valving changed"] = "valving changed"
    lever: str
    to: str | float
    keep: Literal[Speed, "counts as they are"] = "low speed"
    counts: dict[str, str | float] = {}
    knowing: bool = False


def valving_bodies(state: State, action: ChangeValving, new_id: NewId) -> list[Body]:
    """Return the one change, in place of a work order of which nothing is turned.

    Raises:
        AnswerError: no such lever, position, knob or count; a half-made order; a recount is due.
    """
    lever = _lever(state, action.lever)
    to = counted(lever, action.to)
    if to == state.settings[lever.id]:
        raise AnswerError(f"the book has {lever.label} at {lever.show(to)} already")
    order = state.work_order
    if why := half_made(state):
        raise AnswerError(f"a valving waits: {why}")
    knobs = knobs_of(state, lever)
    uncounted = next((one for one in knobs if one.id in state.to_recount), None)
    if uncounted is not None:
        raise AnswerError(f"a valving waits: {uncounted.label} has to be recounted first")
    kept: dict[str, float] = {}
    if action.keep != "counts as they are":
        kept = kept_counts(state.described_car, state.settings, lever, to, action.keep)
    counts = kept | _typed(state, knobs, action.counts)
    turns = as_turns(state.settings, lever, to, counts)
    proposed = ChangeProposed(
        change=new_id(),
        origin="own",
        title=_title(state, turns, action.keep if kept and counts == kept else ""),
        turns=turns,
    )
    return [*(set_aside_bodies(state, order) if order else ()), proposed]


def knobs_of(state: State, lever: Adjuster) -> list[Adjuster]:
    """Return the knobs of the lever's axle."""
    every = adjusters(state.described_car).values()
    return [one for one in every if one.part == "knob" and one.axle == lever.axle]


def _lever(state: State, key: str) -> Adjuster:
    levers = {k: one for k, one in adjusters(state.described_car).items() if one.part == "valving"}
    if key not in levers:
        wanted = ", ".join(levers) or "none: the car file has no valving lever"
        raise AnswerError(f"lever: found {key!r}; wanted {wanted}")
    return levers[key]


def _typed(
    state: State, knobs: list[Adjuster], counts: Mapping[str, str | float]
) -> dict[str, float]:
    by_id = {one.id: one for one in knobs}
    for key in counts:
        if key not in by_id:
            wanted = ", ".join(by_id) or "none: no knob at that end"
            raise AnswerError(f"counts: found {key!r}; wanted among {wanted}")
    typed = {key: counted(by_id[key], value) for key, value in counts.items()}
    follows: dict[str, float] = {}
    for key, count in typed.items():
        other = by_id.get(by_id[key].partner or "")
        if other is None or other.id in typed:
            continue
        after = round(state.settings[other.id] + count - state.settings[key], 6)
        if not other.holds(after):
            raise AnswerError(f"{other.label} cannot follow: {other.wanted()}; give both counts")
        follows[other.id] = after
    return typed | follows


def _title(state: State, turns: tuple[Turn, ...], keep: str) -> str:
    title = titles.valving_title(turns, adjusters(state.described_car))
    if not keep or len(turns) < 2:
        return title
    return title + titles.KEEPS.format(keep.replace(" ", "-"))


def next_step(state: State, filled: Mapping[str, Given]) -> Prompt | ChangeValving:
    """Ask for the lever, the valving and the counts of a change of valving."""
    fitted = adjusters(state.described_car)
    if "adjuster" not in filled:
        levers = [one for one in fitted.values() if one.part == "valving"]
        choices = tuple(Choice(one.id, _in_book(state, one)) for one in levers)
        return Prompt("adjuster", "Which valving was changed?", choices=choices)
    lever = fitted[str(filled["adjuster"])]
    if "to" not in filled:
        return _which(state, lever)
    try:
        to = lever.parse(str(filled["to"]))
    except ValueError:
        return ChangeValving(lever=lever.id, to=str(filled["to"]))
    if "keep" not in filled:
        return counts_prompt(state, lever, to)
    typed: dict[str, str | float] = {}
    if filled["keep"] == TYPED:
        for one in first_sides(state, lever):
            key = f"count {one.id}"
            if key not in filled:
                return _count(state, one)
            typed[one.id] = str(filled[key])
    keep = next((one for one in SPEEDS if one == filled["keep"]), None)
    return ChangeValving(lever=lever.id, to=lever.show(to), keep=keep or AS_THEY_ARE, counts=typed)


def _in_book(state: State, one: Adjuster) -> str:
    return f"{one.label}: {one.show(state.settings[one.id])} in the book"


def _which(state: State, lever: Adjuster) -> Prompt:
    question = f"{lever.label}: which one goes in, on both sides?"
    hint = f"In the book: {lever.show(state.settings[lever.id])}."
    if not lever.positions:
        return Prompt("to", question, "text", hint=f"{hint} Wanted: {lever.wanted()}.")
    now = lever.show(state.settings[lever.id])
    choices = tuple(
        Choice(name, name, "in the book already" if name == now else "") for name in lever.positions
    )
    return Prompt("to", question, choices=choices, hint=hint)


def counts_prompt(state: State, lever: Adjuster, to: float) -> Prompt:
    """Ask which counts the knobs get with a valving, those first that keep today's force."""
    choices = []
    for speed in SPEEDS:
        kept = kept_counts(state.described_car, state.settings, lever, to, speed)
        words = titles.counts_words(
            as_turns(state.settings, lever, to, kept)[1:], adjusters(state.described_car)
        )
        says = f"Today's force kept at {AT[speed]}"
        if kept:
            choices.append(Choice(speed, f"{says}: {words or 'counts as they are'}"))
        else:
            choices.append(Choice(speed, says, "no click is known for it"))
    choices += [
        Choice(AS_THEY_ARE, "The counts as they are"),
        Choice(TYPED, "Other counts: type them"),
    ]
    hint = (
        "Valving and clicks are one change, both sides alike. The front rises at {12 to 25 in/s|"
        "0.3 to 0.6 m/s} of its shafts and lands faster; it settles below {5 in/s|0.13 m/s}."
    )
    if all(one.why_not for one in choices[: len(SPEEDS)]):
        hint = "No click is known that keeps the force: it wants a dyno table of both valvings."
    question = "Which counts do the knobs get with it?"
    return Prompt("keep", question, choices=tuple(choices), hint=hint)


def first_sides(state: State, lever: Adjuster) -> list[Adjuster]:
    """Return the knobs of the lever's axle, of a pair the first side alone."""
    first: list[Adjuster] = []
    for one in knobs_of(state, lever):
        if one.partner not in [other.id for other in first]:
            first.append(one)
    return first


def _count(state: State, one: Adjuster) -> Prompt:
    now = one.show(state.settings[one.id])
    hint = f"In the book: {now}. Wanted: {one.wanted()}. The other side moves by the same number."
    return Prompt(f"count {one.id}", f"{one.label}: which count?", "text", hint=hint, default=now)
