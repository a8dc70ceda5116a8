"""The three safety lists, one entry after the other: they stand above every rule and override."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from rules.advice.candidates import candidates
from rules.advice.safety import gates
from rules.advice.safety.gates import BLOCKS, FOUND, Block, open_blocks
from rules.advice.situation import situation
from rules.book import Book, BookError, shipped, with_own
from rules.crew.loop import answer
from rules.crew.open_question import next_step
from rules.crew.overriding import OVERRIDE_REASONS
from rules.log.state import State
from rules.log.state_after import after
from rules.question import UNKNOWN, ActionError
from tests.support.crew import FRONT, LEVERS, Crew, invented_car, knob
from tests.support.own_rule import own

BOOK = shipped()


def roads(state: State, to: str, book: Book = BOOK) -> Iterator[State]:
    """Yield every state in which the prompt `to` is open, whatever is answered before it."""
    prompt = next_step(state, book)
    if prompt.id == to:
        yield state
        return
    if prompt.id == "advice":
        return
    values: list[Any] = [choice.id for choice in prompt.choices]
    if prompt.kind == "many":
        values = [("nothing",)]
    if prompt.kind == "tick":
        values = ["all ok"]
    for value in values:
        bodies = answer(state, book, prompt.id, value, lambda: "id")
        yield from roads(after(state, bodies), to, book)


def raise_by_answer(prompt: str, word: str) -> Crew:
    """Drive a crew to the answer, by the first symptom that asks it."""
    for symptom in BOOK.symptoms.values():
        if prompt not in {ask.prompt for ask in symptom.asks}:
            continue
        crew = Crew(invented_car(wheelie_bars=True))
        crew.say([symptom.id])
        found = next(roads(crew.state, prompt), None)
        if found is not None:
            crew.state = found
            crew.say(word)
            return crew
    raise AssertionError(f"no symptom of the book asks {prompt}")


def to_inspection(crew: Crew, inspection: str) -> None:
    """Answer on until the list is open; advice must never come first."""
    while crew.prompt.id != f"inspect:{inspection}":
        assert crew.prompt.id != "advice"
        if crew.prompt.kind == "tick":
            crew.say("all ok")
        elif crew.prompt.kind == "many":
            crew.say(["nothing"])
        else:
            crew.say(UNKNOWN)


def check_held(crew: Crew, inspection: str) -> None:
    """Hold the list against a missing item, a fault and every override; then clear it."""
    to_inspection(crew, inspection)
    here = crew.prompt.id
    *most, last = [choice.id for choice in crew.prompt.choices]
    if most:
        assert crew.say(dict.fromkeys(most, "ok")).id == here
    assert crew.say({last: "fault"}).id == here
    for reason in OVERRIDE_REASONS:
        with pytest.raises(ActionError, match="inspection never"):
            crew.do("override", reason=reason, text="we want to run")
    assert crew.prompt.id == here
    assert crew.say({last: "ok"}).id != here


TRIGGERS = [(block, prompt, word) for block in BLOCKS for prompt, word in sorted(block.answers)]


@pytest.mark.parametrize(
    ("block", "prompt", "word"), TRIGGERS, ids=[f"{b.id} {p} {w}" for b, p, w in TRIGGERS]
)
def test_a_block_raised_by_an_answer_holds(block: Block, prompt: str, word: str) -> None:
    check_held(raise_by_answer(prompt, word), block.inspection)


NAMED = [(block, symptom) for block in BLOCKS for symptom in sorted(block.symptoms)]


@pytest.mark.parametrize(("block", "symptom"), NAMED, ids=[s for _, s in NAMED])
def test_a_block_raised_by_a_symptom_holds(block: Block, symptom: str) -> None:
    crew = Crew()
    crew.say([symptom])
    check_held(crew, block.inspection)


@pytest.mark.parametrize("symptom", [s.id for s in BOOK.symptoms.values() if s.inspection])
def test_a_symptoms_own_inspection_holds(symptom: str) -> None:
    crew = Crew()
    crew.say([symptom])
    wanted = BOOK.symptoms[symptom].inspection
    assert wanted is not None
    check_held(crew, wanted)


@pytest.mark.parametrize("found", sorted(FOUND))
def test_a_report_at_any_time_blocks_the_next_pass(found: str) -> None:
    crew = Crew()
    assert crew.do("report damage", found=found).id == f"inspect:{FOUND[found]}"
    check_held(crew, FOUND[found])
    assert crew.prompt.id == "symptoms"


def test_a_report_blocks_the_pass_of_a_change_that_waits() -> None:
    crew = Crew()
    crew.do("already turned", adjuster="left rear rebound", now="10")
    assert crew.prompt.id == "ran"
    assert crew.do("report damage", found="fluid").id == "inspect:fluid-leak"
    crew.do("override", reason="no-time")
    assert crew.prompt.id == "inspect:fluid-leak"


def test_a_knob_that_stopped_early_blocks_as_a_wrong_click_total() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-carries"], stand="big", bars="none", carry="long")
    crew.say("make", "stops early", "9", "not done")
    check_held(crew, "damper-damage")


def test_an_answer_corrected_later_raises_its_block_before_the_next_pass() -> None:
    crew = Crew()
    crew.tell(symptoms=["unloads-after-hit"], unload_when="bars", bars="touched")
    crew.say("leave")
    assert crew.prompt.id == "symptoms"
    crew.do("correct", run=1, prompt="bars", value="hit")
    check_held(crew, "limiter-and-bars")
    assert crew.prompt.id == "symptoms"


def test_damage_that_nobody_can_name_has_the_whole_car_walked_round() -> None:
    crew = Crew()
    crew.say(["damage-found"], ["nothing"], UNKNOWN)
    check_held(crew, "walk-round")
    assert crew.advice.rule == "damage-nobody-can-name-leave"


def test_the_clean_list_is_not_asked_again_until_the_next_reason() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    crew.say("leave", ["front-drops-hard"], ["nothing"], "small", "at-stop")
    assert crew.prompt.id == "inspect:hard-landing"


def test_every_block_names_what_trade_notes_block() -> None:
    assert {block.id for block in BLOCKS} == {
        "fluid",
        "hard-landing",
        "violent-shake",
        "loose-or-toe",
        "damper-damage",
        "contact",
        "spring",
        "limiter-or-bar",
        "brakes-steering",
        "tyre",
        "something",
    }


ALWAYS = {
    "with advice": (gates.ALWAYS_WITH_ADVICE, ["rulebook", "makers", "qualified people"]),
    "in work": (
        " ".join(gates.ALWAYS_IN_WORK),
        ["engine off", "stands and chocks", "hot headers", "torque", "maker's figure"],
    ),
    "before a pass": (
        " ".join(gates.ALWAYS_BEFORE_PASS),
        [
            "tell the driver what was changed",
            "abort point: height, distance, any sideways",
            "lift early and progressively",
            "wheel straight",
            "no brakes until the front tyres turn on the ground",
        ],
    ),
    "after an inspection": (gates.ALWAYS_AFTER_INSPECTION, ['nothing found is not "safe"']),
}


@pytest.mark.parametrize("place", sorted(ALWAYS))
def test_what_is_always_said_is_said_at_its_place(place: str) -> None:
    said, wanted = ALWAYS[place]
    assert [words for words in wanted if words not in said.lower()] == []


BIG = {"symptoms": ["front-carries"], "stand": "big", "bars": "none", "carry": "long"}


def lost(crew: Crew) -> str:
    """Return why the crew's own rule was not advised."""
    assert crew.advice.rule != "own-idea"
    return next(a.lost for a in crew.advice.alternatives if a.rule == "own-idea")


