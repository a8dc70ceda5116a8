"""The loop itself: from an answer to the open question to events.

Every front end is thin over `next_step` of `rules.crew.open_question`, `answer` and `go_back`; what
happens outside the questions (a note, a recount, a put-back) is in `rules.crew.actions`.
"""

from collections.abc import Mapping

from rules.advice import put_right
from rules.advice.safety.gates import open_blocks
from rules.asked import (
    AdviceChoice,
    PairChoice,
    PutRightChoice,
    SettleChoice,
    Topic,
    TurnChoice,
    public_id,
)
from rules.book import Book
from rules.car.adjusters import Adjuster, adjusters
from rules.crew import (
    damper_doubts,
    doubted_stop,
    doubted_time,
    part_change,
    reaching,
)
from rules.crew.back import back_bodies
from rules.crew.open_question import next_step
from rules.faults import there
from rules.launch.outlook import Model
from rules.log.advice import Advice
from rules.log.changes import PUT_BACK, Change
from rules.log.events.advice import AdviceGiven, AdviceSettled
from rules.log.events.changes import ChangeProposed, TurnDone
from rules.log.events.event import Body
from rules.log.events.lists import ItemTicked
from rules.log.events.meeting import MeetingOpened, SessionChanged
from rules.log.events.passes import Answered, AnswerTakenBack, PassRun
from rules.log.recounts import pair_bodies, split_pair
from rules.log.state import Run, State
from rules.log.state_after import after
from rules.log.work_orders import recount_bodies, settle_bodies, stop_bodies
from rules.question import UNKNOWN, AnswerError, Given, NewId, Prompt, check


def answer(
    state: State, book: Book, prompt_id: str, value: Given, new_id: NewId, *, advised: bool = True
) -> list[Body]:
    """Return the events that an answer to the open question makes; none where it changes nothing.

    advised: add the advice that the answer makes due, as `with_advice` does.

    Raises:
        AnswerError: if another question is open, or the answer does not fit.
    """
    from rules.crew.consequences import with_consequences

    prompt = next_step(state, book)
    if prompt.id != prompt_id:
        raise AnswerError(f"prompt {prompt_id!r} is not open; the open one is {prompt.id!r}")
    checked = check(prompt, value)
    if prompt.kind == "one" and checked == TurnChoice.NOT_YET:
        return []
    bodies = with_consequences(state, book, _bodies(state, book, prompt, checked, new_id))
    return with_advice(state, book, bodies) if advised else bodies


def go_back(state: State, book: Book, *, advised: bool = True) -> list[Body]:
    """Return the events that open the question before this one again; none at the start."""
    from rules.crew.consequences import with_consequences

    bodies = with_consequences(state, book, back_bodies(state, next_step(state, book)))
    return with_advice(state, book, bodies) if advised else bodies


def with_advice(state: State, book: Book, bodies: list[Body]) -> list[Body]:
    """Add the trade's advice, not weighed by a model, to the events that made it due."""
    return [*bodies, *due_advice(after(state, bodies), book)]


def due_advice(state: State, book: Book, model: Model | None = None) -> list[Body]:
    """Return the event that gives the advice that is due, so that it is in the log when it is seen.

    Empty where none is due. With a model this may take a second: `next_step` never asks one.
    """
    run = state.open_run
    if run is None or state.car is None or next_step(state, book).topic != Topic.WORKING_OUT:
        return []
    from rules.advice.advise import advise

    return [AdviceGiven(run=run.id, advice=advise(state, run, book, model))]


