"""The one question that is open now: a function of the state and the book, and of nothing else.

What only some states ask with is loaded there: the first question of a day needs little of it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import replace

from rules.advice import put_right
from rules.advice.safety.awake_dangers import never_back, wants_stand
from rules.advice.safety.dangers import STAND
from rules.advice.safety.gates import ALWAYS_BEFORE_PASS, OpenBlock, is_clear, open_blocks
from rules.advice.safety.job_time import list_hurried
from rules.advice.safety.proven import opening_words
from rules.advice.safety.since_judged import since_notice
from rules.advice.safety.work_gates import asks_knowing, holds, is_gentler
from rules.asked import (
    PairChoice,
    SettleChoice,
    Topic,
    parted,
)
from rules.book import Book
from rules.car.adjusters import Adjuster, adjusters
from rules.crew import damper_doubts, doubted_clock, prompts
from rules.crew.first_passes import next_pass
from rules.log import said
from rules.log.changes import Change
from rules.log.other_parts import same_parts
from rules.log.recounts import split_pair, unsure
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
from rules.moments import day
from rules.question import Prompt

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
        from rules.crew.work_prompts import recount, recount_disputed

        return (recount_disputed if uncounted.id in state.disputed else recount)(uncounted, state)
    lever, order = unsure(state), state.work_order
    if lever is not None and (order is None or order.turns(lever.id)):
        from rules.crew.work_prompts import recount_changed

        return recount_changed(lever, state)
    blocks = open_blocks(state, book)
    if order is not None:
        return _work(state, book, order, blocks)
    split = split_pair(state)
    if split is not None and (not blocks or is_gentler(state, (split.turn,))):
        from rules.crew.work_prompts import pair

        return asks_knowing(pair(split.one, split.turn), state, PairChoice.PUT_RIGHT, (split.turn,))
    if (missing := put_right.owed(state)) is not None and state.car is not None:
        return put_right.prompt(adjusters(state.car)[missing.adjuster], missing)
    if (baseline := damper_doubts.baseline_prompt(state)) is not None:
        return baseline
    change, run = state.open_change, state.open_run
    if run is not None:
        return _of_pass(state, run, book)
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
    from rules.crew import part_change, reaching, work_prompts
    from rules.log.reach import asked_about
    from rules.log.way_back import undo_turns
    from rules.log.work_orders import even_turns, to_even

    step = next(
        (s for s in change.stopped if s.reason == "stops early" and s.reached is None), None
    )
    if step is not None:
        return work_prompts.reached(change, step, state)
    if (far := asked_about(state, change)) is not None:
        return reaching.prompt(far, state)
    if blocks and holds(state, book, change):
        return _inspection(state, book, blocks)
    if change.part is not None:
        return part_change.prompt(state, change, change.part)
    step = change.next_step
    if step is not None:
        return work_prompts.turn(change, step, state)
    prompt = work_prompts.settle(change, even=bool(even_turns(state, change)))
    prompt = asks_knowing(prompt, state, SettleChoice.PUT_BACK, undo_turns(state, [change]))
    return asks_knowing(prompt, state, SettleChoice.EVEN_OUT, to_even(state, change))


def _of_pass(state: State, run: Run, book: Book) -> Prompt:
    from rules.crew import doubted_stop, doubted_time

    prompt = _about_pass(state, run, book)
    asks = (
        prompt.topic in (SYMPTOMS, WHAT_ELSE, VERDICT, SIXTY_FOOT)
        or prompt.topic in (doubted_time.MEANT, doubted_clock.MEANT, doubted_stop.MEANT)
        or prompt.topic in book.prompts
    )
    return prompts.of_pass(prompt, run.number) if asks else prompt


def _about_pass(state: State, run: Run, book: Book) -> Prompt:
    from rules.crew import doubted_stop, doubted_time

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
    if doubted_stop.is_open(state, run):
        return doubted_stop.prompt()
    return _about_symptoms(state, run, symptoms, book)


def _may_hide_another(run: Run) -> bool:
    """Tell whether the fault is said to be gone, and nobody said yet what else the car did."""
    answers = run.answers
    return answers.get(VERDICT) == "gone" and SYMPTOMS not in answers and run.advice is None


def _about_symptoms(state: State, run: Run, symptoms: tuple[str, ...], book: Book) -> Prompt:
    from rules.advice.asking.disagreeing import disagrees
    from rules.advice.asking.how_bad import next_how_bad
    from rules.advice.asking.nobody_knows import sure_turn
    from rules.advice.asking.worth_asking import next_ask
    from rules.advice.candidates import best_of, candidates, inspection_reason
    from rules.advice.situation import situation
    from rules.advice.treated import order_reason
    from rules.log import two_passes
    from rules.log.reach import refuses

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
    if given is None or never_back(state, given.turns) or refuses(state, given.turns):
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
