"""Every advice stands whole on an 80 by 24 screen, in either wording."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import get_args

import pytest
from drive import BOOK, at_the_screen, make_desk
from fitting import Shown, longest_order_reason, show, whole
from textual.geometry import Size

from rules.advice.advise import finish
from rules.advice.after_verdict import half_back, put_back
from rules.advice.by_mechanics.words import if_the_tyre_holds
from rules.advice.candidates import candidates
from rules.advice.choosing import find_out, no_time, say_draft
from rules.advice.drafts import turn_draft
from rules.advice.ladders import ladder
from rules.advice.safety.gates import ALWAYS_WITH_ADVICE
from rules.advice.says_too_little import put_right_draft
from rules.advice.situation import situation
from rules.book import Book
from rules.book.schema import Example, KnobLever, RuleText
from rules.car.adjusters import starts
from rules.car.model import Car
from rules.crew import prompts
from rules.crew.examples import consult_example
from rules.launch.forecast import HELD
from rules.launch.forecast_words import LONGEST, expected_text, given_away, gives_away
from rules.launch.goals import MEASURES
from rules.launch.judged import SPIN
from rules.launch.proposed_change import Effect, Expected, Range, Standing
from rules.log.advice import Advice, AdviceKind
from rules.log.changes import Change, Step
from rules.log.said import CONFOUNDERS
from rules.log.state import State
from rules.question import Prompt
from rules.units import System
from tests.support.sample import SOME_OR_EVERY
from tui.arranged import asked_rows
from tui.drawn.short_advice import MOST_LINES, first_sentence
from tui.laid import REST, Laid, laid
from tui.lines import advice_lines, spoken, spoken_prompt

SIZE = Size(80, 24)
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
    def laid(self) -> Laid:
        """How it stands on a screen of the usual size."""
        desk = Shown(self.state, self.prompt)
        return laid(desk, spoken_prompt(self.state, self.prompt), SIZE)  # type: ignore[arg-type]

    @property
    def rows(self) -> int:
        """The rows that are left over; less than none is too many."""
        now = self.laid
        taken = sum(len(one.plain.split("\n")) for one in (now.plate, now.body) if one)
        return now.way.room - taken - asked_rows(now.way)

    @property
    def labelled(self) -> list[str]:
        """The lines of text between the plate and the choices."""
        body = self.laid.body
        return [row for row in body.plain.split("\n") if row.strip()] if body else []


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

    Or what one rule in four and every one that turns nothing can, its first example on two cars.
    """
    found = []
    for at, rule in enumerate(BOOK.rules.values()):
        if not every and at % 4 and rule.do == "turn":
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
                            cost = f" {gives_away(0.09)}" if plain.turns else ""
                            full = with_caution(plain, caution).model_copy(
                                update={"order_reason": reason, "expect": plain.expect + cost}
                            )
                            prompt = prompts.advice(full, state.runs[-1], False, None, True)
                            name = f"{rule.id}, example {number}, {full.kind}, {units}"
                            found.append(Case(name, state, full, prompt))
    return tuple(found)


@pytest.mark.long
@SOME_OR_EVERY
def test_every_advice_fits(one_in: int) -> None:
    over = {case.name: case.rows for case in cases(one_in == 1) if case.rows < 0}
    assert over == {}


@SOME_OR_EVERY
def test_every_advice_is_told_in_nine_lines_at_most(one_in: int) -> None:
    long = {case.name: n for case in cases(one_in == 1) if (n := len(case.labelled)) > MOST_LINES}
    assert long == {}


@SOME_OR_EVERY
def test_a_turn_says_why_what_comes_of_it_what_to_look_at_and_when_to_undo_it(one_in: int) -> None:
    lacking = {}
    for case in cases(one_in == 1):
        if case.advice.kind in ("turn", "half back"):
            labels = {row.split(" ")[0] for row in case.labelled}
            if missing := {"Why", "Then", "Look", "Undo"} - labels:
                lacking[case.name] = missing
    assert lacking == {}