SPRING = {"id": "front spring", "kind": "spring", "axle": "front", "start": 2, "low": 0, "high": 4}
VALVING = {**SPRING, "id": "front valving", "kind": "valving"}
BOTH = knob("one knob", "both")
RISES = [
    ('{ part = "knob", axle = "front", controls = "rebound" }', "softer"),
    ('{ part = "spring", axle = "front" }', "lighter"),
    ('{ part = "valving", axle = "front" }', "softer"),
    ('{ part = "travel limiter", axle = "front" }', "longer"),
    ('{ part = "launch rpm" }', "more"),
]


@pytest.mark.parametrize(("lever", "direction"), RISES)
def test_never_lets_a_big_stand_rise_more(lever: str, direction: str) -> None:
    car = invented_car(levers=[*LEVERS, SPRING, VALVING])
    crew = Crew(car, own("front-carries", lever, direction))
    crew.tell(**BIG)
    assert "never lets the front rise" in lost(crew)


def test_never_lets_a_big_stand_rise_by_a_knob_that_moves_both() -> None:
    lever = '{ part = "knob", axle = "front", controls = "compression" }'
    crew = Crew(invented_car(front=[BOTH]), own("front-carries", lever, "softer"))
    crew.tell(**BIG)
    assert "never lets the front rise" in lost(crew)


