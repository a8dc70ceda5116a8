"""Fitting dampers step by step: what it asks, what blocks, and what every order then knows."""

import pytest

from rules.advice.safety.gates import open_blocks
from rules.car.damper_record import DamperRecord
from rules.car.model import CORNERS
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.fitting import FITTING, WAITS
from rules.crew.sheets.fitting_steps import AFTER, DOWN, IN, UP
from rules.crew.sheets.rounds import filling
from rules.log.events.dampers import DamperDescribed
from rules.log.reach import NEVER_A_HOLE, WAYS, as_reached, is_out, way_to
from rules.paper.baseline_card import baseline_card
from rules.paper.page import as_html, as_markdown
from rules.paper.shop_page import shop_page
from rules.question import AnswerError
from rules.shop.fit_items import ITEMS
from tests.support.shop import HEAVY, Hand

FRONT = ("left front", "right front")
KNOB = "left front rebound"
STEPS = {"which": FRONT, "stands": "done"}


def test_the_steps_go_as_the_work_goes_and_each_is_left_and_taken_up() -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, "which": CORNERS})
    stages = [one.stage for one in FITTING.fields(filling(FITTING, hand.state))]
    assert stages == sorted(stages, key=(DOWN, UP, IN, AFTER).index)
    again = Hand(HEAVY)
    again.tell(FITTING, FRONT, "14 in")
    one = again.open(FITTING)
    assert one is not None
    assert one.key == "right front before"


def test_four_dampers_are_fitted_in_fewer_than_fifty_answers() -> None:
    assert Hand(HEAVY).fill(FITTING, {**STEPS, "which": CORNERS}) < 50


def test_nobody_goes_on_without_stands() -> None:
    hand = Hand(HEAVY)
    with pytest.raises(AnswerError, match="found not yet; wanted done first"):
        hand.fill(FITTING, {**STEPS, "stands": "no"})


@pytest.mark.parametrize("step", ["bearings", "bind", "hose", "torque"])
def test_a_failed_step_blocks_the_pass_until_it_is_ticked(step: str) -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, f"front {step}": "fail"})
    assert open_blocks(hand.state, hand.book)
    assert [one.level for one in hand.result(FITTING).findings].count("stop") == 1
    hand.finish(FITTING)
    hand.say("all ok")
    assert open_blocks(hand.state, hand.book) == []


def test_a_failed_reach_offers_what_can_be_done_in_order_of_effort() -> None:
    hand = Hand(HEAVY)
    while (one := hand.open(FITTING)) is not None and one.key != f"reach {KNOB}":
        hand.tell(FITTING, STEPS.get(one.key, one.choices[0].id if one.choices else "unknown"))
    assert one is not None
    assert NEVER_A_HOLE in one.hint
    ids = [choice.id for choice in one.choices]
    assert ids == ["as it is", "two hands", "stands", "wheel off", "base", "body over",
                   "knob position", "mount", "hole"]  # fmt: skip


def test_what_is_chosen_is_remembered_with_its_minutes_for_both_sides() -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, f"reach {KNOB}": "wheel off", f"reach {KNOB} minutes": "12"})
    hand.finish(FITTING)
    for key in (KNOB, "right front rebound"):
        way = way_to(hand.state, key)
        assert way is not None
        assert (way.id, way.minutes, way.wheel_off, way.lift) == ("wheel off", 12, True, True)
        known = as_reached(hand.state, hand.fitted)[key]
        assert known.minutes == hand.fitted[key].minutes + 12
        assert known.lift_car


@pytest.mark.parametrize(("then", "out"), [(WAITS, True), ("as it is", False)])
def test_a_job_of_the_shop_waits_or_is_done(then: str, out: bool) -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, f"reach {KNOB}": "body over", f"reach {KNOB} then": then})
    hand.finish(FITTING)
    assert is_out(hand.state, KNOB) is out


def test_counts_are_read_both_sides_in_one_answer_and_recorded() -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, f"set {KNOB}": "7 / 8"})
    hand.finish(FITTING)
    assert hand.state.settings[KNOB] == 7
    assert hand.state.settings["right front rebound"] == 8


@pytest.mark.parametrize(("typed", "words"), [("19", "wanted"), ("1 / 2 / 3", "left / right")])
def test_counts_above_the_range_are_refused(typed: str, words: str) -> None:
    with pytest.raises(AnswerError, match=words):
        Hand(HEAVY).fill(FITTING, {**STEPS, f"set {KNOB}": typed})


