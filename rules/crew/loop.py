"""The loop itself: from the state to the next question, and from an answer to events.

Every front end is thin over `next_step`, `answer` and `go_back`; what happens outside the
questions (a note, a recount, a put-back) is in `rules.actions`.
"""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import replace

from rules.advice import put_right
from rules.advice.safety.dangers import STAND, never_back, wants_stand
from rules.advice.safety.gates import ALWAYS_BEFORE_PASS, OpenBlock, is_clear, open_blocks
from rules.advice.safety.job_time import list_hurried
from rules.advice.safety.proven import opening_words
from rules.advice.safety.since_judged import since_notice
from rules.advice.safety.work_gates import asks_knowing, holds, is_gentler
from rules.asked import (
    AdviceChoice,
    PairChoice,
    PutRightChoice,
    SettleChoice,
    Topic,
    TurnChoice,
    parted,
    public_id,
)
from rules.book import Book
from rules.car.adjusters import Adjuster, adjusters
from rules.crew import (
    damper_doubts,
    doubted_clock,
    doubted_time,
    part_change,
    prompts,
    reaching,
)
from rules.crew.back import back_bodies
from rules.crew.first_passes import next_pass
from rules.faults import there
from rules.launch.outlook import Model
from rules.log import events as ev
from rules.log import reach, said, two_passes
from rules.log.advice import Advice
from rules.log.changes import PUT_BACK, Change
from rules.log.other_parts import same_parts
from rules.log.recounts import pair_bodies, split_pair, unsure
from rules.log.said import (
    SYMPTOMS,
    VERDICT,
    WHAT_ELSE,
    is_unjudged,
    made_whole_later,
    named_symptoms,
    spoiling,
)
from rules.log.state import SIXTY_FOOT, Run, State
from rules.log.state_after import after
from rules.log.way_back import undo_turns
from rules.log.work_orders import even_turns, recount_bodies, settle_bodies, stop_bodies, to_even
from rules.moments import day
from rules.question import UNKNOWN, AnswerError, Given, NewId, Prompt, check

WITH_OTHER_PARTS = "This pass was made with other dampers or springs than are on the car now."

# A question is a function of the state, and one answer asks for it several times over: of the
# state it would make, of the same state when the log has made it, and of that for the screen.
_asked: deque[tuple[State, Book, Prompt]] = deque(maxlen=4)


def next_step(state: State, book: Book) -> Prompt:
    """Return the one question that is open now."""
    for known, by, prompt in _asked:
        if by is book and _same(known, state):
            return prompt
    prompt = _next_step(state, book)
    _asked.append((state, book, prompt))
    return prompt


def _same(known: State, state: State) -> bool:
    return known is state or (known.events == state.events and known == state)


def _uncounted(state: State) -> Iterator[Adjuster]:
    """Yield what has to be counted by hand in the car's own order, whatever left it open first."""
    return (one for key, one in state.fitted.items() if key in state.to_recount)


def _next_step(state: State, book: Book) -> Prompt:
    if (looking := state.looking) is not None:
        return prompts.read_only(looking)
    if state.meeting is None:
        return prompts.meeting(day(state.now) if state.now else "")
    if state.session is None:
        return prompts.session()
    if (doubted := damper_doubts.prompt(state)) is not None:
        return doubted
    if (uncounted := next(_uncounted(state), None)) is not None:
        recount = prompts.recount_disputed if uncounted.id in state.disputed else prompts.recount
        return recount(uncounted, state)
    lever, order = unsure(state), state.work_order
    if lever is not None and (order is None or order.turns(lever.id)):
        return prompts.recount_changed(lever, state)
    blocks = open_blocks(state, book)
    if order is not None:
        return _work(state, book, order, blocks)
    split = split_pair(state)
    if split is not None and (not blocks or is_gentler(state, (split.turn,))):
        return asks_knowing(
            prompts.pair(split.one, split.turn), state, PairChoice.PUT_RIGHT, (split.turn,)
        )
    if (missing := put_right.owed(state)) is not None and state.car is not None:
        return put_right.prompt(adjusters(state.car)[missing.adjuster], missing)
    if (baseline := damper_doubts.baseline_prompt(state)) is not None:
        return baseline
    change, run = state.open_change, state.open_run
    if run is not None:
        prompt = _about_pass(state, run, book)
        asks = (
            prompt.topic in (SYMPTOMS, WHAT_ELSE, VERDICT, SIXTY_FOOT)
            or prompt.topic in (doubted_time.MEANT, doubted_clock.MEANT)
            or prompt.topic in book.prompts
        )
        return prompts.of_pass(prompt, run.number) if asks else prompt
    if blocks:
        return _inspection(state, book, blocks)
    since, opening = since_notice(state), opening_words(state, book)
    opening = " ".join(filter(None, (opening, next_pass(state, book))))
    if change is not None:
        return prompts.ran(change, " ".join(filter(None, (since, opening))))
    notice = " ".join(filter(None, (since, opening, *(ALWAYS_BEFORE_PASS if since else ()))))
    return prompts.of_pass(prompts.symptoms(book, notice), len(state.runs) + 1)


