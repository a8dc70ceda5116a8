"""Every "never" of the trade is a gate over every turn, whoever asks for it.

The oracle below is written from the trade's table, not from the gates; common practice, no source.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from rules.advice.candidates import candidates
from rules.advice.safety import gates
from rules.advice.safety.nevers import NEVERS, TWO_KNOBS
from rules.advice.safety.pass_facts import LEVERS_TRIED, TRAVEL_USED
from rules.advice.situation import Situation, situation
from rules.book import shipped
from rules.book.schema import ExampleCar
from rules.car.adjusters import Adjuster, Turn
from rules.crew.examples import example_car
from rules.question import UNKNOWN
from tests.support.crew import Crew, invented_car, knob

BOOK = shipped()
FULL = example_car(ExampleCar(wheelie_bars=True))
FITTED = Crew(FULL).fitted
RAISES = {
    ("knob", "front", "rebound", False),
    ("spring", "front", "", False),
    ("valving", "front", "", False),
    ("travel limiter", "front", "", True),
    ("launch rpm", "car", "", True),
    ("link position", "rear", "", True),
}
CLEARANCE = {
    ("knob", "front", "compression", False),
    ("spring", "front", "", False),
    ("valving", "front", "", False),
    ("ride height", "front", "", False),
}
HIGH_OR_HARD = ("front-drops-hard", "front-carries", "front-rises-violently", "wheelie-bar-hits")


def kind(one: Adjuster, upward: bool) -> tuple[str, str, str, bool]:
    """Return what a hand turns, and which way."""
    return one.part, one.axle, one.controls or "", upward


def turned(one: Adjuster, upward: bool, steps: int = 1) -> tuple[Turn, ...]:
    """Return the turns of an adjuster and its twin from the middle."""
    pair = [one.id, *([one.partner] if one.partner else [])]
    by = one.up(upward) * steps * one.step
    at = {key: FITTED[key].start for key in pair}
    return tuple(Turn(adjuster=key, before=at[key], after=at[key] + by) for key in pair)


def wrong(one: Adjuster, upward: bool, named: frozenset[str], said: Mapping[str, str]) -> str:
    """Say which line of the trade's table a turn of one step would break, or nothing."""
    what, damper = kind(one, upward), one.part in ("knob", "valving")
    travel, stand = said.get("front-travel"), said.get("stand")
    landing = travel in ("at-stop", "near-stop")
    big = stand in ("big", "dangerous") or bool(named.intersection(HIGH_OR_HARD))
    rear_rebound = one.axle == "rear" and one.controls == "rebound"
    squats = said.get("rear-motion") == "squats" or "squats-and-drags" in named
    bleed = one.part == "knob" and one.speed == "low"
    table: dict[str, bool] = {
        "lift on a big stand": what in RAISES and big,
        "travel at the stop": what in CLEARANCE and landing and not bleed,
        "bleed at the stop": what in CLEARANCE and travel == "at-stop",
        "travel not known": what in CLEARANCE and not bleed and travel in (None, UNKNOWN),
        "shorter limiter": what == ("travel limiter", "front", "", False)
        and stand not in ("big", "dangerous"),
        "compression to hold": what == ("knob", "front", "compression", True)
        and "front-carries" in named
        and not landing,
        "hooks": said.get("hooked") == "yes" and named == {"front-slow-to-rise"},
        "firm landing": what == ("knob", "front", "compression", False)
        and not bleed
        and "nose-stays-high" in named
        and travel != "short-harsh",
        "wanders": damper and "wanders-at-speed" in named,
        "squats": rear_rebound and not upward and squats,
        "droop left": rear_rebound
        and upward
        and bool(named & {"spins-at-hit", "unloads-after-hit", "unloads-at-gear-change"})
        and said.get("rear-travel") != "most",
        "shake": damper and "tyre-shake" in named,
        "bogs": "bogs" in named
        and what
        in {
            ("knob", "rear", "compression", True),
            ("knob", "rear", "rebound", False),
            ("link position", "rear", "", True),
            ("tyre pressure", "rear", "", False),
        },
        "heat": "changed-through-day" in named
        and said.get("day-change") == "weaker"
        and said.get("body-temperature") == "hot"
        and what != ("launch rpm", "car", "", False),
        "mushy": damper and "mushy-damper" in named,
        "good": named == {"it-is-good"},
    }
    return ", ".join(line for line, broken in table.items() if broken)


def passes(symptom: str) -> Iterator[Situation]:
    """Yield a symptom with every combination of answers that its questions can get."""
    crew = Crew(FULL)
    crew.say([symptom])
    now = situation(crew.state, crew.run, BOOK)
    asks = BOOK.symptoms[symptom].asks
    words = [[*(choice.id for choice in BOOK.prompts[ask.prompt].choices), UNKNOWN] for ask in asks]
    seen = set()
    for combination in product(*words):
        said: dict[str, str] = {}
        for ask, word in zip(asks, combination, strict=True):
            if ask.when.holds({**now.facts, **said}):
                said[ask.prompt] = word
        if (key := tuple(said.items())) not in seen:
            seen.add(key)
            run = replace(crew.run, answers={**crew.run.answers, **said})
            yield replace(now, run=run, facts={**now.facts, **said})


