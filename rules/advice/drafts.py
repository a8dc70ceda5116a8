"""A turn of a rule as advice, sized on this car."""

from rules.advice import texts
from rules.advice.candidates import Candidate
from rules.advice.situation import Situation, looked_at
from rules.car import titles
from rules.car.adjusters import UPWARD
from rules.log.advice import Draft
from rules.log.way_back import just_undone


def never_said(now: Situation) -> str:
    """Say what is never done for this symptom; a list that was ticked is done."""
    symptom = now.book.symptoms[now.symptom]
    lists = {symptom.inspection, *(r.inspection for r in now.book.rules_for(now.symptom))}
    ticked = lists & looked_at(now.state, now.run, now.book)
    never = (ticked and symptom.never_ticked) or symptom.never
    return f"Never: {never[0].lower()}{never[1:]}" if never else ""


def turn_draft(now: Situation, candidate: Candidate) -> Draft:
    """Draft the turn of a rule, sized on this car."""
    rule = candidate.rule
    upward = rule.direction in UPWARD
    levers = [now.fitted[turn.adjuster] for turn in candidate.turns]
    cautions = [rule.caution]
    if any(one.part == "knob" and one.controls == "both" for one in levers):
        cautions.append("This knob moves compression and rebound together: expect both.")
    elif texts.moves_all_speeds(rule, levers):
        cautions.append("This knob moves all speeds, mostly low: expect less at landing speed.")
    kept = len(levers) > 1 and levers[0].part == "valving"
    if kept:
        cautions.append("These clicks keep the force at low speed alone: the rest changes.")
    if just_undone(now.state, candidate.turns):
        cautions.append("The same turn was just put back.")
    if never := never_said(now):
        cautions.append(never)
    return Draft(
        kind="turn",
        title=titles.turn_title(candidate.turns, now.fitted)
        + (titles.KEEPS.format("low-speed") if kept else ""),
        rule=rule.id,
        upward=upward,
        turns=candidate.turns,
        cause=rule.cause,
        why=rule.why,
        expect=rule.expect,
        look_for=rule.look_for,
        put_back_if=rule.put_back_if,
        minutes=candidate.minutes,
        tools=next((one.tools for one in levers if one.tools), rule.tools),
        cautions=tuple(cautions),
        label=rule.basis + (" - crews differ" if rule.crews_differ else ""),
    )
