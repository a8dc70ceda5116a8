"""The book's decision, held against every other way that the launch of this car can judge.

The book alone decides where mechanics cannot judge, where a list, a stop or a danger comes first,
and where the car is good. Gates stand above both.
"""

from dataclasses import dataclass, replace
from functools import partial

from rules.advice.by_mechanics.choice import (
    BOOK_LOG_ODDS,
    Weighted,
    allowed,
    is_fair,
    ranked,
    stated,
    stirs,
)
from rules.advice.by_mechanics.question import asked
from rules.advice.by_mechanics.ways import Way, of_draft, ways
from rules.advice.by_mechanics.words import (
    after_it,
    drafted,
    gone_or_less,
    naming,
    no_fair_chance,
    others,
)
from rules.advice.by_time import by_time
from rules.advice.change_evidence import brought_danger, latest_tried, verdict_of
from rules.advice.choosing import UNSEEN_TWICE
from rules.advice.decision import Decision
from rules.advice.earlier_passes import passes_taught, sightings, teaches
from rules.advice.ladders import ladder
from rules.advice.part_back import goes_back_by_part
from rules.advice.safety.dangers import WITHOUT_THRUST
from rules.advice.safety.pass_facts import PassFacts
from rules.advice.situation import Situation
from rules.book.facts import leaves
from rules.car.steps import trade_step
from rules.launch.judged import JUDGED
from rules.launch.outlook import Model, Outlook, Prospect
from rules.launch.proposed_change import Expected, Seen, missing
from rules.launch.severity import BADLY, PLAINLY, how_bad
from rules.log.advice import Alternative, Draft
from rules.log.changes import PUT_BACK
from rules.log.said import is_unjudged, named_symptoms

# What the book decides that the mechanics may better; everything else stands as it is.
_OPEN = frozenset({"turn", "half back", PUT_BACK, "ladder"})
_FIRST_LOOK = 24
_SECOND_LOOK = 112
_SHORT_LIST = 3


@dataclass(frozen=True)
class Chosen:
    """The way that was chosen, what is expected of it, and what else there was.

    expected: None where no way has a fair chance; the draft is then the book's, or its ladder.
    """

    draft: Draft
    expected: Expected | None
    others: tuple[Alternative, ...]


def by_mechanics(now: Situation, decision: Decision, model: Model) -> Chosen | None:
    """Return the best way with what is expected of it; None where the launch has no say."""
    passes = sightings(now.state, of=now.run)
    if not passes or not _may_judge(now, decision.draft) or _is_left(now, decision.draft):
        return None
    try:
        return _chosen(now, decision, model, passes)
    except ValueError:
        # A car file can be right in every field and still be no car to the launch.
        return None


def _chosen(
    now: Situation, decision: Decision, model: Model, passes: tuple[Seen, ...]
) -> Chosen | None:
    found = ways(now)
    book = of_draft(now, decision.draft)
    if book is not None:
        found = [book, *(one for one in found if one.goals != book.goals)]
    if now.facts.get("stand") == "dangerous":
        # There the book names the lever; only how far it goes is a matter of mechanics.
        found = [one for one in found if book is not None and _alike(one, book)]
    if not found:
        return None
    coarse = [one for group in _by_lever(found) for one in _two_of(group)]
    first, still, _ = _weighted(now, decision, coarse, book, model, passes, _FIRST_LOOK)
    hopeful = [one.way for one in ranked(first, still, of_so_few=_FIRST_LOOK)]
    levers = _by_lever(hopeful)[:_SHORT_LIST]
    short = [one for one in found if any(_alike(one, group[0]) for group in levers)]
    if book is not None and book not in short:
        short.append(book)
    if not short:
        return None
    second, still, answer = _weighted(now, decision, short, book, model, passes, _SECOND_LOOK)
    second = ranked(second, still)
    waits = BOOK_LOG_ODDS if _is_waited(now, decision.draft) else 0.0
    does = stirs if decision.draft.kind in ("turn", "half back") else partial(is_fair, waits=waits)
    order = [one for one in second if does(one, still)]
    if order and second[0].book and second[0] not in order:
        # The launch sees nothing of the book's lever, and nothing else is worth more.
        return None
    if not order:
        told = tuple(no_fair_chance(now, one) for one in second[:1])
        return Chosen(_no_pass_in_vain(now, decision), None, told)
    best = order[0]
    if not best.book and _goes_by_what_no_car_shows(now, decision, second, answer):
        return None
    runner_up = next((one for one in order[1:] if not _alike(one.way, best.way)), None)
    return Chosen(
        drafted(now, best, decision.draft, decision.alternatives),
        _expected(best, answer, passes_taught(now.state, now.run.number)),
        (*after_it(now, best, short), *others(now, best, runner_up, decision.draft)),
    )


def _goes_by_what_no_car_shows(
    now: Situation, decision: Decision, safe: list[Weighted], answer: Outlook
) -> bool:
    """Tell whether the book's turn goes by something seen that the launch does not know of.

    What a crew saw of the cause stands over a cloud without it: then the book's lever is turned
    before another, where it is safe on the cloud, until a pass has judged it. After danger one word
    in ten that is wrong would cost too much.
    """
    rule = now.book.rules.get(decision.draft.rule or "")
    if now.danger or decision.draft.kind != "turn" or rule is None or now.record.of(rule.id):
        return False
    seen = {leaf.fact for leaf in leaves(rule.when)} & answer.hardly_shown
    return bool(seen) and any(one.book for one in safe)


def _no_pass_in_vain(now: Situation, decision: Decision) -> Draft:
    """Return the book's draft; past the knobs where it is a control pass that was run already."""
    draft = decision.draft
    if draft.kind == "control" and draft.rule is not None and _was_followed(now, draft.rule):
        return ladder(now, list(decision.alternatives))
    return draft