def answers(now: Situation) -> dict[str, str]:
    """Return what was answered, as words."""
    return {key: value for key, value in now.run.answers.items() if isinstance(value, str)}


@pytest.mark.parametrize("symptom", sorted(BOOK.symptoms))
def test_no_turn_that_the_trade_forbids_stands(symptom: str) -> None:
    """A property: no gate lets a turn pass that a line of the table forbids, either way."""
    for now in passes(symptom):
        said = answers(now)
        for one, upward in product(FITTED.values(), (True, False)):
            broken = wrong(one, upward, frozenset({symptom}), said)
            if broken:
                assert gates.never(turned(one, upward), FITTED, now.facts), (broken, said, one.id)


@pytest.mark.parametrize("symptom", sorted(BOOK.symptoms))
def test_no_candidate_of_the_book_is_one_that_the_trade_forbids(symptom: str) -> None:
    """A property: what the book itself advises breaks no line of the table."""
    for now in passes(symptom):
        for candidate in candidates(now):
            if candidate.lost or not candidate.turns:
                continue
            turn = candidate.turns[0]
            one = FITTED[turn.adjuster]
            upward = (turn.after - turn.before) * one.up(True) > 0
            broken = wrong(one, upward, frozenset({symptom}), answers(now))
            tried = candidate.rule.id == "shake-rear-compression-softer"
            assert not broken or tried, (broken, answers(now), candidate.rule.id)


def gate(turns: tuple[Turn, ...], *named: str, back: bool = False, **said: Any) -> str:
    """Return what the gates say of turns after a pass."""
    facts = {key.replace("_", "-"): value for key, value in said.items()}
    return gates.never(turns, FITTED, {"also seen": frozenset(named), **facts}, back=back)


HIGH = FITTED["left front high-speed compression"]
LOW = FITTED["left front low-speed compression"]
FRONT_REBOUND = FITTED["left front rebound"]
REAR_REBOUND = FITTED["left rear rebound"]
REAR_COMPRESSION = FITTED["left rear high-speed compression"]
HEIGHT = FITTED["front ride height"]
LIMITER = FITTED["front limiter"]

FIVE: dict[str, Callable[[bool], str]] = {
    "softer high-speed compression at the stop": lambda back: gate(
        turned(HIGH, False), "front-bounces", front_travel="at-stop", stand="small", back=back
    ),
    "lower ride height at the stop": lambda back: gate(
        turned(HEIGHT, False), "nose-stays-high", front_travel="at-stop", back=back
    ),
    "softer rear rebound on a squatting car": lambda back: gate(
        turned(REAR_REBOUND, False), "spins-at-hit", rear_motion="squats", back=back
    ),
    "a damper on a wandering car": lambda back: gate(
        turned(REAR_COMPRESSION, True), "wanders-at-speed", back=back
    ),
    "front rebound 9 to 0, stand unknown": lambda back: gate(
        turned(FRONT_REBOUND, False, 9), "spins-at-hit", stand=UNKNOWN, back=back
    ),
}


@pytest.mark.parametrize("back", [False, True], ids=["advised", "put back"])
@pytest.mark.parametrize("turn", FIVE)
def test_five_turns_that_only_a_sentence_forbade(turn: str, back: bool) -> None:
    assert FIVE[turn](back)


EACH: dict[str, str] = {
    "lift": gate(turned(FRONT_REBOUND, False), stand="big"),
    "lift-unknown": gate(turned(FRONT_REBOUND, False, 9)),
    "stop": gate(turned(HEIGHT, False), front_travel="near-stop"),
    "contradiction": gate(turned(HIGH, False), "front-carries", "front-drops-hard", stand="none"),
    "travel-unknown": gate(turned(HEIGHT, False), front_travel=UNKNOWN),
    "short-limiter": gate(turned(LIMITER, False), "front-bounces", stand="small"),
    "hold-by-compression": gate(turned(LOW, True), "front-carries", stand="small"),
    "hooks": gate(turned(FRONT_REBOUND, False), "front-slow-to-rise", hooked="yes", stand="none"),
    "landing-unknown": gate(turned(HIGH, False), "nose-stays-high", front_travel="short-harsh"),
    "firm-landing": gate(
        turned(HIGH, False), "nose-stays-high", front_travel="short-soft", stand="small"
    ),
    "wanders": gate(turned(HIGH, True), "wanders-at-speed", "front-bounces"),
    "squat-rebound": gate(turned(REAR_REBOUND, False), rear_motion="squats"),
    "squat-by-rebound": gate(turned(REAR_REBOUND, True), "squats-and-drags"),
    "droop-left": gate(turned(REAR_REBOUND, True), "spins-at-hit", rear_travel="some"),
    "tops-out": gate(turned(REAR_REBOUND, False), "rear-tops-out"),
    "shake": gate(turned(REAR_COMPRESSION, False), "tyre-shake"),
    "more-hit": gate(turned(REAR_COMPRESSION, True), "bogs"),
    "split": gate(turned(REAR_REBOUND, True)[:1], "rolls-to-one-side"),
    "heat": gate(turned(HIGH, True), "changed-through-day", "front-bounces"),
    "mushy": gate(turned(HIGH, True), "mushy-damper"),
    "bind": gate(turned(HIGH, True), "ride-height-differs"),
    "damaged": gate(turned(HIGH, True), "damage-found"),
    "scatter": gate(turned(REAR_REBOUND, True), "sixty-foot-varies"),
    "good": gate(turned(FITTED["launch rpm"], False), "it-is-good"),
}