def _work(state: State, book: Book, change: Change, blocks: list[OpenBlock]) -> Prompt:
    """Ask for the next turn of an order; where a turn stands is asked before an open list is."""
    step = next(
        (s for s in change.stopped if s.reason == "stops early" and s.reached is None), None
    )
    if step is not None:
        return prompts.reached(change, step, state)
    if (far := reach.asked_about(state, change)) is not None:
        return reaching.prompt(far, state)
    if blocks and holds(state, book, change):
        return _inspection(state, book, blocks)
    if change.part is not None:
        return part_change.prompt(state, change, change.part)
    step = change.next_step
    if step is not None:
        return prompts.turn(change, step, state)
    prompt = prompts.settle(change, even=bool(even_turns(state, change)))
    prompt = asks_knowing(prompt, state, SettleChoice.PUT_BACK, undo_turns(state, [change]))
    return asks_knowing(prompt, state, SettleChoice.EVEN_OUT, to_even(state, change))


def _about_pass(state: State, run: Run, book: Book) -> Prompt:
    answers = run.answers
    change = state.change(run.change) if run.change else None
    if change is None and SYMPTOMS not in answers:
        return prompts.symptoms(book)
    if WHAT_ELSE not in answers:
        return prompts.what_else(run.number)
    if change is not None and not is_unjudged(state, run) and VERDICT not in answers:
        return prompts.verdict(change, book, said.fault_before(state, run))
    if change is not None and _may_hide_another(run):
        return prompts.left_over(change, book)
    symptoms = named_symptoms(state, run)
    # A pass that was not run through and looked right is not asked about: another one is run.
    if not symptoms and not (answers.get(VERDICT) == "gone" and not run.control_skipped):
        return prompts.symptoms(book, notice="" if change is None else _unjudged_notice(state, run))
    if VERDICT in answers and SIXTY_FOOT not in answers and run.sixty_s is None:
        return prompts.sixty_foot()
    if (odd := doubted_time.open_doubt(state, run)) is not None:
        return doubted_time.prompt(odd, state.described_car.units)
    if (before := doubted_clock.open_doubt(state, run)) is not None:
        return doubted_clock.prompt(run, before)
    return _about_symptoms(state, run, symptoms, book)


def _may_hide_another(run: Run) -> bool:
    """Tell whether the fault is said to be gone, and nobody said yet what else the car did."""
    answers = run.answers
    return answers.get(VERDICT) == "gone" and SYMPTOMS not in answers and run.advice is None


def _about_symptoms(state: State, run: Run, symptoms: tuple[str, ...], book: Book) -> Prompt:
    # The first question of a day needs nothing of this.
    from rules.advice.asking.disagreeing import disagrees
    from rules.advice.asking.how_bad import next_how_bad
    from rules.advice.asking.nobody_knows import sure_turn
    from rules.advice.asking.worth_asking import next_ask
    from rules.advice.candidates import best_of, candidates, inspection_reason
    from rules.advice.situation import situation
    from rules.advice.treated import order_reason

    now = situation(state, run, book)
    notice = order_reason(symptoms, book)
    ask = next_ask(now)
    if ask is not None:
        return prompts.as_built(prompts.from_book(book, ask, notice), state.car)
    if wants_stand(state, run):
        return prompts.from_book(book, STAND, notice)
    if (ask := next_how_bad(now)) is not None:
        return prompts.from_book(book, ask, notice)
    blocks = open_blocks(state, book)
    if blocks:
        return _inspection(state, book, blocks)
    for choice in run.settled:
        topic, inspection = parted(choice)
        if topic == Topic.INSPECT and inspection:
            reason = inspection_reason(now, inspection)
            if not is_clear(state, book, inspection, reason):
                return _inspection(state, book, [OpenBlock(inspection, reason, "")])
    given = run.advice
    other = disagrees(state, run) if given is None else None
    if other is not None:
        return two_passes.prompt(run.number, other.number)
    if given is None or never_back(state, given.turns) or reach.refuses(state, given.turns):
        return prompts.working_out(notice)
    other_best = given.kind == "measure" and best_of(candidates(now)) is not None
    waiting = state.open_change
    if waiting is not None and waiting.id == run.change:
        waiting = None
    sure = given.kind == "measure" and sure_turn(now) is not None
    asked = prompts.advice(given, run, other_best, waiting, now.danger, sure)
    return asked if same_parts(state, run) else replace(asked, notice=WITH_OTHER_PARTS)


def _inspection(state: State, book: Book, blocks: list[OpenBlock]) -> Prompt:
    """Ask for the first list, naming all that waits for it: it is looked at once."""
    first = blocks[0]
    says = [one.says for one in blocks if one.inspection == first.inspection]
    hurry = list_hurried(book.inspections[first.inspection], state.minutes_left)
    return prompts.inspection(book, first, [*says, *filter(None, [hurry])])


