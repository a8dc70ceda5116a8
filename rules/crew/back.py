"""The way back: the events that open the question before this one again."""

from rules.asked import Topic
from rules.log.changes import ADVICE, RAN, Change
from rules.log.events.changes import ChangeWithdrawn, TurnReopened
from rules.log.events.event import Body
from rules.log.events.passes import AnswerTakenBack
from rules.log.events.whole_log import RecordTakenBack
from rules.log.reach import taken_back
from rules.log.state import State
from rules.question import Prompt


def back_bodies(state: State, prompt: Prompt) -> list[Body]:
    """Return the events that open the question before the open one again; none at the start.

    A tick comes off before its work order does, a pass that never ran is struck out, and a meeting
    that was begun after another goes as a whole as long as nothing was answered in it.
    """
    meeting = state.meeting
    another = prompt.topic != Topic.INSPECT and len(state.meetings) > 1
    begun = another and meeting is not None and meeting.stood == state.stands
    if meeting is not None and (prompt.topic == Topic.SESSION or begun):
        return [RecordTakenBack(record="meeting", of=meeting.id)]
    no_way = (Topic.MEETING, Topic.PAIR, Topic.OTHER_DAMPER, Topic.OTHER_BASELINE)
    if prompt.topic in no_way or state.to_recount:
        return []
    change, run = state.open_change, state.open_run
    if state.work_order is not None:
        return [] if prompt.topic == Topic.INSPECT else _out_of_work(state, state.work_order)
    if prompt.topic == Topic.INSPECT and (
        run is None or prompt.reason not in (run.id, run.meeting)
    ):
        # What raised the list was no answer of this pass.
        return []
    if run is not None:
        from rules.crew import doubted_stop

        last = list(run.answers)[-1] if run.answers else RAN
        if last == doubted_stop.MEANT:
            return doubted_stop.taken_back(run)
        return [AnswerTakenBack(run=run.id, prompt=last)]
    if prompt.topic == Topic.RAN and change is not None and change.status == "applied":
        return _out_of_work(state, change)
    return _back_to_advice(state)


def _out_of_work(state: State, change: Change) -> list[Body]:
    touched = [step for step in change.steps if step.state != "open"]
    if touched:
        adjuster = touched[-1].turn.adjuster
        reopened = TurnReopened(change=change.id, adjuster=adjuster)
        return [reopened, *(taken_back(state, adjuster) if touched[-1].is_unreached else ())]
    if change.is_made:
        return []
    withdrawn = ChangeWithdrawn(change=change.id, why="taken back before anything was turned")
    if change.run is None:
        return [withdrawn]
    return [withdrawn, AnswerTakenBack(run=change.run, prompt=ADVICE)]


def _back_to_advice(state: State) -> list[Body]:
    """Open the advice of the pass before again, unless its change went on from there."""
    last = state.runs[-1] if state.runs else None
    if last is None or last.advice is None or state.meeting is None:
        return []
    changes = state.changes.under("made after", lambda one: one.run or "", last.id)
    led_on = any(one.status != "withdrawn" for one in changes)
    if led_on or last.meeting != state.meeting.id:
        return []
    return [AnswerTakenBack(run=last.id, prompt=ADVICE)]
