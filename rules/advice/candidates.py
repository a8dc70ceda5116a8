"""Every rule of the treated symptom, sized on this car, with the reason why it is out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain, product
from typing import TypeAlias

from rules.advice.safety import gates
from rules.advice.safety.turn_gates import refused
from rules.advice.situation import Situation, reason_to_look, side
from rules.book.facts import Fact, leaves
from rules.book.schema import KnobLever, RuleText
from rules.car.adjusters import UPWARD, Adjuster, Turn, across, job_minutes
from rules.car.knob_strength import step_in_force
from rules.car.steps import cut, lets_front_rise, moved, trade_step
from rules.faults import there
from rules.launch.kept_force import with_kept_force
from rules.once import AsFound
from rules.replaced import replace

MISFIT = "does not fit what was seen"
AT_END = "already at the end of its range"
Considered: TypeAlias = "AsFound[Candidate] | Sequence[Candidate]"


@dataclass(frozen=True)
class Candidate:
    """A rule with its turns on this car. `lost` says why it is out; empty means it stands."""

    rule: RuleText
    turns: tuple[Turn, ...] = ()
    minutes: int = 0
    lost: str = ""
    at_end: bool = False
    refused: bool = False
    tried: bool = False
    levers: tuple[Adjuster, ...] = ()
    no_time: bool = False
    may_fire: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether what was seen is what the rule is for."""
        return self.lost != MISFIT


def candidates(now: Situation) -> AsFound[Candidate]:
    """Return every active rule of the treated symptom, in the order in which to try them.

    What is settled first stands around a danger: its lists before it, its "no turn" after it. A
    rule is sized when it is looked at: most often the first that stands is the last one wanted.
    """
    treated = now.book.rules_for(now.symptom)
    first = now.book.rules_for(now.settled_first) if now.settled_first else []
    looks = [rule for rule in first if rule.do in ("stop", "inspect")]
    rules = (*looks, *treated, *(rule for rule in first if rule not in looks))
    return AsFound(_consider(now, rule) for rule in rules)


def best_of(considered: Iterable[Candidate]) -> Candidate | None:
    """Return the first rule that stands."""
    return next((one for one in considered if not one.lost), None)


def _consider(now: Situation, rule: RuleText) -> Candidate:
    levers = find_lever(now.fitted, rule)
    facts = {**now.facts, **knob_facts(now.state.settings, levers, rule)}
    fits = rule.when.holds(facts)
    ways = [] if fits else _ways(now, rule, facts, now.unknown)
    lost = "" if fits or ways else MISFIT
    candidate = Candidate(rule, minutes=rule.minutes, levers=tuple(levers), lost=lost)
    if fits:
        return _do(now, candidate, levers)
    if not ways:
        return candidate
    # What nobody knows may be what a gate wants to know: each answer has its own word of the gates.
    known = (_do(replace(now, facts={**now.facts, **way}), candidate, levers) for way in ways)
    first = next(known)
    stands = (one for one in chain((first,), known) if not one.lost or one.no_time)
    candidate = next(stands, first)
    if candidate.lost and not candidate.no_time:
        return candidate
    may = tuple(ways[0])
    return replace(
        candidate,
        lost="it would need to be known: " + ", ".join(may),
        may_fire=may,
        no_time=False,
    )


def _do(now: Situation, candidate: Candidate, levers: list[Adjuster]) -> Candidate:
    """Say what a rule that fits comes to on this car, at this time."""
    rule = candidate.rule
    match rule.do:
        case "inspect" if was_inspected(now, rule):
            return replace(candidate, lost="looked at already, nothing found")
        case "control" if now.danger:
            return replace(candidate, lost="no pass to see after a symptom of danger")
        case "control" if now.run.control_skipped:
            return replace(candidate, lost="the control pass was passed over")
        case "turn":
            if not levers:
                return replace(candidate, lost="this car has no such lever in its file")
            if reason := now.record.exhausted(rule.id):
                return replace(candidate, lost=reason, tried=True)
            return size(now, candidate, levers, first_steps(now, levers, rule))
    return candidate


def size(
    now: Situation, candidate: Candidate, levers: list[Adjuster], steps: Mapping[str, int]
) -> Candidate:
    """Put turns to a candidate, cut to the room left, and hold it against the gates."""
    rule = candidate.rule
    upward = rule.direction in UPWARD
    turns = with_clicks(now, make_turns(levers, now.state.settings, upward, steps))
    made = [now.fitted[turn.adjuster] for turn in turns]
    minutes = job_minutes(made or levers)
    sized = partial(replace, candidate, turns=turns, minutes=minutes)
    if not turns:
        return sized(lost=AT_END, at_end=True)
    if lost := refused(now, turns):
        return sized(lost=lost, refused=True)
    lost = gates.hurried(made, minutes, now.minutes_left, now.state.clock_went_back)
    return sized(lost=lost, no_time=bool(lost))


def with_clicks(now: Situation, turns: tuple[Turn, ...]) -> tuple[Turn, ...]:
    """Return a valving's turn with the clicks that keep the force, where no gate forbids them."""
    car = now.state.car
    if car is None or not any(now.fitted[turn.adjuster].part == "valving" for turn in turns):
        return turns
    both = with_kept_force(car, now.state.settings, turns)
    return turns if refused(now, both) else both


def make_turns(
    levers: list[Adjuster],
    settings: Mapping[str, float],
    upward: bool,
    steps: Mapping[str, int],
    opens_further: bool = False,
) -> tuple[Turn, ...]:
    """Return the turns: both sides move by the same number, clamped at the nearer end.

    opens_further: see `cut`.
    """
    cuts = (cut(one, settings[one.id], upward, steps[one.id], opens_further) for one in levers)
    step = min(cuts, default=0)
    if step < 1:
        return ()
    return tuple(
        Turn(
            adjuster=one.id,
            before=settings[one.id],
            after=moved(one, settings[one.id], upward, step),
        )
        for one in levers
    )


