"""Every question, work order and line on top stands whole, in either wording."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from textwrap import wrap

import pytest
from drive import BOOK, DEMO, METRIC, at_the_screen, make_desk
from fitting import longest_order_reason, show, whole
from rich.cells import cell_len
from roads import BY_NAME

from rules.advice import texts
from rules.advice.safety.gates import BLOCKS, OpenBlock
from rules.car.adjusters import Turn, adjusters
from rules.car.model import Car
from rules.crew import doubted_clock, doubted_stop, doubted_time, prompts, work_prompts
from rules.log.changes import Change
from rules.log.events.changes import ChangeProposed
from rules.log.state import Run, State
from rules.log.state_after import after
from rules.passes.slip import Own, Slip, questions
from rules.question import Prompt
from tests.support.sample import SOME_OR_EVERY
from tui.arranged import FRAME_ROWS
from tui.drawn.header import header
from tui.drawn.short_advice import first_sentence
from tui.keys import KEYS, in_footer_order
from tui.lines import WIDTH, prompt_rows, spoken, spoken_prompt
from tui.pages.help import help_lines
from tui.widgets.key_row import KeyRow

HALF_MADE = "Half made: no pass before it is settled."


def every_prompt() -> Iterator[tuple[str, Prompt]]:
    """Yield every question, those about a pass with the number of a late one before them."""
    for name, prompt in plain_prompts():
        asks_of_a_pass = prompt.id not in ("meeting", "session") and prompt.kind != "tick"
        yield name, prompts.of_pass(prompt, 12) if asks_of_a_pass else prompt


def plain_prompts() -> Iterator[tuple[str, Prompt]]:
    """Yield every question about a pass, with the longest notice that can stand above it."""
    change = Change("c", "advice", "Front extension, both sides: 12 clicks tighter", (), "m")
    yield "meeting", prompts.meeting()
    yield "session", prompts.session()
    yield "what-else", prompts.what_else()
    yield "sixty-foot", prompts.sixty_foot()
    own = {"sixty_s": Own(1.432, 0.05, 7)}
    yield "sixty-foot-meant", doubted_time.prompt(questions(Slip(sixty_s=3.9), own)[0], "us")
    yield "sixty-foot-meant", doubted_time.prompt(questions(Slip(sixty_s=1.9), own)[0], "us")
    runs = [
        Run(f"{n}", n, datetime(2031, 5, 4, 23 - n, tzinfo=UTC), None, None, None) for n in (11, 12)
    ]
    yield "dated-before", doubted_clock.prompt(runs[1], runs[0])
    yield "stop-meant", doubted_stop.prompt()
    yield "left over", prompts.left_over(replace(change, symptom="front-drops-hard"), BOOK)
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


@pytest.mark.long
@SOME_OR_EVERY
@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
async def test_prompts_stand_whole_on_the_real_screen(width: int, rows: int, one_in: int) -> None:
    state = make_desk().state
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for name, prompt in [*every_prompt()][::one_in]:
            await show(rig, state, prompt)
            asked = spoken_prompt(state, prompt)
            lines = [asked.question, asked.notice, "F1 keys" if asked.kind == "text" else "? keys"]
            lines += [asked.hint] if rows == 24 else []
            lines += [choice.label for choice in asked.choices[:8]]
            assert whole(rig.work, lines) == [], f"{name}\n{rig.text}"


def twenty_turns(car: Car) -> tuple[State, Change]:
    """Return a put-back of everything, on the way in the middle."""
    state = make_desk(car=car).state
    assert state.baseline is not None
    turns = [
        Turn(adjuster=key, before=state.settings[key], after=one.low if one.low > -1e9 else 1)
        for key, one in adjusters(car).items()
    ]
    proposed = ChangeProposed(
        change="c", origin="put back", title="Put back to Car file", turns=tuple(turns[:20])
    )
    return after(state, [proposed]), after(state, [proposed]).changes[-1]


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
@SOME_OR_EVERY
async def test_a_work_order_of_many_turns_fits(
    car: Car, width: int, rows: int, one_in: int
) -> None:
    state, change = twenty_turns(car)
    assert len(change.steps) >= 8
    async with at_the_screen(make_desk(car=car), size=(width, rows)) as rig:
        for number, step in [*enumerate(change.steps)][::one_in]:
            steps = tuple(
                replace(one, state="done" if at < number else "open")
                for at, one in enumerate(change.steps)
            )
            now = replace(change, steps=steps)
            prompt = replace(work_prompts.turn(now, step, state), notice=HALF_MADE)
            await show(rig, state, prompt)
            one = adjusters(car)[step.turn.adjuster]
            lines = [spoken(state, choice.label) for choice in prompt.choices]
            lines += [spoken(state, one.label).upper(), one.show(step.turn.after)]
            lines += [HALF_MADE]
            assert whole(rig.work, lines) == [], rig.text


@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
async def test_a_stopped_work_order_fits(width: int, rows: int) -> None:
    state, change = twenty_turns(DEMO)
    last = change.steps[-1]
    steps = tuple(replace(one, state="done") for one in change.steps[:-1])
    now = replace(change, steps=(*steps, replace(last, state="stopped", reason="stops early")))
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for prompt in (
            work_prompts.reached(now, last, state),
            work_prompts.settle(now, even=False),
        ):
            await show(rig, state, prompt)
            lines = [spoken(state, one.label) for one in prompt.choices]
            lines += [spoken(state, prompt.hint), spoken(state, prompt.question)]
            assert whole(rig.work, lines) == [], rig.text


@SOME_OR_EVERY
@pytest.mark.parametrize(("width", "rows"), [(80, 24), (60, 20)])
async def test_the_wait_for_the_pass_fits(width: int, rows: int, one_in: int) -> None:
    state = make_desk().state
    async with at_the_screen(make_desk(), size=(width, rows)) as rig:
        for rule in [one for one in BOOK.rules.values() if one.do == "turn"][::one_in]:
            title = f"{texts.lever_name(rule)}, both sides: 12 clicks {rule.direction}"
            change = Change("c", "advice", title, (), "m", status="applied", rule=rule.id)
            prompt = prompts.ran(change)
            await show(rig, state, prompt)
            lines = [first_sentence(state, one) for one in (rule.expect, rule.look_for)]
            lines.append(spoken(state, title))
            lines += ["Not yet", "The car ran the pass", "on the ground."]
            assert whole(rig.work, lines) == [], rig.text


@pytest.mark.parametrize("width", [60, 80])
def test_the_lines_on_top_are_never_wider_than_the_screen(width: int) -> None:
    state, _ = twenty_turns(DEMO)
    moved = {key: value + 1 for key, value in state.settings.items()}
    crowded = replace(state, settings=moved)
    rows = header(crowded, None, width, None).plain.split("\n")
    assert [cell_len(row) <= width for row in rows] == [True, True]


@pytest.mark.parametrize(("width", "fewest"), [(60, 5), (66, 5), (80, 7), (132, 10)])
async def test_whole_keys_stand_at_the_foot_those_of_weight_first(width: int, fewest: int) -> None:
    async with at_the_screen(make_desk(), size=(width, 24)) as rig:
        foot = rig.rows[-1]
        labels = ["take", "back", *(key.label for key in in_footer_order() if key.footer)]
        shown = [label for label in labels if f" {label}" in foot]
        assert shown == labels[: len(shown)], "cut in the middle, or out of order"
        assert len(shown) >= fewest
        assert "?  keys" in foot
        assert cell_len(foot) <= width


async def test_the_help_fits() -> None:
    async with at_the_screen(make_desk()) as rig:
        rows = help_lines(rig.app.screen, 80)
    assert len(rows) <= 22
    assert max(map(len, rows)) <= WIDTH


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (132, 40)])
async def test_a_long_message_covers_no_choice(size: tuple[int, int]) -> None:
    async with at_the_screen(BY_NAME["work order"].desk(), size=size) as rig:
        screen = rig.app.screen
        for text in ("A message of some length. " * 5, "", "Short."):
            screen.say(text)  # type: ignore[attr-defined]
            await rig.pilot.pause()
            choices = [choice.label for choice in rig.desk.prompt.choices]
            assert whole(rig.work, choices) == [], rig.text
            assert text.strip()[:20] in rig.said


async def test_no_letter_that_answers_is_another_key_meanwhile() -> None:
    """A property of every question: foot, help and palette name none of the letters it takes."""
    state = make_desk().state
    asked = 0
    async with at_the_screen(make_desk(), size=(160, 48)) as rig:
        for name, prompt in every_prompt():
            if not prompt.letters:
                continue
            asked += 1
            await show(rig, state, prompt)
            bindings = rig.app.screen.active_bindings.values()
            taken = {one.binding.key for one in bindings if one.binding.id and one.enabled}
            assert not prompt.letters & taken, (name, taken)
            shown = {key.key for key in rig.app.screen.query_one(KeyRow).shown}
            assert not prompt.letters & shown, (name, shown)
        assert asked >= 4
        await show(rig, state, prompts.sixty_foot())
        await show(rig, state, prompts.what_else())
        assert "l" in {key.key for key in rig.app.screen.query_one(KeyRow).shown}


def test_no_question_of_the_loop_is_answered_by_a_letter_of_the_foot() -> None:
    """A hand that knows the foot by heart answers nothing with it, except a time of a slip."""
    foot = {key.key for key in KEYS if key.footer}
    for name, prompt in every_prompt():
        if name != "sixty-foot-meant":  # As on the slip, where the foot has no letters.
            assert not prompt.letters & foot, name


def test_a_question_that_letters_answer_takes_no_key_that_it_does_not_list() -> None:
    for name, prompt in every_prompt():
        if prompt.letters and prompt.kind == "one":
            assert prompt.asks_back or all(one.key for one in prompt.choices), name
            assert not prompt.unknown, f"{name}: 0 answers nothing beside letters"