def _unjudged_notice(state: State, run: Run) -> str:
    if not is_unjudged(state, run):
        return ""
    if marks := spoiling(state, run):
        return f"{said.marked(marks)}, which stays unjudged."
    if made_whole_later(state, run):
        return "The change stays unjudged: no pass has had it whole and alone."
    return "The change stays unjudged: too much else moved on this pass."


def answer(
    state: State, book: Book, prompt_id: str, value: Given, new_id: NewId, *, advised: bool = True
) -> list[ev.Body]:
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


def go_back(state: State, book: Book, *, advised: bool = True) -> list[ev.Body]:
    """Return the events that open the question before this one again; none at the start."""
    from rules.crew.consequences import with_consequences

    bodies = with_consequences(state, book, back_bodies(state, next_step(state, book)))
    return with_advice(state, book, bodies) if advised else bodies


def with_advice(state: State, book: Book, bodies: list[ev.Body]) -> list[ev.Body]:
    """Add the trade's advice, not weighed by a model, to the events that made it due."""
    return [*bodies, *due_advice(after(state, bodies), book)]


def due_advice(state: State, book: Book, model: Model | None = None) -> list[ev.Body]:
    """Return the event that gives the advice that is due, so that it is in the log when it is seen.

    Empty where none is due. With a model this may take a second: `next_step` never asks one.
    """
    run = state.open_run
    if run is None or state.car is None or next_step(state, book).topic != Topic.WORKING_OUT:
        return []
    from rules.advice.advise import advise

    return [ev.AdviceGiven(run=run.id, advice=advise(state, run, book, model))]


def _bodies(state: State, book: Book, prompt: Prompt, value: Given, new_id: NewId) -> list[ev.Body]:
    run = state.open_run
    match prompt.topic:
        case Topic.MEETING:
            return [ev.MeetingOpened(meeting=new_id(), name=str(value))]
        case Topic.SESSION:
            return [ev.SessionChanged(session=value)]
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
            return [ev.PassRun(run=new_id(), change=_change(state).id)]
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
        case Topic.ADVICE:
            run = there(run, "an open pass")
            advice = there(run.advice, "an open advice")
            return _settle_advice(state, book, run, advice, AdviceChoice(str(value)), new_id)
    if run is None:
        begun = ev.PassRun(run=new_id())
        return [begun, ev.Answered(run=begun.run, prompt=prompt.id, value=value)]
    return [ev.Answered(run=run.id, prompt=prompt.id, value=value)]


def _change(state: State) -> Change:
    return there(state.open_change, "an open change")


def _ticks(
    state: State, book: Book, inspection: str, reason: str, marks: Mapping[str, str]
) -> list[ev.Body]:
    """Tick a list for every reason that waits for it: what is looked at now is looked at once."""
    waiting = [block.reason for block in open_blocks(state, book) if block.inspection == inspection]
    return [
        ev.ItemTicked.model_validate(
            {"inspection": inspection, "reason": one, "item": item, "mark": mark}
        )
        for one in dict.fromkeys((reason, *waiting))
        for item, mark in marks.items()
        if state.ticks.get((inspection, one, item)) != mark
    ]


def _turn_bodies(state: State, change: Change, prompt: Prompt, value: Given) -> list[ev.Body]:
    one, booked = adjusters(state.described_car)[prompt.subject], state.settings[prompt.subject]
    if prompt.topic == Topic.REACHED:
        found = booked if value == UNKNOWN else counted(one, str(value))
        return stop_bodies(state, change, one.id, TurnChoice.STOPS_EARLY, found)
    made = TurnChoice(str(value))
    if made is TurnChoice.DONE:
        done = ev.TurnDone(change=change.id, adjuster=one.id)
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
) -> list[ev.Body]:
    if choice is AdviceChoice.MAKE:
        put_back = given.kind == PUT_BACK
        if put_back and not given.turns:
            undone = state.change(given.undoes[0])
            settled = ev.AdviceSettled(run=run.id, choice=PUT_BACK, done=False)
            return [settled, *part_change.put_back(state, undone, new_id, run.id)]
        proposed = ev.ChangeProposed(
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
        return [ev.AdviceSettled(run=run.id, choice=how, done=not put_back), proposed]
    if choice is AdviceChoice.FIND_OUT:
        from rules.advice.situation import situation

        unknown = situation(state, run, book).unknown
        return [ev.AnswerTakenBack(run=run.id, prompt=one) for one in unknown]
    if choice is AdviceChoice.INSPECT:
        listed = public_id(Topic.INSPECT, given.inspection or "")
        return [ev.AdviceSettled(run=run.id, choice=listed, done=False)]
    return [ev.AdviceSettled(run=run.id, choice=choice, done=choice.ends_the_pass)]
