"""Past the knobs: the steps of a ladder that no gate refuses, and why it came to this."""

from rules.advice.candidates import Considered
from rules.advice.safety import gates
from rules.advice.safety.awake_dangers import remembered
from rules.advice.safety.rung_gate import rung_refused
from rules.advice.situation import Situation
from rules.book.schema import Rung
from rules.car.adjusters import UPWARD, Adjuster
from rules.log.advice import Draft
from rules.shop.stock import in_trailer
from rules.wording import capital

NOTHING_LEFT = "What the car file has for this was tried; the rest is not in it."
NOT_KNOWN = "What would treat it hangs on what nobody knows."
NOTHING_FITS = "Nothing that was seen names a lever."
ALL_TRIED = "All that treats this was tried at this event."
NO_LEVER = "Nothing in the car file can treat this."


def ladder(now: Situation, considered: Considered) -> Draft:
    """Return the ladder of the treated symptom as far as it points the right way here."""
    symptom = now.book.symptoms[now.symptom]
    rungs = [rung for rung in symptom.ladder if _stands(now, rung)]
    return Draft(
        kind="ladder",
        title=_title(considered),
        cause=why(considered),
        why="Past the knobs come the bigger levers, one at a time, in this order.",
        expect="One step of one of these is one change, with its own pass and verdict.",
        look_for=_look_for(rungs),
        put_back_if="The fault is no better after it.",
        lines=tuple(_in_trailer(now, symptom.name, rung.text) for rung in rungs)
        or ("Ask the damper's maker or a qualified chassis shop.",),
        cautions=(
            "Bigger levers need time, stands and a re-check of toe and clearance.",
            *_no_more_lift(now),
            *dict.fromkeys(f"Ruled out: {one.lost}." for one in considered if one.refused),
        )[:2],
    )


def _look_for(rungs: list[Rung]) -> str:
    """Say what to look for; where a valving is a rung, which key walks it."""
    valving = any("valv" in rung.text.lower() for rung in rungs)
    walked = " A valving is walked with j." if valving else ""
    return f"What the fault does after each step.{walked}"


def _no_more_lift(now: Situation) -> tuple[str, ...]:
    """Warn beside what is said in words alone, where no gate can look at a turn."""
    danger = remembered(now.state)
    return () if danger is None else (f"None that lets the front rise more: {danger.where}.",)


def _title(considered: Considered) -> str:
    if any(one.at_end and one.levers[0].part == "knob" for one in considered):
        return "Out of clicks: on to bigger levers"
    refused = any(one.refused and one.lost != gates.NO_MINIMUM for one in considered)
    what = "What treats it is ruled out" if refused else "No knob treats this"
    return f"{what}: on to bigger levers"


def why(considered: Considered) -> str:
    """Say why no turn is left: by its lever's end, its gate or its trial, whichever is true."""
    ended = next((one for one in considered if one.at_end), None)
    if ended is not None:
        return _at_its_end(ended.levers, ended.rule.direction in UPWARD)
    refused = next((one for one in considered if one.refused), None)
    if refused is not None:
        if refused.lost == gates.NO_MINIMUM:
            return "The tyre maker's minimum is not in the car file: add makers_minimum."
        return f"What would treat it is ruled out: {refused.lost}."
    turns = [one for one in considered if one.fits and one.rule.do == "turn"]
    if any(one.may_fire for one in considered):
        return NOT_KNOWN
    if not turns:
        return NOTHING_FITS
    if all(one.tried for one in turns):
        return ALL_TRIED
    return NOTHING_LEFT if any(one.tried for one in turns) else NO_LEVER


def _at_its_end(levers: tuple[Adjuster, ...], upward: bool) -> str:
    first = levers[0]
    if first.part == "knob":
        return "The knob that treats this stands at the end of its range."
    at_minimum = first.part == "tyre pressure" and not upward and first.makers_minimum is not None
    where = "the tyre maker's minimum" if at_minimum else "the end of its range"
    return f"{capital(first.label)} stands at {where}."


def _stands(now: Situation, rung: Rung) -> bool:
    """Tell whether a rung fits what was seen, no gate refuses it and its lever has room."""
    if not rung.when.holds(now.facts):
        return False
    if rung.part is None and "tyre pressure" in rung.text.lower() and not _pressure_is_known(now):
        return False
    return not rung_refused(now, rung)


def _pressure_is_known(now: Situation) -> bool:
    pressures = [one for one in now.fitted.values() if one.part == "tyre pressure"]
    return all(one.makers_minimum is not None for one in pressures)


def _in_trailer(now: Situation, about: str, rung: str) -> str:
    car = now.state.car
    return in_trailer(car, now.state.settings, rung, about) if car and car.stock else rung
