"""The way on where nobody can tell: a turn that is right under every answer, or the car stays.

Less launch is less lift, and a fall from less height is softer whatever the front did. Common
practice, no source; the reference launches agree: 3 % less force, a fifth less lift.
"""

from rules.advice.asking.imagined_pass import all_known
from rules.advice.candidates import Candidate, best_of, candidates, find_lever, first_steps, size
from rules.advice.safety.pass_facts import BIG_STAND_SYMPTOMS
from rules.advice.situation import Situation
from rules.book.schema import PromptText, RuleText
from rules.car.adjusters import Turn
from rules.log.advice import Draft

GENTLER = "Less launch is less lift: it comes down from less height, whatever the answer is."
EITHER_WAY = "Every answer that there is leads to this turn."


def sure_turn(now: Situation) -> Candidate | None:
    """Return the turn that is right whatever the unknown answers are, or None."""
    return _gentler_launch(now) or _in_every_answer(now)


def why_sure(candidate: Candidate, symptom: str) -> str:
    """Say why the turn needs no answer."""
    less = candidate.rule.lever is not None and candidate.rule.lever.part == "launch rpm"
    return GENTLER if less and symptom in BIG_STAND_SYMPTOMS else EITHER_WAY


def _gentler_launch(now: Situation) -> Candidate | None:
    """Return less launch for a front that rises or lands hard, where the car has room for it."""
    if now.symptom not in BIG_STAND_SYMPTOMS:
        return None
    for rule in now.book.rules_for(now.symptom):
        if rule.lever is None or (rule.lever.part, rule.direction) != ("launch rpm", "less"):
            continue
        found = _sized(now, rule)
        if found is not None:
            return found
    return None


def _sized(now: Situation, rule: RuleText) -> Candidate | None:
    levers = find_lever(now.fitted, rule)
    if not levers or now.record.exhausted(rule.id):
        return None
    steps = first_steps(now, levers, rule)
    found = size(now, Candidate(rule), levers, steps)
    return None if found.lost else found


def _in_every_answer(now: Situation) -> Candidate | None:
    """Return the first turn that stands under every answer, by whichever rule."""
    standing: list[dict[tuple[Turn, ...], Candidate]] = []
    for known in all_known(now):
        considered = candidates(known)
        first = best_of(considered)
        if first is None or first.rule.do != "turn":
            return None
        turns = (one for one in considered if not one.lost and one.rule.do == "turn")
        standing.append({one.turns: one for one in turns})
    common = (turns for turns in standing[0] if all(turns in one for one in standing))
    return next((standing[0][turns] for turns in common), None)


def stays(prompts: list[PromptText]) -> Draft:
    """Say that the car stays, why, and what ends it."""
    asked = prompts[0]
    measures = [f"Once it may run again: {one.measure}" for one in prompts if not one.standing]
    return Draft(
        kind="stop",
        title="The car stays: nobody knows, and no turn is right either way",
        cause="Not known: " + asked.question,
        why="After a danger no pass is made to see, and a turn on a guess can make it worse.",
        expect="One who saw it, a film, or marks on the car end this: then answer it.",
        look_for=asked.today or asked.measure,
        lines=tuple(
            dict.fromkeys(filter(None, (*(one.today or one.measure for one in prompts), *measures)))
        ),
        cautions=("A qualified chassis or damper shop can end it as well.",),
    )
