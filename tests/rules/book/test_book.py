"""The rule book: faults are named, own pages are visible and cannot weaken, good passes rest."""

import tomllib
from pathlib import Path
from typing import Any, get_args

import pytest

from rules.book import BookError, shipped, with_own
from rules.book.pages import assemble
from rules.book.schema import KnobLever
from rules.log.advice import AdviceKind
from tests.support.crew import Crew, invented_car

BOOK = shipped()
PAGES = {
    path.name: path.read_text("utf-8")
    for path in (Path(__file__).parents[3] / "rules" / "book").rglob("*.toml")
}
LANDING = PAGES["front-drops-hard.toml"]
GOOD = tomllib.loads((Path(__file__).parent / "good_passes.toml").read_text("utf-8"))["pass"]


def test_the_book_holds_every_symptom_of_the_trade() -> None:
    assert len(BOOK.symptoms) >= 22
    assert [s for s in BOOK.symptoms if not BOOK.rules_for(s)] == []


def test_there_are_good_passes_of_many_kinds() -> None:
    assert len(GOOD) >= 20
    assert {p.get("session", "test") for p in GOOD} == {"test", "qualifying", "eliminations"}


@pytest.mark.parametrize("good", GOOD, ids=[p["name"] for p in GOOD])
def test_a_good_pass_draws_change_nothing(good: dict[str, Any]) -> None:
    crew = Crew(invented_car(**good.get("car", {})), session=good.get("session", "test"))
    if good.get("trial") == "advice":
        crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
        crew.make()
    if good.get("trial") == "own":
        crew.do("already turned", adjuster="left rear rebound", now="11")
    if "trial" in good:
        crew.say("ran")
    before = dict(crew.state.settings)
    crew.tell(**{key.replace("-", "_"): value for key, value in good["answers"].items()})
    assert crew.advice.kind == "leave"
    assert crew.advice.turns == ()
    assert crew.say("ok").id == "symptoms"
    assert crew.state.settings == before


FAULTS = [
    ("", "[symptom", "not TOML"),
    ("cause = 40\nasks", "cause = 400\nasks", "symptom.cause: Input should be less than"),
    ("place = 2\n", 'place = 2\ncolour = "red"\n', "symptom.colour: a key that this Setdown does"),
    ('direction = "less"\n', 'direction = "softer"\n', "direction of a launch rpm is more or less"),
    ('direction = "less"\n', "", "needs lever and direction"),
    ('{ prompt = "stand" }', '{ prompt = "height" }', "prompt 'height' is not in the book"),
    ('inspection = "hard-landing"', 'inspection = "look"', "inspection 'look' is not in the book"),
    ('overshoot = ["bogs"]', 'overshoot = ["bangs"]', "overshoot symptom 'bangs'"),
    ('is = ["dangerous"]', 'is = ["huge"]', "wants 'huge'; it can be none, small, big"),
    ('fact = "stand", is = ["dangerous"]', 'fact = "mood", is = ["bad"]', "condition on 'mood'"),
    ('answers = { stand = "dangerous"', 'answers = { stand = "vast"', "with 'vast'; it can be"),
    ('answers = { stand = "dangerous"', 'answers = { wander = "wind"', "which this symptom does"),
    ('id = "drops-hard-launch-softer"', 'id = "Drops Hard"', "String should match pattern"),
    (
        'id = "drops-hard-big-stand-rebound"',
        'id = "drops-hard-launch-softer"',
        "stands twice; every id is used once",
    ),
    (
        "The lift came from a bite of the track that the next lane does not have.",
        "Unknown",
        "never",
    ),
    (
        "The wheelie is past what",
        "The wheelie " + "is past " * 20 + "what",
        "at most 132 characters",
    ),
]


@pytest.mark.parametrize(("old", "new", "message"), FAULTS, ids=[m for _, _, m in FAULTS])
def test_a_fault_is_named_with_its_file_and_place(old: str, new: str, message: str) -> None:
    assert old in LANDING
    text = LANDING.replace(old, new, 1) if old else new
    with pytest.raises(BookError) as caught:
        assemble({**PAGES, "front-drops-hard.toml": text})
    assert message in str(caught.value)


def test_all_faults_are_listed_together() -> None:
    text = LANDING.replace('overshoot = ["bogs"]', 'overshoot = ["bangs"]', 1)
    text = text.replace('inspection = "hard-landing"', 'inspection = "look"', 1)
    with pytest.raises(BookError) as caught:
        assemble({**PAGES, "front-drops-hard.toml": text})
    assert len(str(caught.value).splitlines()) == 2