def _bodies(state: State, book: Book, prompt: Prompt, value: Given, new_id: NewId) -> list[Body]:
    run = state.open_run
    match prompt.topic:
        case Topic.MEETING:
            return [MeetingOpened(meeting=new_id(), name=str(value))]
        case Topic.SESSION:
            return [SessionChanged(session=value)]
        case Topic.OTHER_DAMPER | Topic.OTHER_BASELINE:
            return damper_doubts.bodies(state, prompt.topic, str(value), new_id)
        case Topic.RECOUNT:
            one, booked = (
                adjusters(state.described_car)[prompt.subject],
                state.settings[prompt.subject],
            )
            found = booked if value == UNKNOWN else counted(one, str(value))
            return recount_bodies(state, one.id, found)
        case Topic.PAIR:
            split = there(split_pair(state), "a pair apart")
            return pair_bodies(split, PairChoice(prompt.meant(value)), new_id)
        case Topic.PUT_RIGHT:
            missing = there(put_right.owed(state), "a turn to put right")
            return put_right.bodies(state, missing, PutRightChoice(str(value)), new_id)
        case Topic.RAN:
            return [PassRun(run=new_id(), change=_change(state).id)]
        case Topic.INSPECT:
            if not isinstance(value, Mapping):
                raise AnswerError(f"found {value!r}; wanted a mark for each item of the list")
            return _ticks(state, book, prompt.subject, prompt.reason, value)
        case Topic.TURN | Topic.REACHED:
            return _turn_bodies(state, _change(state), prompt, value)
        case Topic.PART:
            change = _change(state)
            part = there(change.part, "a part to put in")
            return part_change.answered(state, change, part, str(value), new_id)
        case Topic.REACH:
            return reaching.bodies(state, _change(state), str(value))
        case Topic.SETTLE:
            how = SettleChoice(prompt.meant(value))
            return settle_bodies(state, _change(state), how, new_id)
        case doubted_time.MEANT:
            run = there(run, "an open pass")
            odd = there(doubted_time.open_doubt(state, run), "a time that is asked back")
            return doubted_time.bodies(run, odd, str(value))
        case doubted_stop.MEANT:
            return doubted_stop.bodies(there(run, "an open pass"), str(value))
        case Topic.ADVICE:
            run = there(run, "an open pass")
            advice = there(run.advice, "an open advice")
            return _settle_advice(state, book, run, advice, AdviceChoice(str(value)), new_id)
    if run is None:
        begun = PassRun(run=new_id())
        return [begun, Answered(run=begun.run, prompt=prompt.id, value=value)]
    return [Answered(run=run.id, prompt=prompt.id, value=value)]


def _change(state: State) -> Change:
    return there(state.open_change, "an open change")


def _ticks(
    state: State, book: Book, inspection: str, reason: str, marks: Mapping[str, str]
) -> list[Body]:
    """Tick a list for every reason that waits for it: what is looked at now is looked at once."""
    waiting = [block.reason for block in open_blocks(state, book) if block.inspection == inspection]
    return [
        ItemTicked.model_validate(
            {"inspection": inspection, "reason": one, "item": item, "mark": mark}
        )
        for one in dict.fromkeys((reason, *waiting))
        for item, mark in marks.items()
        if state.ticks.get((inspection, one, item)) != mark
    ]


def _turn_bodies(state: State, change: Change, prompt: Prompt, value: Given) -> list[Body]:
    one, booked = adjusters(state.described_car)[prompt.subject], state.settings[prompt.subject]
    if prompt.topic == Topic.REACHED:
        found = booked if value == UNKNOWN else counted(one, str(value))
        return stop_bodies(state, change, one.id, TurnChoice.STOPS_EARLY, found)
    made = TurnChoice(str(value))
    if made is TurnChoice.DONE:
        done = TurnDone(change=change.id, adjuster=one.id)
        return [done, *reaching.reached_after_all(state, one)]
    reached = None if made is TurnChoice.STOPS_EARLY else booked
    return stop_bodies(state, change, one.id, made, reached)


def counted(one: Adjuster, value: str | float) -> float:
    """Return a setting as the crew counts it.

    Raises:
        AnswerError: if it is none of the adjuster's.
    """
    try:
        return one.parse(value)
    except ValueError as error:
        raise AnswerError(str(error)) from None


def _settle_advice(
    state: State, book: Book, run: Run, given: Advice, choice: AdviceChoice, new_id: NewId
) -> list[Body]:
    if choice is AdviceChoice.MAKE:
        put_back = given.kind == PUT_BACK
        if put_back and not given.turns:
            undone = state.change(given.undoes[0])
            settled = AdviceSettled(run=run.id, choice=PUT_BACK, done=False)
            return [settled, *part_change.put_back(state, undone, new_id, run.id)]
        proposed = ChangeProposed(
            change=new_id(),
            origin=PUT_BACK if put_back else "advice",
            title=given.title,
            turns=given.turns,
            rule=given.rule,
            symptom=given.symptom,
            half_back=given.kind == "half back",
            undoes=given.undoes,
            run=run.id,
        )
        how = PUT_BACK if put_back else AdviceChoice.MADE
        return [AdviceSettled(run=run.id, choice=how, done=not put_back), proposed]
    if choice is AdviceChoice.FIND_OUT:
        from rules.advice.situation import situation

        unknown = situation(state, run, book).unknown
        return [AnswerTakenBack(run=run.id, prompt=one) for one in unknown]
    if choice is AdviceChoice.INSPECT:
        listed = public_id(Topic.INSPECT, given.inspection or "")
        return [AdviceSettled(run=run.id, choice=listed, done=False)]
    return [AdviceSettled(run=run.id, choice=choice, done=choice.ends_the_pass)]