def test_never_lets_the_front_rise_where_the_landing_is_hard_however_small() -> None:
    book = own("spins-at-hit", RISES[0][0], "softer")
    crew = Crew(None, book)
    crew.tell(symptoms=["spins-at-hit", "front-drops-hard"], stand="small", front_travel="at-stop")
    run = crew.run
    now = situation(crew.state, run, book)
    assert now.symptom == "front-drops-hard"
    first = next(iter(candidates(replace(now, symptom="spins-at-hit"))))
    assert "never lets the front rise" in first.lost


def test_no_way_back_lets_a_big_stand_rise() -> None:
    crew = Crew()
    crew.tell(**BIG)
    crew.make()
    crew.say("ran")
    crew.tell(verdict="worse", stand="big", bars="none", carry="long")
    assert crew.advice.kind != "put back"


PRESSURE = '{ part = "tyre pressure", axle = "rear" }'


@pytest.mark.parametrize(
    ("start", "minimum", "why"),
    [
        (11.0, 11.0, "end of its range"),
        (13.0, None, "not in the car file"),
        (11.25, 11.0, "end of its range"),
    ],
)
def test_never_less_pressure_than_the_makers_minimum(
    start: float, minimum: float | None, why: str
) -> None:
    lever = {**LEVERS[1], "start": start, "makers_minimum": minimum}
    crew = Crew(invented_car(levers=[lever]), own("spins-at-hit", PRESSURE, "less"))
    crew.tell(symptoms=["spins-at-hit"], tyre_hit="under", rear_motion="squats")
    assert why in lost(crew)


def test_never_past_the_end_of_a_range() -> None:
    lever = '{ part = "knob", axle = "front", controls = "rebound" }'
    shut = [{**FRONT[0], "start": 18}, *FRONT[1:]]
    crew = Crew(invented_car(front=shut), own("front-carries", lever, "firmer"))
    crew.tell(**BIG)
    assert "end of its range" in lost(crew)


def test_never_hurries_a_job_on_a_lifted_car() -> None:
    crew = Crew(
        None, own("front-carries", '{ part = "travel limiter", axle = "front" }', "shorter")
    )
    crew.do("minutes to call", minutes=10)
    crew.tell(**BIG)
    assert "a lifted car is never hurried" in lost(crew)


NEVER_WRITTEN = [
    "Raise the wheelie bars to let it carry.",
    "Remove the bars.",
    "If it carries, take off the wheelie bars.",
    "Open the damper and look.",
    "You can recharge the gas with air.",
    "Drill the bleed of the damper.",
    "Force the knob past its stop.",
    "Cut the spring by half a coil.",
    "Weld the bracket and go.",
    "Go below the maker's minimum.",
    "Make another pass to see.",
]


@pytest.mark.parametrize("text", NEVER_WRITTEN)
def test_never_written_in_a_crews_own_rule(text: str) -> None:
    with pytest.raises(BookError, match="own-idea"):
        own("front-carries", '{ part = "launch rpm" }', "less", text)


@pytest.mark.parametrize("text", NEVER_WRITTEN)
def test_never_written_in_a_crews_own_ladder(text: str) -> None:
    page = f"""
[symptom]
id = "own-fault"
name = "Our own fault"
place = 90
cause = 50
ladder = ["{text}"]
"""
    with pytest.raises(BookError, match="own-fault"):
        with_own({"own.toml": page})


def test_a_prohibition_may_be_written() -> None:
    own("front-carries", '{ part = "launch rpm" }', "less", "The bars are never raised for it.")


def test_another_pass_is_never_advised_while_a_block_holds() -> None:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"])
    crew.say("small", "at-stop", {"toe": "fault"})
    held = open_blocks(crew.state, crew.book)
    assert held
    assert crew.run.advice is None


def test_a_list_says_what_asked_for_it_and_never_its_own_title() -> None:
    for symptom in BOOK.symptoms.values():
        if symptom.inspection is None:
            continue
        crew = Crew()
        crew.tell(symptoms=[symptom.id])
        asked = {one.inspection: one.says for one in open_blocks(crew.state, crew.book)}
        title = BOOK.inspections[symptom.inspection].title
        assert asked[symptom.inspection].rstrip(".") != title
