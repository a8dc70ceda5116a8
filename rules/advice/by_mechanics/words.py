"""What is said of a turn that the mechanics chose: the book's words where a rule names the lever.

Where none does, the words say what the launch of this car says, and that they are computed.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rules.advice.by_mechanics.choice import Weighted, stated
from rules.advice.by_mechanics.ways import Way
from rules.advice.candidates import Candidate
from rules.advice.drafts import never_said, turn_draft
from rules.advice.situation import Situation
from rules.book.schema import RuleText
from rules.car import titles
from rules.car.adjusters import UPWARD, Turn
from rules.launch.forecast_words import gives_away
from rules.launch.outlook import Prospect
from rules.launch.proposed_change import Effect, Range
from rules.log.advice import Alternative, Draft
from rules.units import INCH_M

COMPUTED = "computed for this car; not common practice"
RISKY = 0.02
# From which share of the cars on a way's effect is clear.
CLEAR = 0.7
# What less and more of a number of the launch are to a crew.
DOES: Mapping[str, tuple[str, str]] = {
    "lift": ("the front goes up less", "the front goes up more"),
    "landing travel": ("it lands on less travel", "it lands on more travel"),
    "landing load": ("it lands with less of a blow", "it lands with more of a blow"),
    "bounce": ("it bounces less", "it bounces more"),
    "top-out force": (
        "the front tops out with less of a bang",
        "the front tops out with more of a bang",
    ),
    "front rise": ("the nose comes up slower", "the nose comes up sooner"),
    "nose at 3 s": ("the nose settles lower", "the nose stays up longer"),
    "rear droop used": ("the rear extends less", "the rear extends more"),
    "rear squat": ("the rear squats less", "the rear squats more"),
    "least rear load": ("the rear tyres lose more load", "the rear tyres keep more load"),
}
# What a lever leaves to be set again; common practice, no source.
SET_AGAIN = {
    "link position": "Set pinion angle and preload again; both sides alike.",
    "valving": "Trained service alone opens a damper; count its clicks again, both sides.",
    "preload": "Both collars alike; measure ride height and the corner weights again.",
}


def drafted(now: Situation, best: Weighted, book: Draft, considered: Sequence[Candidate]) -> Draft:
    """Return the draft of the way that was chosen."""
    way = best.way
    said = way.draft or _as_the_book(now, best, book)
    said = said or _by_a_rule(now, best, considered) or _computed(now, best)
    if best.prospect.harm < RISKY or said.label == COMPUTED:
        return said
    caution = f"A clearly worse danger on {risk(best.prospect.harm)} such cars."
    return said.model_copy(update={"cautions": (caution, *said.cautions)})


def others(
    now: Situation, best: Weighted, runner_up: Weighted | None, book: Draft
) -> tuple[Alternative, ...]:
    """Return what comes next by the same cars, and what the book alone would have done."""
    found = []
    if runner_up is not None:
        title = titles.turn_title(runner_up.way.turns, now.fitted)
        chance = tenths(stated(runner_up.prospect))
        found.append(Alternative(rule="", what=f"Next best: {title}", lost=f"gone on {chance}"))
    if _signs(book.turns) != _signs(best.way.turns):
        chance = tenths(stated(best.prospect))
        lost = f"on such cars the fault is gone by this turn on {chance}"
        found.append(Alternative(rule="", what=f"The book alone: {book.title}", lost=lost))
    return tuple(found)


def after_it(now: Situation, best: Weighted, asked: Sequence[Way]) -> Iterator[Alternative]:
    """Yield what the same cars would then ask for where the pass looks the same, or worse."""
    chances = best.prospect
    for word, place in (("the same", chances.if_same), ("worse", chances.if_worse)):
        way = asked[place] if 0 <= place < len(asked) else None
        what = f"If it looks {word} after this: {_then(now, best.way, way)}"
        yield Alternative(rule="", what=what, lost="comes after its pass")


def _then(now: Situation, first: Way, way: Way | None) -> str:
    """Say a way that is counted from before the first one, as the crew would make it then."""
    if way is None:
        return "put it back"
    if way.levers != first.levers or way.upward != first.upward:
        title = titles.turn_title(way.turns, now.fitted)
        return f"put it back, then {title[:1].lower()}{title[1:]}"
    if way.steps == first.steps:
        return "look again, it may have been the pass"
    return "further the same way" if way.steps > first.steps else "part of it back"


def _signs(turns: Iterable[Turn]) -> set[tuple[str, bool]]:
    return {(turn.adjuster, turn.after > turn.before) for turn in turns}


def tenths(chance: float) -> str:
    """Say a chance as so many in ten."""
    if chance < 0.05:
        return "under 1 in 10"
    return "more than 9 in 10" if chance >= 0.95 else f"{round(10 * chance)} in 10"


def gone_or_less(prospect: Prospect) -> str:
    """Say on how many cars the fault goes, and on how many it is less where those are more."""
    gone, better = stated(prospect), prospect.better
    more = better > gone and tenths(better) != tenths(gone)
    return f"gone on {tenths(gone)} such cars" + f", less on {tenths(better)}" * more


def risk(harm: float) -> str:
    """Say the risk of a clearly worse danger."""
    return "under 1 in 50" if harm < RISKY else f"{max(1, round(50 * harm))} in 50"


def no_fair_chance(now: Situation, best: Weighted) -> Alternative:
    """Return why nothing is turned by the launch: the most that any allowed turn would do."""
    title = titles.turn_title(best.way.turns, now.fitted)
    chance = tenths(stated(best.prospect))
    return Alternative(
        rule="",
        what=f"Best turn by the launch: {title}",
        lost=f"no fair chance: gone on {chance}",
    )


def if_the_tyre_holds(stand: Range) -> str:
    """Say how high the front may go once grip comes back."""
    low, middle, high = (
        (round(one / INCH_M), round(one * 100.0) * 10)
        for one in (stand.low, stand.middle, stand.high)
    )
    return (
        f"If the tyre holds: front about {{{middle[0]} in|{middle[1]} mm}}, "
        f"8 in 10 from {{{low[0]} to {high[0]}|{low[1]} to {high[1]}}}."
    )


def _as_the_book(now: Situation, best: Weighted, book: Draft) -> Draft | None:
    """Return the book's own draft with another size, where it turns this lever this way."""
    if book.kind != "turn" or _signs(book.turns) != _signs(best.way.turns):
        return None
    title = titles.turn_title(best.way.turns, now.fitted)
    return book.model_copy(update={"turns": best.way.turns, "title": title})