@pytest.mark.parametrize(
    ("typed", "words"), [("18 / 17", "two sides differ"), ("14", "another damper, a miscount")]
)
def test_another_total_is_doubted(typed: str, words: str) -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, f"ends {KNOB}": typed})
    asked = FITTING.asked(filling(FITTING, hand.state))
    assert any(words in one.hint for one in asked if one.key == f"ends {KNOB} kept")


def test_a_corner_that_stands_otherwise_is_to_be_looked_at() -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, {**STEPS, "left front before": "14 in", "left front after": "13.5 in"})
    (one,) = [one for one in hand.result(FITTING).findings if one.name == "left front stands"]
    assert one.level == "look"


def test_it_prints_with_room_for_all_four_corners() -> None:
    text = as_markdown(shop_page(Hand(HEAVY).state, FITTING, blank=True))
    assert "eye to eye before?" in text
    assert all(way.label.split(",")[0] in text for way in WAYS.values() if way.where == "shop")
    assert "which damper is on now?" in text


def test_a_failed_reach_on_the_fit_checks_names_the_ways_too() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, {**dict.fromkeys(ITEMS, "pass"), "reach": "fail"})
    (one,) = [one for one in hand.result(FIT_CHECKS).findings if one.name == "Knobs reachable"]
    assert one.says.index("base") < one.says.index("body over") < one.says.index("access hole")
    assert NEVER_A_HOLE in one.says


def test_a_card_to_hang_up_has_room_and_says_once_what_is_not_cleared() -> None:
    hand = Hand(HEAVY)
    hand.fill(FIT_CHECKS, {**dict.fromkeys(ITEMS, "pass"), "hoses": "fail"})
    hand.finish(FIT_CHECKS)
    hand.do("declare baseline", name="Friday Night")
    html = as_html(baseline_card(hand.state))
    assert html.count("Not cleared when declared") == 1
    assert "Friday Night" in html
    assert '<div class="grid">\n<table>' in html


def test_other_dampers_are_fitted_by_the_end_of_it_with_the_counts_that_were_read() -> None:
    """What came off keeps its own counts, and the list of fitted dampers holds the pass."""
    hand = Hand(HEAVY)
    was = hand.state.settings[KNOB]
    said = {**STEPS, "which left front": "new", "left front maker": "Invented maker",
            "left front serial": "21", "left front rest": "later", "which right front": "new",
            "right front serial": "22", f"set {KNOB}": "7 / 8", f"ends {KNOB}": "18",
            "baseline": "keep"}  # fmt: skip
    for knob in ("low-speed compression", "high-speed compression"):
        said[f"set left front {knob}"] = "5"
    hand.fill(FITTING, said)
    says = " ".join(hand.result(FITTING).says)
    assert "Left front: Invented maker 21 on" in says
    assert "first passes and abort point" in says
    assert "Recorded as recounts" not in says
    assert "Still to be counted" not in says
    hand.finish(FITTING)
    known = hand.state.dampers
    assert known.name(known.at("right front")) == "Invented maker 22"
    assert known.left_at["first left front"]["rebound"] == was
    assert (hand.state.settings[KNOB], hand.state.settings["right front rebound"]) == (7, 8)
    assert hand.state.baseline is not None
    assert (hand.state.baseline.name, hand.off) == ("Car file", {})
    assert not hand.state.to_recount
    assert hand.prompt.id == "inspect:damper-fitted"


def test_one_side_alone_may_be_another_and_the_other_stays_what_it_was() -> None:
    hand = Hand(HEAVY)
    said = {**STEPS, "which left front": "new", f"set {KNOB}": "7 / 8", "baseline": "later"}
    hand.fill(FITTING, said)
    hand.finish(FITTING)
    assert [job.done.keys() for job in hand.state.dampers.jobs] == [{"left front": 0}.keys()]
    assert hand.state.settings["right front rebound"] == 8
    assert hand.state.dampers.at("right front") == "first right front"


def test_one_damper_is_not_on_at_two_corners() -> None:
    hand = Hand(HEAVY)
    hand.record([DamperDescribed(damper=DamperRecord(id="d", maker="Invented maker"))])
    with pytest.raises(AnswerError, match="wanted one damper for each corner"):
        hand.fill(FITTING, {**STEPS, "which left front": "d", "which right front": "d"})
    with pytest.raises(AnswerError, match="wanted one damper for each corner"):
        Hand(HEAVY).fill(FITTING, {**STEPS, "which right front": "first left front"})


def test_first_passes_and_the_abort_point_are_asked_on_the_start_setting_alone() -> None:
    hand = Hand(HEAVY)
    hand.fill(FITTING, STEPS)
    asked = [one.key for one in FITTING.fields(filling(FITTING, hand.state))]
    assert not {"plan", "abort"} & set(asked)
