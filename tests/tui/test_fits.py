"""Everything a crew has to answer stands whole on an 80 by 24 screen, in either wording."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from textwrap import wrap
from typing import get_args
from unittest.mock import patch

import pytest
from drive import BOOK, DEMO, METRIC, Rig, at_the_screen, make_desk
from rich.cells import cell_len

from rules import events as ev
from rules import prompts, texts
from rules.adjusters import adjusters, starts
from rules.advice import Advice, AdviceKind, Turn
from rules.advise import _find_out, _ladder, _no_time, _put_right, _say, finish, turn_draft
from rules.after_verdict import _half_back, _put_back
from rules.book import Book
from rules.book.examples import consult_example
from rules.book.schema import Example, KnobLever, RuleText
from rules.candidates import candidates
from rules.car import Car
from rules.changes import Change, Step
from rules.expected import Effect, Expected, Range, Standing
from rules.expected_words import LONGEST, expected_text
from rules.gates import BLOCKS, OpenBlock
from rules.imagine import after
from rules.launch.goals import MEASURES
from rules.prompts import Prompt
from rules.situation import situation
from rules.state import State
from rules.symptoms import order_reason
from rules.units import System
from tui.keys import footer
from tui.lines import WIDTH, advice_lines, prompt_rows, spoken, spoken_prompt, strip
from tui.reports import help_page
from tui.screens.pit import FRAME_ROWS, REST

ROWS = 24 - FRAME_ROWS
BOTH = "This knob moves compression and rebound together: expect both."
NO_TIME = "takes 240 min on stands, 112 left: a lifted car is never hurried"
HALF_MADE = "Half made: no pass before it is settled."
ALL_SPEEDS = "This knob moves all speeds, mostly low: expect less at landing speed."


@dataclass(frozen=True)
class Case:
    """One advice as one crew sees it."""

    name: str
    state: State
    advice: Advice
    prompt: Prompt

    @property
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


def longest_order_reason(symptom: str) -> str:
    """Return the longest reason for which this symptom is treated before another."""
    reasons = (order_reason((symptom, other), BOOK) for other in BOOK.symptoms if other != symptom)
    first = f"Treated first: {BOOK.symptoms[symptom].name},"
    return max((reason for reason in reasons if reason.startswith(first)), key=len, default="")


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
        yield finish(now, _say(own), considered)
    elif own.turns:
        yield finish(now, turn_draft(now, own), considered)
        yield finish(
            now,
            _no_time(
                replace(own, lost="takes 60 min on stands, 12 left: a lifted car is never hurried"),
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
            _half_back(later, made),
            _put_back(later, [made], "It got worse with this change on."),
        ):
            if draft is not None:
                yield finish(later, draft, considered)
    yield finish(now, _ladder(now, considered), considered)
    for changed in (tuple(texts.CONFOUNDERS)[1:5], tuple(texts.CONFOUNDERS)[1:7]):
        yield finish(now, _put_right(changed), considered)
    asked = [book.prompts[ask.prompt] for ask in book.symptoms[rule.symptom].asks[-3:]]
    if asked:
        yield finish(now, _find_out(own, asked), considered)


@lru_cache(maxsize=1)
def cases() -> tuple[Case, ...]:
    found = []
    for rule in BOOK.rules.values():
        reason = longest_order_reason(rule.symptom)
        for number, example in enumerate(rule.fires, 1):
            played, _ = consult_example(BOOK, rule, example)
            assert played.car is not None
            for units in ("us", "metric"):
                for car in (played.car, split(played.car)):
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


def test_every_advice_fits() -> None:
    over = {case.name: case.rows for case in cases() if case.rows > ROWS}
    assert over == {}


def test_every_kind_of_advice_was_tried() -> None:
    kinds = {case.advice.kind for case in cases()}
    assert kinds == set(get_args(AdviceKind))


class Shown:
    """A desk that shows one question, for the screen only."""

    resumed = False
    book = BOOK

    def __init__(self, state: State, prompt: Prompt) -> None:
        self.state = state
        self.prompt = prompt


def whole(text: str, lines: list[str]) -> list[str]:
    """Return the words that are not on the screen, in whichever way it wraps them."""
    flat = "".join(text.split())
    return [line for line in lines if "".join(line.split()) not in flat]


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


async def test_the_longest_of_them_stand_whole_on_the_real_screen() -> None:
    longest: dict[str, Case] = {}
    for case in sorted(cases(), key=lambda case: case.rows):
        longest[f"{case.advice.rule} {case.advice.kind}"] = case
    picked = sorted(longest.values(), key=lambda case: -case.rows)[:60]
    async with at_the_screen(make_desk()) as rig:
        for case in picked:
            await show(rig, case.state, case.prompt)
            assert whole(rig.text, said(case)) == [], f"{case.name}\n{rig.text}"


async def show(rig: Rig, state: State, prompt: Prompt) -> None:
    screen = rig.app.screen
    screen.desk = Shown(state, prompt)  # type: ignore[attr-defined]
    screen.refresh_desk()  # type: ignore[attr-defined]
    await rig.pilot.pause()


def every_prompt() -> Iterator[tuple[str, Prompt]]:
    """Yield every question about a pass, with the longest notice that can stand above it."""
    change = Change("c", "advice", "Front extension, both sides: 12 clicks tighter", (), "m")
    yield "meeting", prompts.meeting()
    yield "session", prompts.session()
    yield "what-else", prompts.what_else()
    yield "sixty-foot", prompts.sixty_foot()
    everything = prompts.symptoms(BOOK, "The change stays unjudged: too much else moved.")
    for page in range(0, len(everything.choices), 8):
        shown = everything.choices[page : page + 8]
        yield "symptoms", replace(everything, choices=(*shown, *everything.choices[:1]))
    for symptom in BOOK.symptoms.values():
        yield f"verdict {symptom.id}", prompts.verdict(replace(change, symptom=symptom.id), BOOK)
        notice = longest_order_reason(symptom.id)
        for ask in symptom.asks:
            yield ask.prompt, prompts.from_book(BOOK, ask.prompt, notice)
    notices = [block.says for block in BLOCKS]
    longest = max([*notices, "Reported: limiter or wheelie bars may be damaged."], key=len)
    for inspection in BOOK.inspections:
        yield inspection, prompts.inspection(BOOK, OpenBlock(inspection, "r", longest))


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
def test_every_prompt_fits(car: Car, width: int, rows: int) -> None:
    state = make_desk(car=car).state
    over = {}
    for name, prompt in every_prompt():
        asked = spoken_prompt(state, prompt)
        if rows < 24:
            asked = replace(asked, hint="")
        needed = prompt_rows(asked, width - 2) + len(wrap(asked.notice, width - 2))
        if needed > rows - FRAME_ROWS:
            over[name] = needed
    assert over == {}


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
async def test_prompts_stand_whole_on_the_real_screen(width: int, rows: int) -> None:
    state = make_desk().state
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for name, prompt in every_prompt():
            await show(rig, state, prompt)
            asked = spoken_prompt(state, prompt)
            lines = [asked.question, asked.notice, footer(width)]
            lines += [asked.hint] if rows == 24 else []
            lines += [choice.label for choice in asked.choices[:8]]
            assert whole(rig.text, lines) == [], f"{name}\n{rig.text}"


def twenty_turns(car: Car) -> tuple[State, Change]:
    """Return a put-back of everything, on the way in the middle."""
    state = make_desk(car=car).state
    assert state.baseline is not None
    turns = [
        Turn(adjuster=key, before=state.settings[key], after=one.low if one.low > -1e9 else 1)
        for key, one in adjusters(car).items()
    ]
    proposed = ev.ChangeProposed(
        change="c", origin="put back", title="Put back to Car file", turns=tuple(turns[:20])
    )
    return after(state, [proposed]), after(state, [proposed]).changes[-1]


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
async def test_a_work_order_of_many_turns_fits(car: Car, width: int, rows: int) -> None:
    state, change = twenty_turns(car)
    assert len(change.steps) >= 8
    async with at_the_screen(make_desk(car=car), size=(width, rows)) as rig:
        for number, step in enumerate(change.steps):
            steps = tuple(
                replace(one, state="done" if at < number else "open")
                for at, one in enumerate(change.steps)
            )
            now = replace(change, steps=steps)
            prompt = replace(prompts.turn(now, step, state), notice=HALF_MADE)
            await show(rig, state, prompt)
            one = adjusters(car)[step.turn.adjuster]
            lines = [spoken(state, choice.label) for choice in prompt.choices]
            lines += [spoken(state, one.label).upper(), one.show(step.turn.after)]
            lines += [f"[ ] {spoken(state, one.label)}", HALF_MADE]
            assert whole(rig.text, lines) == [], rig.text


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
async def test_a_stopped_work_order_fits(width: int, rows: int) -> None:
    state, change = twenty_turns(DEMO)
    last = change.steps[-1]
    steps = tuple(replace(one, state="done") for one in change.steps[:-1])
    now = replace(change, steps=(*steps, replace(last, state="stopped", reason="stops early")))
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for prompt in (prompts.reached(now, last, state), prompts.settle(now, even=False)):
            await show(rig, state, prompt)
            lines = [spoken(state, one.label) for one in prompt.choices]
            lines += [spoken(state, prompt.hint), spoken(state, prompt.question), "[!]"]
            assert whole(rig.text, lines) == [], rig.text


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
async def test_the_wait_for_the_pass_fits(width: int, rows: int) -> None:
    state = make_desk().state
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for rule in BOOK.rules.values():
            if rule.do != "turn":
                continue
            title = f"{texts.lever_name(rule)}, both sides: 12 clicks {rule.direction}"
            change = Change("c", "advice", title, (), "m", status="applied", rule=rule.id)
            prompt = prompts.ran(change)
            await show(rig, state, prompt)
            lines = [spoken(state, one) for one in (rule.expect, rule.look_for, title)]
            lines += ["Not yet", "The car ran the pass", "on the ground."]
            assert whole(rig.text, lines) == [], rig.text


@pytest.mark.parametrize("width", [60, 80])
def test_the_lines_on_top_are_never_wider_than_the_screen(width: int) -> None:
    state, _ = twenty_turns(DEMO)
    moved = {key: value + 1 for key, value in state.settings.items()}
    crowded = replace(state, settings=moved)
    assert [cell_len(row) <= width for row in strip(crowded, width)] == [True, True]


def test_the_keys_and_the_help_fit() -> None:
    assert all(len(footer(width)) <= width for width in (60, 66, 80))
    assert footer(60).endswith("| ? help")
    assert footer(80).count("|") == 6
    rows = help_page()
    assert len(rows) <= 23
    assert max(map(len, rows)) <= WIDTH


@pytest.mark.parametrize(("width", "rows"), [(60, 20), (60, 24), (70, 22)])
async def test_in_a_narrow_window_the_choices_stay_and_the_rest_is_a_key_away(
    width: int, rows: int
) -> None:
    worst = max(cases(), key=lambda case: case.rows)
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        await show(rig, worst.state, worst.prompt)
        assert whole(rig.text, [choice.label for choice in worst.prompt.choices]) == []
        assert REST in rig.text


def test_every_turn_fits_with_the_longest_word_of_the_model() -> None:
    said = ("Least rear load 10.8 to 12.7 kN. " * 10)[: LONGEST - 1] + "."
    over = {}
    for case in cases():
        if case.advice.kind != "turn":
            continue
        expected = Expected(standing="unsure", reason="x", trade_step=1, step=1)
        weighed = case.advice.model_copy(update={"expected": expected})
        with patch("tui.lines.expected_text", lambda *_: said):
            rows = replace(case, advice=weighed).rows
        if rows > ROWS:
            over[case.name] = rows
    assert over == {}


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("standing", get_args(Standing))
def test_the_model_never_says_more_than_its_longest(standing: Standing, system: System) -> None:
    reasons = {
        "agrees": ["a smaller step than the trade's is likely enough, with a margin"],
        "unsure": ["whether it helps depends on numbers of this car that are not known"],
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
        for reason in reasons.get(standing, ["the launch model has nothing that this lever moves"]):
            expected = Expected(
                standing=standing, reason=reason, goal=goal, trade_step=4, step=2,
                effects=tuple(effects), measure_first=("geometry.instant_centre_height",) * 4,
            )  # fmt: skip
            assert len(expected_text(expected, system)) <= LONGEST