def test_a_valid_file_is_read_whatever_its_line_ends() -> None:
    windows = {name: text.replace("\n", "\r\n") for name, text in PAGES.items()}
    assert assemble(windows).digest == assemble(PAGES).digest


def test_the_digest_follows_every_letter() -> None:
    changed = {**PAGES, "bogs.toml": PAGES["bogs.toml"] + "\n# one more remark\n"}
    digests = {assemble(PAGES).digest, assemble(changed).digest, own_rule().digest}
    assert len(digests) == 3
    assert assemble(PAGES).digest == BOOK.digest


OWN = """
[[rule]]
id = "{id}"
symptom = "front-carries"
order = 5
lever = {{ part = "launch rpm" }}
direction = "less"
cause = "On our car the launch is always first."
why = "We saw it four times."
expect = "A lower stand."
look_for = "The height of the front tyres."
put_back_if = "It bogs."
wrong_when = ["The track was better that day."]
caution = "Tell the driver."
basis = "our own notes"
fires = [{{ answers = {{ stand = "big" }} }}]
silent = [{{ answers = {{ stand = "none" }} }}]
"""


def own_rule(rule_id: str = "own-launch-first") -> Any:
    return with_own({"own.toml": OWN.format(id=rule_id)})


def test_an_own_rule_is_added_and_advised() -> None:
    crew = Crew(book=own_rule())
    crew.tell(symptoms=["front-carries"], stand="big", bars="none")
    assert crew.advice.rule == "own-launch-first"
    assert crew.advice.label == "our own notes"
    assert crew.book.own == {"own-launch-first"}
    assert not crew.book.overridden


def test_an_own_rule_overrides_a_shipped_one_visibly() -> None:
    book = own_rule("carries-rebound-firmer")
    assert book.overridden == {"carries-rebound-firmer"}
    assert book.rules["carries-rebound-firmer"].basis == "our own notes"
    assert BOOK.rules["carries-rebound-firmer"].basis != "our own notes"


SYMPTOM = LANDING[: LANDING.index("[[rule]]")]
WEAKER = [
    ("safety = 60", "safety = 10", "found safety 10; wanted 60, as shipped"),
    ('inspection = "hard-landing"\n', "", "wanted 'hard-landing', as shipped"),
    ('{ prompt = "stand" }, ', "", "wanted the ask 'stand', as shipped"),
]


@pytest.mark.parametrize(("old", "new", "message"), WEAKER)
def test_an_own_symptom_cannot_weaken_its_gate(old: str, new: str, message: str) -> None:
    with pytest.raises(BookError, match=message):
        with_own({"own.toml": SYMPTOM.replace(old, new)})


def test_an_own_list_keeps_every_item() -> None:
    page = """
[[inspection]]
id = "hard-landing"
title = "A shorter list"
why = "We are in a hurry."
items = [{ id = "toe", label = "Toe" }]
"""
    with pytest.raises(BookError, match="wanted 'pan-and-fluids' among its items, as shipped"):
        with_own({"own.toml": page})


def test_an_own_prompt_keeps_every_choice() -> None:
    page = """
[[prompt]]
id = "stand"
question = "How high?"
measure = "Watch the video."
choices = [{ id = "none", label = "Low" }, { id = "small", label = "High" }]
"""
    with pytest.raises(BookError, match="wanted 'dangerous' among its choices, as shipped"):
        with_own({"own.toml": page})


@pytest.mark.parametrize("rule_id", sorted(BOOK.rules))
def test_a_rule_says_what_it_rests_on_and_how_it_can_be_wrong(rule_id: str) -> None:
    rule = BOOK.rules[rule_id]
    assert rule.basis == "common practice, no source" or "http" in rule.basis
    assert rule.wrong_when
    if rule.do == "turn":
        assert rule.overshoot
        assert rule.symptom


@pytest.mark.parametrize("rule_id", sorted(r.id for r in BOOK.rules.values() if r.lever))
def test_a_rule_names_the_end_of_the_car(rule_id: str) -> None:
    lever = BOOK.rules[rule_id].lever
    assert lever is not None
    whole_car = isinstance(lever, KnobLever) or lever.part == "launch rpm"
    assert whole_car or lever.axle != "car"


def test_every_kind_of_advice_is_somewhere_in_the_book() -> None:
    said = {rule.do for rule in BOOK.rules.values()}
    assert said == {"turn", "inspect", "leave", "control", "stop"}
    assert said <= set(get_args(AdviceKind))
