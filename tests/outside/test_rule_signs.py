"""The direction of the shipped rules against mechanics.

Tables of figures computed with an independent general-purpose multibody engine (planar car,
exact kinematics); no published source. The first holds the sensitivities of one reference launch:
softer, as it is, firmer (or less, as it is). The second is the share of simulated faulty launches,
1,367 of 474 different cars, in which the sign of a first-step turn was right where it mattered.
The last are from 120 simulated days with whole sequences of turns, another simulator again.
Only signs are compared, never sizes.
"""

import pytest

from rules.book import shipped
from rules.book.schema import KnobLever, RuleText
from rules.car.adjusters import UPWARD

BOOK = shipped()

LESS_IS_WANTED = {
    "landing travel mm": {"front-drops-hard", "front-bounces"},
    "lift m": {
        "front-carries",
        "front-drops-hard",
        "front-rises-violently",
        "wheelie-bar-hits",
    },
    "rear separation mm": {"rear-tops-out"},
}
"""Symptoms that ask for less of a quantity; the opposite fault asks for more of it."""

MORE_IS_WANTED = {"lift m": {"front-slow-to-rise"}}

TRAVEL_USED_UP = {"stand": "small", "front-travel": "at-stop"}
"""Short of the stop the landing load decides, which is U-shaped in front compression."""

SENSITIVITIES = [
    ("front", "compression", "landing travel mm", (80.0, 68.0, 36.0)),
    ("front", "rebound", "lift m", (0.68, 0.40, 0.19)),
    ("rear", "rebound", "rear separation mm", (9.6, 6.6, 3.7)),
]


def knob_rules(axle: str, controls: str) -> list[RuleText]:
    return [
        rule
        for rule in BOOK.rules.values()
        if rule.status == "active"
        and isinstance(rule.lever, KnobLever)
        and (rule.lever.axle, rule.lever.controls) == (axle, controls)
    ]


@pytest.mark.parametrize(("axle", "controls", "what", "figures"), SENSITIVITIES)
def test_a_knob_rule_moves_its_fault_the_right_way(
    axle: str, controls: str, what: str, figures: tuple[float, float, float]
) -> None:
    soft, _, firm = figures
    firmer_gives_less = firm < soft
    checked = 0
    for rule in knob_rules(axle, controls):
        if controls == "compression" and not rule.when.holds(TRAVEL_USED_UP):
            continue
        firmer = rule.direction in UPWARD
        if rule.symptom in LESS_IS_WANTED[what]:
            assert firmer is firmer_gives_less, rule.id
            checked += 1
        if rule.symptom in MORE_IS_WANTED.get(what, set()):
            assert firmer is not firmer_gives_less, rule.id
            checked += 1
    assert checked


@pytest.mark.parametrize("symptom", ["front-drops-hard", "front-bounces"])
def test_softer_front_compression_is_advised_only_where_travel_is_left(symptom: str) -> None:
    softer = [
        rule
        for rule in knob_rules("front", "compression")
        if rule.symptom == symptom and rule.direction == "softer"
    ]
    assert softer
    for rule in softer:
        assert not rule.when.holds(TRAVEL_USED_UP)
        assert rule.first_step == "half"


def test_firmer_front_compression_leaves_the_lift_alone_and_never_treats_it() -> None:
    """Moving front compression left the lift of the reference launch where it was."""
    lift = LESS_IS_WANTED["lift m"] - {"front-drops-hard"}
    assert [r.id for r in knob_rules("front", "compression") if r.symptom in lift] == []


LAUNCH_FORCE = {"force %": -3.0, "lift %": -19.0, "landing travel mm": 51.0 - 68.0}


def test_less_launch_is_less_lift_and_a_softer_landing() -> None:
    less = LAUNCH_FORCE["lift %"] / LAUNCH_FORCE["force %"] > 0
    faults = LESS_IS_WANTED["lift m"] | {"front-bounces", "unloads-after-hit"}
    rules = [
        rule
        for rule in BOOK.rules.values()
        if rule.lever is not None and rule.lever.part == "launch rpm" and rule.symptom in faults
    ]
    assert len(rules) >= 5
    assert [rule.id for rule in rules if (rule.direction == "less") is not less] == []
    assert LAUNCH_FORCE["landing travel mm"] < 0


LEVER_FIGURES = [
    ("spring", "stiffer", "lift m", 0.40, 0.27),
    ("spring", "stiffer", "landing travel mm", 68.0, 43.0),
    ("spring", "lighter", "lift m", 0.40, 0.54),
    ("travel limiter", "shorter", "lift m", 0.81, 0.63),
]
"""A step of a front lever from the reference launch (the limiter: from a big stand)."""


