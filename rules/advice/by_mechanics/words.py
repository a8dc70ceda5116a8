"""What is said of a turn that the mechanics chose: the book's words where a rule names the lever.

Where none does, the words say what the launch of this car says, and that they are computed.
"""

from collections.abc import Sequence

from rules.advice.by_mechanics.choice import Weighted
from rules.advice.candidates import Candidate
from rules.advice.drafts import turn_draft
from rules.advice.situation import Situation
from rules.car import titles
from rules.car.adjusters import UPWARD
from rules.log.advice import Draft

COMPUTED = "computed for this car; not common practice"


def drafted(
    now: Situation,
    best: Weighted,
    runner_up: Weighted | None,
    book: Draft,
    considered: Sequence[Candidate],
) -> Draft:
    """Return the draft of the way that was chosen."""
    way = best.way
    said = way.draft or _by_a_rule(now, best, considered) or _computed(now, best, book)
    return said.model_copy(update={"lines": (*said.lines, *_lines(now, best, runner_up, book))})


def tenths(chance: float) -> str:
    """Say a chance as so many in ten."""
    if chance < 0.05:
        return "under 1 in 10"
    return "more than 9 in 10" if chance > 0.95 else f"{round(10 * chance)} in 10"


def risk(harm: float) -> str:
    """Say the risk of a clearly worse danger."""
    return "under 1 in 50" if harm < 0.02 else f"{max(1, round(50 * harm))} in 50"


def _by_a_rule(now: Situation, best: Weighted, considered: Sequence[Candidate]) -> Draft | None:
    """Return the book's own words where one of its rules turns this lever this way."""
    way = best.way
    moved = {one.id for one in way.levers}
    for one in considered:
        same = one.rule.do == "turn" and {lever.id for lever in one.levers} == moved
        if same and one.fits and (one.rule.direction in UPWARD) == way.upward:
            sized = Candidate(one.rule, way.turns, way.minutes, levers=way.levers)
            return turn_draft(now, sized)
    return None


def _computed(now: Situation, best: Weighted, book: Draft) -> Draft:
    way, prospect = best.way, best.prospect
    name = now.book.symptoms[now.symptom].name
    return Draft(
        kind="turn",
        title=titles.turn_title(way.turns, now.fitted),
        upward=way.upward,
        turns=way.turns,
        cause="The passes so far fit cars on which this lever treats it.",
        why=f"{name}: gone on {tenths(prospect.gone)} such cars, "
        f"clearly less on {tenths(prospect.better)}.",
        expect=f"A clearly worse danger on {risk(prospect.harm)} such cars.",
        look_for="The same fault, the height of the front tyres and the O-ring.",
        put_back_if="The fault is no less, or the stand or the landing is worse.",
        minutes=way.minutes,
        tools=next((one.tools for one in way.levers if one.tools), "none"),
        label=COMPUTED,
    )


def _lines(
    now: Situation, best: Weighted, runner_up: Weighted | None, book: Draft
) -> tuple[str, ...]:
    chances = best.prospect
    found = [
        f"Chance it is gone: {tenths(chances.gone)}; clearly less: {tenths(chances.better)}; "
        f"a worse danger: {risk(chances.harm)}."
    ]
    if runner_up is not None:
        title = titles.turn_title(runner_up.way.turns, now.fitted)
        found.append(f"Next best: {title}, gone on {tenths(runner_up.prospect.gone)}.")
    if book.turns and {turn.adjuster for turn in book.turns} != {one.id for one in best.way.levers}:
        found.append(f"The book alone would say: {book.title}.")
    elif not book.turns:
        found.append(f"The book alone has no turn left: {book.title}.")
    return tuple(found)