def _by_a_rule(now: Situation, best: Weighted, considered: Sequence[Candidate]) -> Draft | None:
    """Return the book's own words where one of its rules turns this lever this way."""
    way, rule = best.way, naming(best.way, considered)
    if rule is None:
        return None
    return turn_draft(now, Candidate(rule, way.turns, way.minutes, levers=way.levers))


def naming(way: Way, considered: Sequence[Candidate]) -> RuleText | None:
    """Return the book's rule that stands here and turns this lever this way; None for none."""
    # A valving comes with clicks of its own, which no rule names.
    moved = {one.id for one in way.levers if one.part == way.levers[0].part}
    for one in considered:
        same = one.rule.do == "turn" and {lever.id for lever in one.levers} == moved
        if same and not one.lost and (one.rule.direction in UPWARD) == way.upward:
            return one.rule
    return None


def what_it_does(effects: Sequence[Effect]) -> str:
    """Say the clearest of what a way does on the cars that fit the passes so far."""
    clear = [
        (max(one.less, one.more), DOES[one.name][one.more > one.less])
        for one in effects
        if one.name in DOES and max(one.less, one.more) >= CLEAR
    ]
    # The names stand in the order of the launch; the sort keeps it among those as clear.
    words = [said for _, said in sorted(clear, key=lambda one: -round(one[0], 1))[:3]]
    if not words:
        return "On some of the cars that fit the passes so far this lever treats it."
    *most, last = words
    said = f"{', '.join(most)} and {last}" if most else last
    return f"On the cars that fit the passes so far {said}."


def _computed(now: Situation, best: Weighted) -> Draft:
    way, prospect = best.way, best.prospect
    name = now.book.symptoms[now.symptom].name
    said = f"Risk of a clearly worse danger: {risk(prospect.harm)} such cars."
    again = (
        SET_AGAIN[part] for part in sorted({one.part for one in way.levers} & SET_AGAIN.keys())
    )
    cautions = (said, *filter(None, (never_said(now), *again)))
    return Draft(
        kind="turn",
        title=titles.turn_title(way.turns, now.fitted),
        upward=way.upward,
        turns=way.turns,
        cause=what_it_does(prospect.effects),
        why=f"{name}: {gone_or_less(prospect)}.",
        expect=f"The fault gone or less. {gives_away(prospect.slower)}".strip(),
        look_for="The same fault, the height of the front tyres and the O-ring.",
        put_back_if="The fault is no less, or the wheelie or the landing is worse.",
        cautions=cautions,
        minutes=way.minutes,
        tools=next((one.tools for one in way.levers if one.tools), "none"),
        label=COMPUTED,
    )
