"""The trade's turn, weighed by the launch model: never a larger step, perhaps a smaller one."""

from rules.advice.earlier_passes import passes_that_speak, ring_was_braked
from rules.advice.situation import Situation
from rules.car import titles
from rules.car.adjusters import Turn
from rules.car.steps import moved
from rules.launch.outlook import Model
from rules.launch.proposed_change import Expected, ProposedChange, missing
from rules.log.advice import Draft


def sized_draft(now: Situation, draft: Draft, model: Model | None) -> tuple[Draft, Expected | None]:
    """Return a draft and what the model expects of it; only turns of a rule are weighed.

    A ladder on a car of which too little is known says what to measure first.
    """
    car = now.state.car
    if model is not None and draft.kind == "ladder" and car is not None and missing(car):
        return draft, model(_question(now, draft, upward=True))
    if model is None or draft.kind != "turn" or draft.upward is None or not draft.turns:
        return draft, None
    question = _question(now, draft, draft.upward)
    trade = len(question.steps)
    try:
        expected = model(question)
    except ValueError:
        # A car file can be right in every field and still be no car to the model.
        expected = Expected(
            standing="unsure",
            reason="it cannot make a car of these numbers",
            trade_step=trade,
            step=trade,
        )
    if expected.step >= trade:
        return draft, expected
    turns = tuple(
        Turn(
            adjuster=turn.adjuster,
            before=turn.before,
            after=question.steps[expected.step - 1][turn.adjuster],
        )
        for turn in draft.turns
    )
    title = titles.turn_title(turns, now.fitted)
    return draft.model_copy(update={"turns": turns, "title": title}), expected


def _question(now: Situation, draft: Draft, upward: bool) -> ProposedChange:
    """Ask about every step of the same way; a valving and its clicks are tried as a whole."""
    lever = now.fitted[draft.turns[0].adjuster] if draft.turns else None
    if lever is not None and lever.part == "valving":
        made = {turn.adjuster: turn.after for turn in draft.turns}
        return _asked(now, draft, upward, (dict(now.state.settings) | made,))
    trade = 0
    for first in draft.turns[:1]:
        trade = max(1, round(abs(first.after - first.before) / now.fitted[first.adjuster].step))
    steps = []
    for size in range(1, trade + 1):
        settings = dict(now.state.settings)
        for turn in draft.turns:
            one = now.fitted[turn.adjuster]
            settings[turn.adjuster] = moved(one, turn.before, upward, size)
        steps.append(settings)
    return _asked(now, draft, upward, tuple(steps))


def _asked(
    now: Situation, draft: Draft, upward: bool, steps: tuple[dict[str, float], ...]
) -> ProposedChange:
    return ProposedChange(
        car=now.state.described_car,
        settings=dict(now.state.settings),
        steps=steps,
        symptom=now.symptom,
        upward=upward,
        levers=tuple(turn.adjuster for turn in draft.turns),
        facts=now.facts,
        measured={what: (one.value, one.give) for what, one in now.run.measured.items()},
        danger=now.danger,
        earlier=passes_that_speak(now.state, before=now.run.number),
        braked=ring_was_braked(now.run),
    )
