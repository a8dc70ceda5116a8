"""Every advice stands whole on an 80 by 24 screen, in either wording."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from textwrap import wrap
from typing import get_args
from unittest.mock import patch

import pytest
from drive import BOOK, at_the_screen, make_desk
from fitting import longest_order_reason, show, whole

from rules.advice.advise import finish
from rules.advice.after_verdict import half_back, put_back
from rules.advice.by_mechanics.words import if_the_tyre_holds
from rules.advice.candidates import candidates
from rules.advice.choosing import find_out, no_time, say_draft
from rules.advice.drafts import turn_draft
from rules.advice.ladders import ladder
from rules.advice.says_too_little import put_right_draft
from rules.advice.situation import situation
from rules.book import Book
from rules.book.schema import Example, KnobLever, RuleText
from rules.car.adjusters import starts
from rules.car.model import Car
from rules.crew import prompts
from rules.crew.examples import consult_example
from rules.launch.forecast import HELD
from rules.launch.forecast_words import LONGEST, expected_text
from rules.launch.goals import MEASURES
from rules.launch.outlook import SPIN
from rules.launch.proposed_change import Effect, Expected, Range, Standing
from rules.log.advice import Advice, AdviceKind
from rules.log.changes import Change, Step
from rules.log.said import CONFOUNDERS
from rules.log.state import State
from rules.question import Prompt
from rules.units import System
from tests.support.sample import SOME_OR_EVERY
from tui.fitted import REST
from tui.keys import footer
from tui.lines import WIDTH, advice_lines, prompt_rows, spoken, spoken_prompt
from tui.screens.pit import FRAME_ROWS

ROWS = 24 - FRAME_ROWS
BOTH = "This knob moves compression and rebound together: expect both."
NO_TIME = "needs 308 min on stands, 112 left: a lifted car is never hurried"
ALL_SPEEDS = "This knob moves all speeds, mostly low: expect less at landing speed."


@dataclass(frozen=True)
class Case:
    """One advice as one crew sees it."""

    name: str
    state: State
    advice: Advice
    prompt: Prompt

    @cached_property
    def rows(self) -> int:
        """The rows it takes at 80 columns, once it is laid out."""
        title = wrap(spoken(self.state, self.advice.title), WIDTH - 2)
        asked = prompt_rows(spoken_prompt(self.state, self.prompt))
        room = ROWS - len(title) - asked
        return len(title) + len(advice_lines(self.state, self.advice, WIDTH, room)) + asked


def split(car: Car) -> Car:
    """Return the car with every right knob one click off its left one, on purpose."""
    plain = car.model_dump(by_alias=True)
    for damper in plain["dampers"]:
        for knob in damper["knobs"]:
            if damper["corner"].startswith("right"):
                off = -1 if knob["start"] else 1
                knob["offset"], knob["start"] = off, knob["start"] + off
    return Car.model_validate(plain)


def with_car(state: State, car: Car) -> State:
    """Return the state on another car that stands at its file's counts."""
    assert state.baseline is not None
    baseline = replace(state.baseline, settings=starts(car))
    return replace(state, car=car, settings=starts(car), baselines=(baseline,))


def added_cautions(rule: RuleText) -> list[str]:
    """Return what a knob of another kind than the rule's adds to its caution."""
    if not isinstance(rule.lever, KnobLever):
        return [""]
    return [BOTH, ALL_SPEEDS] if rule.lever.speed == "high" else [BOTH]


def with_caution(advice: Advice, caution: str) -> Advice:
    if advice.kind != "turn" or BOTH in advice.cautions or ALL_SPEEDS in advice.cautions:
        return advice
    first, *rest = advice.cautions
    cautions = (first, caution, *rest) if caution else (first, *rest)
    return advice.model_copy(update={"cautions": cautions})


def drafts(book: Book, rule: RuleText, example: Example, state: State) -> Iterator[Advice]:
    """Yield everything the book can say where one of its examples ends."""
    run = state.runs[-1]
    now = situation(state, run, book)
    considered = candidates(now)
    own = next(c for c in considered if c.rule.id == rule.id)
    if rule.do != "turn":
        yield finish(now, say_draft(own), considered)
    elif own.turns:
        yield finish(now, turn_draft(now, own), considered)
        yield finish(
            now,
            no_time(
                replace(own, lost="needs 83 min on stands, 12 left: a lifted car is never hurried"),
                danger=now.danger,
            ),
            considered,
        )
        made = Change(
            "c",
            "advice",
            "t",
            tuple(Step(turn, "done") for turn in own.turns),
            "m",
            status="judged",
            rule=rule.id,
            symptom=rule.symptom,
            verdict="other",
        )
        moved = {turn.adjuster: turn.after for turn in own.turns}
        later = replace(now, state=replace(state, settings={**state.settings, **moved}))
        for draft in (
            half_back(later, made),
            put_back(later, [made], "It got worse with this change on."),
        ):
            if draft is not None:
                yield finish(later, draft, considered)
    yield finish(now, ladder(now, considered), considered)
    for changed in (tuple(CONFOUNDERS)[1:5], tuple(CONFOUNDERS)[1:7]):
        yield finish(now, put_right_draft(changed), considered)
    asked = [book.prompts[ask.prompt] for ask in book.symptoms[rule.symptom].asks[-3:]]
    if asked:
        yield finish(now, find_out(own, asked), considered)