def judged_by_mechanics(now: Situation, draft: Draft) -> bool:
    """Tell whether the mechanics choose what follows a pass, where the book would say `draft`."""
    return teaches(now.state, now.run) and _may_judge(now, draft)


def _may_judge(now: Situation, draft: Draft) -> bool:
    named = set(named_symptoms(now.state, now.run))
    car = now.state.car
    if not (draft.kind in _OPEN or _only_waits(now, draft)):
        return False
    if not named or not named <= JUDGED or now.symptom not in JUDGED:
        return False
    if car is None or missing(car) or goes_back_by_part(draft):
        return False
    return not (draft.kind == PUT_BACK and _goes_back_from_danger(now))


def _only_waits(now: Situation, draft: Draft) -> bool:
    """Tell whether a draft only leaves the car as it is, or runs it again to see.

    Never after danger, nor where the pass says too little of what was turned, nor for want of time.
    """
    if now.danger:
        return False
    match draft.kind:
        case "measure":
            return True
        case "control":
            return not is_unjudged(now.state, now.run)
        case "leave":
            return draft.rule is not None or draft.title == UNSEEN_TWICE
    return False


def _is_waited(now: Situation, draft: Draft) -> bool:
    """Tell whether the book has the crew wait, for the first time on these settings.

    By a rule that leaves the car as it is, or because lane or air alone may have made it.
    """
    if draft.kind == "control":
        return draft.rule is None
    return draft.kind == "leave" and bool(draft.rule) and not _was_followed(now, str(draft.rule))


def _is_left(now: Situation, draft: Draft) -> bool:
    """Tell whether the book's word to wait stands: nobody said that the fault is more than little.

    What is little may be normal, or the lane; what is plain or bad is weighed.
    """
    more = now.run.answers.get(how_bad(now.symptom)) in (PLAINLY, BADLY)
    return _is_waited(now, draft) and not more


def _was_followed(now: Situation, rule: str) -> bool:
    """Tell whether a rule was followed already in this meeting on the settings of this pass."""
    before = (
        one.followed
        for one in now.state.runs_of_meeting
        if one.number < now.run.number and one.settings == now.run.settings
    )
    return any(one is not None and one.rule == rule for one in before)


def _goes_back_from_danger(now: Situation) -> bool:
    tried = next(latest_tried(now.state), None)
    if tried is None:
        return False
    brought = brought_danger(now.state, now.book, tried, now.run)
    return bool(brought) or verdict_of(now.state, now.book, tried).is_dangerous


def _weighted(
    now: Situation,
    decision: Decision,
    found: list[Way],
    book: Way | None,
    model: Model,
    passes: tuple[Seen, ...],
    cars: int,
) -> tuple[list[Weighted], Prospect, Outlook]:
    """Return the ways that are allowed, what turning nothing comes to, and the whole answer."""
    today = now.state.settings
    ran = dict(now.run.settings or today)
    # After a put-back the car stands otherwise than it ran.
    as_it_stands = () if ran == dict(today) else (dict(today),)
    goals = (*(way.settings(today) for way in found), *as_it_stands)
    answer = model.look_ahead(asked(now, goals, passes, cars))
    # A launch that was lost says nothing of how high the front goes when it is not.
    lost = not WITHOUT_THRUST.isdisjoint(named_symptoms(now.state, now.run))
    stand = None if lost else now.facts.get("stand")
    stood_high = PassFacts(now.facts).stood_high
    weighted = [
        Weighted(
            way,
            _as_timed(now, way, prospect),
            book=book is not None and _alike(way, book),
            named=naming(way, decision.alternatives) is not None,
            stood_high=stood_high,
        )
        for way, prospect in zip(found, answer.ways[: len(found)], strict=True)
    ]
    still = answer.ways[-1] if as_it_stands else answer.unchanged
    return [one for one in weighted if allowed(one, stand)], still, answer


def _as_timed(now: Situation, way: Way, prospect: Prospect) -> Prospect:
    """Return a way back from one change with what the times say of it in place of the launch's."""
    undone = way.draft.undoes if way.draft is not None and way.draft.kind == PUT_BACK else ()
    found = by_time(now, now.state.change(undone[0])) if len(undone) == 1 else None
    if found is None:
        return prospect
    return replace(prospect, slower=found.gain_s if found.setting == "new" else -found.gain_s)


def _by_lever(found: list[Way]) -> list[list[Way]]:
    """Return ways that turn the same lever the same way together, in the order they come."""
    groups: dict[tuple[tuple[str, ...], bool], list[Way]] = {}
    for one in found:
        groups.setdefault((tuple(lever.id for lever in one.levers), one.upward), []).append(one)
    return list(groups.values())


def _two_of(group: list[Way]) -> list[Way]:
    """Return the middle and the largest size of a lever's ways."""
    by_size = sorted(group, key=lambda one: one.steps)
    middle = by_size[(len(by_size) - 1) // 2]
    return [middle] if middle is by_size[-1] else [middle, by_size[-1]]


def _alike(one: Way, other: Way) -> bool:
    return one.levers == other.levers and one.upward == other.upward


def _expected(best: Weighted, answer: Outlook, passes: int) -> Expected:
    chances = best.prospect
    return Expected(
        standing="agrees",
        reason=gone_or_less(chances),
        goal=answer.goal,
        trade_step=trade_step(best.way.levers[0]),
        step=best.way.steps,
        helps=round(chances.better, 3),
        enough=round(stated(chances), 3),
        fits=0.0,
        passes=passes,
        effective=float(answer.cloud),
        effects=chances.effects,
        seed=answer.seed,
        cars=answer.cars,
        version=answer.version,
    )