@pytest.mark.parametrize(("part", "direction", "what", "before", "after"), LEVER_FIGURES)
def test_a_front_lever_moves_its_fault_the_right_way(
    part: str, direction: str, what: str, before: float, after: float
) -> None:
    wanted = LESS_IS_WANTED[what] if after < before else MORE_IS_WANTED[what]
    rules = [
        rule
        for rule in BOOK.rules.values()
        if rule.lever is not None
        and (rule.lever.part, rule.lever.axle) == (part, "front")
        and rule.symptom in wanted - {"front-bounces"}
    ]
    assert rules
    assert [rule.id for rule in rules if rule.direction != direction] == []


def test_a_shorter_limiter_is_only_for_a_big_stand() -> None:
    """On a small stand it took 5 mm off the lift and put 17 % on the peak landing load."""
    for rule in BOOK.rules.values():
        if rule.lever is not None and rule.lever.part == "travel limiter":
            if rule.direction == "shorter":
                assert not rule.when.holds(TRAVEL_USED_UP), rule.id
            assert rule.crews_differ


SIGN_WAS_RIGHT = [
    ("drops-hard-compression-firmer", "firmer", 100),
    ("drops-hard-big-stand-rebound", "firmer", 100),
    ("carries-rebound-firmer", "firmer", 100),
    ("bounces-rebound-firmer", "firmer", 98),
    ("slow-rise-rebound-softer", "softer", 100),
    ("nose-high-low-speed-softer", "softer", 100),
    ("spins-squats-compression-firmer", "firmer", 100),
    ("squats-compression-firmer", "firmer", 98),
    ("rear-tops-out-rebound-firmer", "firmer", 100),
    ("spins-separates-rebound-firmer", "firmer", 23),
    ("unloads-rear-rebound-firmer", "firmer", 28),
    ("shift-rear-rebound-firmer", "firmer", 9),
]


@pytest.mark.parametrize(("rule_id", "direction", "percent"), SIGN_WAS_RIGHT)
def test_a_rule_turns_as_simulated_and_doubts_itself_where_the_sign_was_wrong(
    rule_id: str, direction: str, percent: int
) -> None:
    rule = BOOK.rules[rule_id]
    assert rule.direction == direction
    if percent < 50:
        assert rule.crews_differ
        assert rule.first_step == "half"
        assert rule.overshoot


@pytest.mark.parametrize("rule_id", [key for key, _, percent in SIGN_WAS_RIGHT if percent < 50])
def test_a_doubtful_rule_waits_for_the_droop_to_be_used_up(rule_id: str) -> None:
    """Where the rear had used over 60 % of its droop, the sign was right in 93 %."""
    rule = BOOK.rules[rule_id]
    facts = dict(rule.fires[0].answers) | {"rear suspension": "four-link"}
    assert rule.when.holds({**facts, "rear-travel": "most"})
    assert not rule.when.holds({**facts, "rear-travel": "some"})


HELPED_ON_DAYS = [
    ("unloads-rear-compression-firmer", 0, 13),
    ("shift-front-compression-firmer", 0, 15),
    ("bounces-spring-lighter", 0, 5),
    ("spins-pressure-less", 38, 100),
]
"""Rule, how often it helped, of how many turns (or of a hundred)."""


@pytest.mark.parametrize(("rule_id", "helped", "turns"), HELPED_ON_DAYS)
def test_a_rule_that_seldom_helped_takes_a_small_step_and_says_so(
    rule_id: str, helped: int, turns: int
) -> None:
    rule = BOOK.rules[rule_id]
    assert helped < turns / 2
    assert rule.crews_differ
    assert rule.first_step in ("half", "one")
    said = ("in mechanics", "on simulated days")
    assert any(word in line.lower() for line in rule.wrong_when for word in said)


WOULD_HAVE_CURED = [
    ("unloads-rear-rebound-softer", "softer"),
    ("unloads-rear-compression-softer", "softer"),
    ("shift-rear-pressure-more", "more"),
    ("slow-rise-rebound-softer-past-middle", "softer"),
    ("nose-high-harsh-compression-softer", "softer"),
]
"""Turns that would have cured days on which the book was used up; each comes after what it had."""


@pytest.mark.parametrize(("rule_id", "direction"), WOULD_HAVE_CURED)
def test_what_would_have_cured_a_lost_day_is_in_the_book_in_small_steps(
    rule_id: str, direction: str
) -> None:
    rule = BOOK.rules[rule_id]
    assert rule.direction == direction
    assert rule.crews_differ
    assert rule.first_step in ("half", "one")
    earlier = [one for one in BOOK.rules_for(rule.symptom) if one.do == "turn"]
    assert earlier[0].id != rule_id