@lru_cache(maxsize=2)
def cases(every: bool) -> tuple[Case, ...]:
    """Return what every rule can say, each of its examples on four cars.

    Or what one rule in two and every one of a new kind can, its first example on two cars.
    """
    found = []
    for at, rule in enumerate(BOOK.rules.values()):
        if not every and at % 2 and rule.do == "turn":
            continue
        reason = longest_order_reason(rule.symptom)
        for number, example in enumerate(rule.fires if every else rule.fires[:1], 1):
            played, _ = consult_example(BOOK, rule, example)
            assert played.car is not None
            for units in ("us", "metric"):
                for car in (played.car, split(played.car)):
                    if not every and (units == "us") != (car is played.car):
                        continue
                    state = with_car(played, car.model_copy(update={"units": units}))
                    said = list(drafts(BOOK, rule, example, state))
                    if car is played.car and played.runs[-1].advice is not None:
                        said.append(played.runs[-1].advice)
                    for plain in said:
                        for caution in added_cautions(rule) if plain.turns else [""]:
                            full = with_caution(plain, caution).model_copy(
                                update={"order_reason": reason}
                            )
                            prompt = prompts.advice(full, state.runs[-1], False, None, True)
                            name = f"{rule.id}, example {number}, {full.kind}, {units}"
                            found.append(Case(name, state, full, prompt))
    return tuple(found)


@SOME_OR_EVERY
def test_every_advice_fits(one_in: int) -> None:
    over = {case.name: case.rows for case in cases(one_in == 1) if case.rows > ROWS}
    assert over == {}


def test_every_kind_of_advice_was_tried() -> None:
    kinds = {case.advice.kind for case in cases(False)}
    assert kinds == set(get_args(AdviceKind))


def said(case: Case) -> list[str]:
    """Return every text of an advice that has to stand on the screen."""
    given = case.advice
    texts_said = [given.cause, given.why, given.expect, *given.cautions, given.order_reason]
    if given.kind != "measure":
        texts_said.append(given.look_for)
    if given.turns:
        texts_said.append(given.put_back_if)
    return [
        *(spoken(case.state, one) for one in texts_said),
        spoken(case.state, given.title).upper(),
        *(choice.label for choice in case.prompt.choices),
        "Rulebook, makers and qualified people come before this advice.",
        footer(),
    ]


@pytest.mark.parametrize("shown", [6, pytest.param(60, marks=pytest.mark.sweep)])
async def test_the_longest_of_them_stand_whole_on_the_real_screen(shown: int) -> None:
    longest: dict[str, Case] = {}
    for case in sorted(cases(shown == 60), key=lambda case: case.rows):
        longest[f"{case.advice.rule} {case.advice.kind}"] = case
    picked = sorted(longest.values(), key=lambda case: -case.rows)[:shown]
    async with at_the_screen(make_desk()) as rig:
        for case in picked:
            await show(rig, case.state, case.prompt)
            assert whole(rig.text, said(case)) == [], f"{case.name}\n{rig.text}"


@pytest.mark.parametrize(
    ("width", "rows", "every"),
    [
        (60, 20, False),
        *(pytest.param(*size, True, marks=pytest.mark.sweep) for size in ((60, 24), (70, 22))),
    ],
)
async def test_in_a_narrow_window_the_choices_stay_and_the_rest_is_a_key_away(
    width: int, rows: int, every: bool
) -> None:
    worst = max(cases(every), key=lambda case: len(advice_lines(case.state, case.advice, width)))
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        await show(rig, worst.state, worst.prompt)
        assert whole(rig.text, [choice.label for choice in worst.prompt.choices]) == []
        assert REST in rig.text


@SOME_OR_EVERY
def test_every_turn_fits_with_the_longest_word_of_the_model(one_in: int) -> None:
    said = ("Least rear load 10.8 to 12.7 kN. " * 10)[: LONGEST - 1] + "."
    over = {}
    for case in cases(one_in == 1):
        if case.advice.kind != "turn":
            continue
        expected = Expected(standing="unsure", reason="x", trade_step=1, step=1)
        weighed = case.advice.model_copy(update={"expected": expected})
        if weighed.symptom in SPIN:
            highest = if_the_tyre_holds(Range(low=1.0, middle=1.2, high=1.2))
            weighed = weighed.model_copy(update={"cautions": (*weighed.cautions, highest)})
        with patch("tui.lines.expected_text", lambda *_: said):
            rows = replace(case, advice=weighed).rows
        if rows > ROWS:
            over[case.name] = rows
    assert over == {}


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("standing", get_args(Standing))
def test_the_model_never_says_more_than_its_longest(standing: Standing, system: System) -> None:
    reasons = {
        "agrees": [
            "a smaller step than the trade's is likely enough, with a margin",
            "the full step, for safety; it may not be enough",
        ],
        "unsure": ["it hangs on numbers that are not known"],
        "small effect": [HELD.format(2.0, 50.0)],
    }
    widest = {"length": (0.26, 0.99), "distance": (30.5, 99.0), "force": (10.5e3, 49.4e3)}
    effects = []
    for name, measure in MEASURES.items():
        low, high = widest.get(measure, (1.23, 1.99))
        before, after = (Range(low=low * n, middle=high, high=high * n) for n in (1.0, 0.95))
        effects.append(
            Effect(name=name, measure=measure, before=before, after=after, less=1, more=0)
        )
    for goal in set(MEASURES) - {"travel left"}:
        for reason in reasons.get(standing, ["this symptom is not in the model"]):
            expected = Expected(
                standing=standing, reason=reason, goal=goal, trade_step=4, step=2,
                effects=tuple(effects), measure_first=("geometry.instant_centre_height",) * 4,
            )  # fmt: skip
            assert len(expected_text(expected, system)) <= LONGEST