@pytest.mark.parametrize("never", NEVERS, ids=lambda never: never.id)
def test_each_never_refuses_and_says_itself(never: Any) -> None:
    assert EACH[never.id] == never.says


def test_two_knobs_are_never_turned_at_once() -> None:
    both = (*turned(HIGH, True), *turned(LOW, True))
    assert gate(both, "front-bounces", front_travel="short-soft") == TWO_KNOBS
    ends = (*turned(HIGH, True), *turned(REAR_REBOUND, True))
    assert gate(ends, "front-bounces", front_travel="short-soft") == TWO_KNOBS


def test_what_was_measured_counts_as_seen() -> None:
    """The ring within a tenth of the stop is near it, whatever was answered."""
    said = {"front-travel": "short-soft", TRAVEL_USED: 0.95}
    assert "at or near the stop" in gates.never(turned(HEIGHT, False), FITTED, said)
    assert not gates.never(turned(HEIGHT, False), FITTED, {**said, TRAVEL_USED: 0.6})


def test_a_shake_that_power_was_tried_for_may_have_a_damper() -> None:
    facts = {"also seen": frozenset({"tyre-shake"}), LEVERS_TRIED: frozenset({"launch rpm"})}
    assert not gates.never(turned(REAR_COMPRESSION, False), FITTED, facts)


def test_half_a_step_of_front_rebound_stays_right_with_the_stand_unknown() -> None:
    assert not gate(turned(FRONT_REBOUND, False, 3), "spins-at-hit", stand=UNKNOWN)
    assert gate(turned(FRONT_REBOUND, False, 4), "spins-at-hit", stand=UNKNOWN)


SPINNING = {"symptoms": ["spins-at-hit"], "tyre_hit": "under", "rear_motion": "squats"}


def test_a_spin_asks_where_the_front_rebound_stands_before_the_rear() -> None:
    """A firm front rebound is softened before the rear is touched, where the stand allows it."""
    car = invented_car(front=[knob("rebound", "rebound", start=14)])
    crew = Crew(car)
    crew.tell(stand="none", **SPINNING)
    assert crew.advice.rule == "spins-front-rebound-softer"
    crew = Crew(car)
    crew.tell(stand="big", **SPINNING)
    assert crew.advice.rule == "spins-squats-compression-firmer"
    crew = Crew()
    crew.tell(**SPINNING)
    assert crew.advice.rule == "spins-squats-compression-firmer"


def test_a_rear_that_fell_is_asked_how_much_droop_it_used() -> None:
    crew = Crew()
    crew.tell(symptoms=["unloads-after-hit"], unload_when="rear-fell")
    assert crew.prompt.id == "rear-travel"


RIDE_HEIGHT = {"id": "front ride height", "kind": "ride height", "axle": "front", "start": 5}


@pytest.mark.parametrize(
    ("travel", "advised"),
    [
        ("at-stop", "ladder"),
        ("near-stop", "ladder"),
        (UNKNOWN, "measure"),
        ("short-soft", "turn"),
    ],
)
def test_travel_is_asked_before_ride_height_takes_it(travel: str, advised: str) -> None:
    """Travel is asked before any advice that takes clearance."""
    car = invented_car(front=[knob("rebound", "rebound")], levers=[RIDE_HEIGHT])
    crew = Crew(car)
    crew.tell(symptoms=["nose-stays-high"], on_lift="sinks", stand="small")
    assert crew.prompt.id == "front-travel"
    crew.tell(front_travel=travel)
    assert crew.advice.kind == advised
    if advised == "turn":
        assert crew.advice.rule == "nose-high-ride-height-lower"
    assert not [line for line in crew.advice.lines if "ride height" in line and advised != "turn"]


def test_no_text_says_that_a_knob_is_open_or_at_its_end_without_the_other_cases() -> None:
    """A car without a bleed is never told that its bleed is open; siblings alike."""
    claims = ("bleed is open", "no more to give", "to its end", "used up:")
    said = {rule.id: rule.cause.lower() for rule in BOOK.rules.values() if rule.do == "turn"}
    assert [key for key, cause in said.items() if any(claim in cause for claim in claims)] == []


def test_a_crews_own_way_back_is_told_what_the_trade_never_does() -> None:
    """A put-back that the crew asks for is theirs to make; what was seen against it is said."""
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="same", stand="small", front_travel="at-stop")
    crew.say("leave")
    crew.do("put back to baseline")
    while crew.prompt.id.startswith("recount:"):
        crew.say("")
    assert crew.prompt.id.startswith("turn:")
    assert "never takes travel from a landing" in crew.prompt.notice