@SOME_OR_EVERY
def test_what_a_turn_gives_away_stands_on_the_plate(one_in: int) -> None:
    """A crew need not go to `w` for the time that a turn costs."""
    lacking = [
        case.name
        for case in cases(one_in == 1)
        if case.advice.turns
        and whole(case.laid.plate.plain if case.laid.plate else "", ["costs 0.09 s at 60 ft"])
    ]
    assert lacking == []
    assert given_away("The fault gone or less.") == gives_away(0.004) == ""


@SOME_OR_EVERY
def test_no_word_of_safety_is_cut(one_in: int) -> None:
    """Every caution stands whole, and what is said with every advice, outside the nine lines."""
    lacking = {}
    for case in cases(one_in == 1):
        stands = " ".join([*case.labelled, case.laid.safety]).split()
        said = [spoken(case.state, one) for one in case.advice.cautions]
        missing = whole(" ".join(stands), [ALWAYS_WITH_ADVICE, *said])
        if missing and whole(" ".join(stands), [" ".join(missing)]):
            lacking[case.name] = missing
    assert lacking == {}


@SOME_OR_EVERY
def test_all_of_an_advice_is_a_key_away(one_in: int) -> None:
    lacking = {}
    for case in cases(one_in == 1):
        given = case.advice
        texts = [given.cause, given.why, given.expect, given.order_reason, *given.cautions]
        texts += [given.look_for] if given.kind != "measure" else []
        texts += [given.put_back_if] if given.turns else []
        rows = " ".join(advice_lines(case.state, given))
        if missing := whole(rows, [spoken(case.state, one) for one in texts]):
            lacking[case.name] = missing
    assert lacking == {}


def test_every_kind_of_advice_was_tried() -> None:
    kinds = {case.advice.kind for case in cases(False)}
    assert kinds == set(get_args(AdviceKind))


def said(case: Case) -> list[str]:
    """Return every text of an advice that has to stand on the screen."""
    given = case.advice
    return [
        *(spoken(case.state, one) for one in given.cautions),
        first_sentence(case.state, given.put_back_if) if given.turns else "",
        *(choice.label for choice in case.prompt.choices),
        ALWAYS_WITH_ADVICE,
    ]


@pytest.mark.parametrize("shown", [6, pytest.param(60, marks=pytest.mark.sweep)])
async def test_the_longest_of_them_stand_whole_on_the_real_screen(shown: int) -> None:
    longest: dict[str, Case] = {}
    for case in sorted(cases(shown == 60), key=lambda case: -case.rows):
        longest[f"{case.advice.rule} {case.advice.kind}"] = case
    picked = sorted(longest.values(), key=lambda case: case.rows)[:shown]
    async with at_the_screen(make_desk()) as rig:
        for case in picked:
            await show(rig, case.state, case.prompt)
            assert whole(rig.work, said(case)) == [], f"{case.name}\n{rig.text}"


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
    longest = sorted(
        cases(every), key=lambda case: len(advice_lines(case.state, case.advice, width))
    )[-8:]
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for case in longest:
            await show(rig, case.state, case.prompt)
            words = [choice.label for choice in case.prompt.choices]
            words += [spoken(case.state, one) for one in case.advice.cautions]
            assert whole(rig.work, [*words, ALWAYS_WITH_ADVICE]) == [], case.name
            assert REST in rig.text or whole(rig.work, said(case)) == [], case.name


@SOME_OR_EVERY
def test_every_turn_fits_with_the_highest_stand_that_may_come(one_in: int) -> None:
    over = {}
    for case in cases(one_in == 1):
        if case.advice.kind == "turn" and case.advice.symptom in SPIN:
            highest = if_the_tyre_holds(Range(low=1.0, middle=1.2, high=1.2))
            cautions = (*case.advice.cautions, highest)
            more = case.advice.model_copy(update={"cautions": cautions})
            asked = replace(case.prompt, about=more)
            if replace(case, advice=more, prompt=asked).rows < 0:
                over[case.name] = case.labelled
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