def find_lever(fitted: Mapping[str, Adjuster], rule: RuleText) -> list[Adjuster]:
    """Return the adjusters a rule means on this car: the closest kind of knob, both sides."""
    lever = rule.lever
    if lever is None:
        return []
    if not isinstance(lever, KnobLever):
        return levers_of(fitted, lever.part, lever.axle)
    ranked: dict[int, list[Adjuster]] = {}
    for one in fitted.values():
        if (
            one.part == "knob"
            and one.axle == lever.axle
            and one.controls in (lever.controls, "both")
        ):
            rank = _speed_rank(lever, one)
            if rank is not None:
                ranked.setdefault(rank + (one.controls == "both"), []).append(one)
    best = ranked[min(ranked)] if ranked else []
    seen: dict[str, Adjuster] = {}
    for one in best:
        seen.setdefault(one.place, one)
    return list(seen.values())


def levers_of(fitted: Mapping[str, Adjuster], part: str, axle: str) -> list[Adjuster]:
    """Return the first lever of a kind, with its other side where left and right have one each."""
    found = [
        one
        for one in fitted.values()
        if one.part == part and (axle == "car" or one.axle in (axle, "car"))
    ]
    if not found:
        return []
    first = found[0]
    other = across(first.id)
    return [one for one in found if one is first or (one.id == other and one.step == first.step)]


def _speed_rank(lever: KnobLever, one: Adjuster) -> int | None:
    if lever.speed == "any":
        return {"all": 0, "unknown": 0, "low": 2, "high": 4}[one.speed]
    if one.speed == lever.speed:
        return 0
    if one.speed in ("all", "unknown") and lever.all_speeds == "accept":
        return 2
    return None


def knob_facts(
    settings: Mapping[str, float], levers: list[Adjuster], rule: RuleText
) -> dict[str, Fact]:
    """Return where the rule's own knob stands and how much room it has that way."""
    if not levers:
        return {}
    upward = rule.direction in UPWARD
    facts: dict[str, Fact] = {
        "knob room": min(one.room(settings[one.id], upward) for one in levers)
    }
    firmness = [f for one in levers if (f := one.firmness(settings[one.id])) is not None]
    if firmness:
        facts["knob side"] = side(sum(firmness) / len(firmness))
    return facts


def was_inspected(now: Situation, rule: RuleText) -> bool:
    """Tell whether a rule's list was ticked clean since the last reason to."""
    inspection = there(rule.inspection, f"the list of {rule.id}")
    return gates.is_clear(now.state, now.book, inspection, inspection_reason(now, inspection))


def inspection_reason(now: Situation, inspection: str) -> str:
    """Return what the ticks of a list belong to: this pass, or the whole meeting."""
    return reason_to_look(now.run, now.book, inspection)


def why_not_asked(now: Situation, candidate: Candidate) -> str:
    """Return what rules out a rule that fits under no answer given, whatever nobody was asked.

    Nothing where one of those answers would let it stand, or where none would make it fit.
    """
    rule, levers = candidate.rule, list(candidate.levers)
    facts = {**now.facts, **knob_facts(now.state.settings, levers, rule)}
    not_asked = [ask.prompt for ask in now.asks if ask.prompt not in now.run.answers]
    ways = _ways(now, rule, facts, not_asked) if not candidate.fits else []
    known = [_do(replace(now, facts={**now.facts, **way}), candidate, levers).lost for way in ways]
    return known[0] if known and all(known) and MISFIT not in known else ""


def _ways(
    now: Situation, rule: RuleText, facts: Mapping[str, Fact], prompts: list[str]
) -> list[dict[str, Fact]]:
    """Return the answers to these questions with which a rule that is out would fit."""
    if not prompts:
        return []
    named = {leaf.fact for leaf in leaves(rule.when)}
    open_prompts = [p for p in prompts if p in named]
    words = [[choice.id for choice in now.book.prompts[p].choices] for p in open_prompts]
    answers = [dict[str, Fact](zip(open_prompts, said, strict=True)) for said in product(*words)]
    return [way for way in answers if way and rule.when.holds({**facts, **way})]


def first_steps(now: Situation, levers: list[Adjuster], rule: RuleText) -> dict[str, int]:
    """Return the rule's first step of each lever: in force where its curve is known."""
    upward, car = rule.direction in UPWARD, now.state.car
    known = {
        one.id: step_in_force(car, now.state.settings, one, upward=upward) if car else None
        for one in levers
    }
    if now.danger:  # After a danger no step is smaller than the trade's.
        known = {
            one.id: step and max(step, trade_step(one))
            for one, step in zip(levers, known.values(), strict=True)
        }
    return {one.id: first_step(one, rule, known[one.id]) for one in levers}


def first_step(one: Adjuster, rule: RuleText, in_force: int | None = None) -> int:
    """Return the rule's first step: halved where practice is divided or the front would rise.

    in_force: the step by the lever's own curve, in place of the trade's for a knob of which
    nothing is known.
    """
    step = trade_step(one) if in_force is None else in_force
    if rule.first_step == "one":
        return step if one.part == "tyre pressure" else 1
    rises = lets_front_rise(one, rule.direction in UPWARD)
    if rule.first_step == "half" or rule.crews_differ or rises:
        # What lets the front rise goes no further than half the trade's step, whatever its curve.
        step = max(1, (min(step, trade_step(one)) if rises else step) // 2)
    return step
