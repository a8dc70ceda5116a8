"""Which spring rates are wanted: ranges, what is guessed or missing, what is owned. Invented."""

import re
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files import SHIPPED_CARS, load_car
from rules.car.model import Car
from rules.crew.sheets.all import MENU, how_far
from rules.crew.sheets.rate_words import RatesWanted, rate_findings
from rules.crew.sheets.rates import SPRING_RATES
from rules.crew.sheets.rounds import filling
from rules.crew.sheets.survey import TRAVEL_SURVEY
from rules.launch.car_number import front_mass, sprung_on
from rules.launch.cloud.car_cloud import deviates, typical_cars
from rules.launch.cloud.knobs import curve_of
from rules.launch.mechanics.landing import landing_budget
from rules.shop.findings import Finding
from rules.shop.rate_ranges import damper_work, landing_at, rates_for_hertz, rates_for_touchdown
from rules.shop.spring_fit import spring_words
from rules.shop.spring_rates import Landing, rates_for_landing, spring_work
from rules.units import System
from rules.wording import say
from tests.support.sample import examples, sampled
from tests.support.shop import HEAVY, MASSES, SURVEYED, Hand

CORNERS = {"left_front": 371, "right_front": 371, "left_rear": 329, "right_rear": 329}
WHOLE: dict[str, Any] = {
    "masses": {**MASSES, **CORNERS, "pitch_inertia": 1800},
    "geometry": {"wheelbase": 2.7, "sprung_cg_height": 0.58},
    "front": {"spring_rate": 40_000, "motion_ratio": 0.8, "bump_travel": 0.10,
              "droop_travel": 0.07},
    "rear": {"spring_rate": 25_000, "motion_ratio": 0.9},
    "launch": {"peak_g": 1.2},
}  # fmt: skip
OWNED = [
    {"kind": "spring", "axle": "front", "name": name, "rate": rate}
    for name, rate in (("Blue", 30_000), ("Red", 47_000), ("Black", 70_000))
]


def whole(**more: Any) -> Car:
    """The invented car with all that a landing wants."""
    return Car.parse(HEAVY.model_dump(by_alias=True) | WHOLE | more)


def found(car: Car, **said: str) -> dict[str, Finding]:
    hand = Hand(car)
    hand.fill(SPRING_RATES, {key.replace("_", " "): value for key, value in said.items()})
    return {one.name: one for one in hand.result(SPRING_RATES).findings}


def test_the_sheet_is_the_eighth_of_the_menu_and_asks_three_things() -> None:
    assert MENU[7] is SPRING_RATES
    hand = Hand(whole())
    assert hand.fill(SPRING_RATES) == 3
    hand.finish(SPRING_RATES)
    assert how_far(SPRING_RATES, hand.state).startswith("worked out")
    assert hand.result(SPRING_RATES).edits == ()


def test_a_target_is_answered_with_a_range_and_the_nearest_spring_that_is_owned() -> None:
    """By hand, f = sqrt(2 K MR^2 / m) / 2 pi: 682 kg at 0.8 and 1.5 Hz are 47.3 N/mm."""
    names = found(whole(stock=OWNED), front_target="1.5", rear_target="1.4")
    one = names["front spring for 1.5 Hz"]
    assert one.level == "ok"
    assert one.value == pytest.approx(47.3e3, rel=0.01)
    assert "In the trailer: Red, 47 N/mm." in say(one.says, "metric")
    assert "Black" not in one.says
    assert "Guessed" not in one.says
    near = found(whole(stock=OWNED), front_target="1.35")["front spring for 1.35 Hz"]
    assert "Nearest in the trailer: Red" in near.says
    assert "In the trailer" not in names["rear spring for 1.4 Hz"].says


def test_without_a_target_the_usual_range_is_said_with_its_label() -> None:
    one = found(whole())["rear spring for 1.1 to 2 Hz"]
    assert "The usual range (common practice, no source)." in one.says


@pytest.mark.parametrize(
    ("taken", "named"),
    [
        ("masses", "total mass, corner scales"),
        ("front", "front motion ratio"),
    ],
)
def test_what_is_missing_is_named(taken: str, named: str) -> None:
    tables = {taken: {}} if taken == "front" else {taken: {"front_unsprung": 60}}
    names = found(whole(**tables), front_target="1.4", touchdown="1.2 m/s")
    for name in ("front spring for 1.4 Hz", "front spring, landing without thrust"):
        assert names[name].level == "unknown"
        assert named in names[name].says
    assert found(whole())["front spring for the landing"].level == "unknown"
    assert "the key h in the pits" in found(whole())["front spring for the landing"].says


def test_what_is_guessed_or_of_a_typical_car_is_said() -> None:
    table = {key: value for key, value in WHOLE["masses"].items() if key != "pitch_inertia"}
    car = whole(masses=table, geometry={"wheelbase": 2.7}, guesses=["masses.front_unsprung"])
    names = found(car, front_target="1.4", touchdown="1.2 m/s")
    assert "Guessed: front unsprung mass." in names["front spring for 1.4 Hz"].says
    landing = names["front spring, landing without thrust"].says
    for words in ("pitch inertia", "height of the centre of gravity", "front unsprung mass"):
        assert words in landing.partition("Guessed: ")[2]


def test_a_guess_widens_the_range() -> None:
    sure = rates_for_hertz(whole(), {}, "front", (1.4, 1.4)).least
    unsure = rates_for_hertz(whole(guesses=["front.motion_ratio"]), {}, "front", (1.4, 1.4)).least
    assert sure is not None
    assert unsure is not None
    assert unsure.high - unsure.low > 3.0 * (sure.high - sure.low)


def test_a_landing_says_from_which_rate_up_to_which() -> None:
    """Tight in droop: 682 kg over 0.07 m of droop are 95.5 kN/m, 74.6 N/mm a spring at 0.8."""
    names = found(whole(stock=OWNED), touchdown="2.1 m/s")
    held = names["front spring, landing on full thrust"]
    assert held.level == "ok"
    assert "today's 40 N/mm takes it, and so does a stiffer one, at most 69.3 to 78.1 N/mm" in say(
        held.says, "metric"
    )
    assert held.value == pytest.approx(40_000)
    assert "In the trailer: Red, 47 N/mm." in say(held.says, "metric")
    assert "a landing lies between this and none" in held.says
    unsure = names["front spring, landing without thrust"]
    assert unsure.level == "look"
    assert "on 27 % of the cars this may be, a spring that stays tight" in unsure.says
    assert "on the rest none does. It wants more bump travel" in unsure.says
    assert "trailer" not in unsure.says
    hard = found(whole(stock=OWNED), touchdown="3 m/s")["front spring, landing without thrust"]
    assert "no spring that stays tight in droop takes it" in hard.says
    assert "more bump travel" in hard.says
    assert hard.level == "look"


def test_a_changed_spring_is_set_up_again_and_checked_for_bind() -> None:
    one = found(whole())["before a spring is changed"]
    assert "preload and ride height again" in one.says
    assert "bind and looseness by the maker's figures" in one.says


def test_a_landing_is_never_answered_with_a_lighter_spring() -> None:
    for travel in ((0.10, 0.07), (0.06, 0.09)):
        front = {**WHOLE["front"], "bump_travel": travel[0], "droop_travel": travel[1]}
        for speed in ("0.3 m/s", "0.6 m/s", "1.2 m/s", "2 m/s", "3 m/s"):
            for name, one in found(whole(front=front, stock=OWNED), touchdown=speed).items():
                if "landing" in name:
                    assert "Blue" not in one.says
                    assert "no least" not in one.says or "lands faster" in one.says


def test_a_spring_past_what_a_landing_wants_is_said_and_no_lighter_one_named() -> None:
    """With less bump than droop a stiffer spring takes up less at the same ride height."""
    front = {**WHOLE["front"], "bump_travel": 0.06, "droop_travel": 0.09, "spring_rate": 60_000}
    one = found(whole(front=front, stock=OWNED), touchdown="0.4 m/s")
    past = one["front spring, landing without thrust"]
    assert past.level == "look"
    assert "today's 60 N/mm is past what stays tight in droop" in say(past.says, "metric")
    assert past.value is None
    assert "lands faster" in past.says
    assert "trailer" not in past.says


NAMED_RATE = re.compile(r"([0-9.]+)(?: to ([0-9.]+))? N/mm")


@given(
    st.floats(0.02, 0.15), st.floats(0.002, 0.12), st.floats(15e3, 120e3), st.floats(0.2, 3.0),
    st.booleans(),
)  # fmt: skip
@examples(6, 25)
def test_a_landing_names_no_rate_under_todays(
    bump: float, droop: float, today: float, speed: float, guessed: bool
) -> None:
    front = {"motion_ratio": 0.8, "bump_travel": bump, "droop_travel": droop, "spring_rate": today}
    guesses = ["front.motion_ratio", "masses.pitch_inertia"] if guessed else []
    car = whole(front=front, stock=OWNED, guesses=guesses)
    asked = RatesWanted({"front": (1.3, 1.3), "rear": (1.3, 1.3)}, frozenset(), speed)
    for one in rate_findings(car, {}, asked):
        if "landing" not in one.name:
            continue
        assert one.value is None or one.value >= today
        for low, high in NAMED_RATE.findall(say(one.says, "metric")):
            assert float(low) >= round(today / 1e3, 1) - 1e-9
            assert float(high or low) < 1_000.0 + 1e-9
        if "on the rest none does" in one.says:
            assert one.value is None
            assert not NAMED_RATE.search(say(one.says, "metric"))
            assert "more bump travel, firmer high-speed compression or less lift" in one.says


def test_a_stroke_of_a_landing_without_droop_has_no_upper_bound() -> None:
    """Statics: 6.7 kN over 2 mm are 3.3 MN/m, 2.6 MN/m a spring: more than any spring has."""
    front = {**WHOLE["front"], "droop_travel": 0.002, "bump_travel": 0.12}
    one = found(whole(front=front), touchdown="0.6 m/s")["front spring, landing on full thrust"]
    assert "and so does a stiffer one, " in one.says
    assert "no upper bound" in one.says
    most = rates_for_touchdown(whole(front=front), {}, 0.6, thrust=True).most
    assert most is not None
    assert most.high == float("inf")


def test_a_spring_that_is_wanted_stiffer_is_named_from_todays_up() -> None:
    front = {**WHOLE["front"], "spring_rate": 15_000}
    one = found(whole(front=front), touchdown="1.3 m/s")["front spring, landing without thrust"]
    assert "at least 15 to 58.9 N/mm, at most 69.3 to 78.2 N/mm, each" in say(one.says, "metric")
    assert one.value is not None
    assert one.value > 15_000


def test_springs_that_would_take_a_landing_alone_are_named_from_todays_up() -> None:
    """[C] 124.7 J of motion over (0.01 - 0.0049) / 2 m2: 48.9 kN/m, 38.2 N/mm a spring at 0.8."""
    assert "Today's springs would take this landing alone." in seat_words(whole(), 0.6)
    lighter = seat_words(whole(front={**WHOLE["front"], "spring_rate": 10_000}), 0.6)
    assert "Springs of 38.2 N/mm would take this landing alone." in lighter
    loose = seat_words(whole(front={**WHOLE["front"], "spring_rate": 90_000}), 0.6)
    assert not any("take this landing alone" in one for one in loose)


def seat_words(car: Car, speed: float) -> list[str]:
    launched = Car.parse(car.model_dump(by_alias=True) | {"launch": {}})
    return [say(one, "metric") for one in spring_words(launched, "front", 60_000.0, None, speed)]


def test_a_spring_that_does_not_fit_is_not_named() -> None:
    """Statics: 4.2 kN close 47 N/mm by 89 mm: of 100 mm free that leaves less than it is solid."""
    short = [OWNED[0], {**OWNED[1], "free_length": 0.1, "solid_length": 0.05}]
    one = found(whole(stock=short), front_target="1.5")["front spring for 1.5 Hz"]
    assert "Red" not in one.says
    assert "Blue" in one.says


def test_the_touchdown_of_the_latest_pass_stands_in_for_one_that_is_not_typed() -> None:
    hand = Hand(whole())
    hand.say(["front-drops-hard"])
    inputs = {"tyre": 650, "tyre px": 650, "earlier gap": 100, "last gap": 40, "frames": 6}
    hand.do("measure", what="touchdown", inputs={**inputs, "rate": 120})
    asked = SPRING_RATES.fields(filling(SPRING_RATES, hand.state))
    assert any("Last measured: " in one.hint for one in asked)
    hand.fill(SPRING_RATES)
    names = [one.name for one in hand.result(SPRING_RATES).findings]
    assert "front spring, landing on full thrust" in names


def test_a_survey_ends_with_the_rates_of_the_car_as_surveyed() -> None:
    """By hand: 682 kg at the ratio of 0.8 that the survey found and 1.5 Hz are 47.3 N/mm."""
    hand = Hand(whole(front={}, stock=OWNED))
    hand.fill(SPRING_RATES, {"front target": "1.5", "touchdown": "1.2 m/s"})
    hand.finish(SPRING_RATES)
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    names = {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}
    assert names["front spring for 1.5 Hz"].value == pytest.approx(47.3e3, rel=0.01)
    assert names["front spring, landing without thrust"].level != "unknown"
    assert hand.result(TRAVEL_SURVEY).says == ()


def test_a_measured_ratio_is_no_guess_any_more() -> None:
    hand = Hand(whole(guesses=["front.motion_ratio"]))
    hand.fill(TRAVEL_SURVEY, SURVEYED)
    names = {one.name: one for one in hand.result(TRAVEL_SURVEY).findings}
    assert "motion ratio" not in names["front spring for 1 to 1.8 Hz"].says


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("touchdown", [None, 0.6, 1.2, 3.0])
def test_every_text_is_plain_in_either_wording(system: System, touchdown: float | None) -> None:
    asked = RatesWanted({"front": (1.3, 1.3), "rear": (1.1, 2.0)}, frozenset({"rear"}), touchdown)
    for car in (whole(), whole(stock=OWNED), HEAVY, Car.parse({**BARE, "units": system})):
        for one in rate_findings(car, {}, asked):
            text = say(one.says, system)
            assert text.isascii()
            assert not any(sign in text for sign in "{}|")
            assert text.endswith(".")
            assert len(text) < 420


BARE = {"setdown_car": 1, "id": "bare", "name": "Bare"}


@given(st.floats(0.6, 3.0), st.floats(1.01, 1.3))
@examples(6, 20)
def test_a_stiffer_target_gives_a_stiffer_spring(hertz: float, more: float) -> None:
    softer = rates_for_hertz(whole(), {}, "front", (hertz, hertz)).least
    stiffer = rates_for_hertz(whole(), {}, "front", (hertz * more, hertz * more)).least
    assert softer is not None
    assert stiffer is not None
    assert softer.low <= softer.middle <= softer.high
    assert (stiffer.low, stiffer.middle) > (softer.low, softer.middle)
    assert stiffer.middle == pytest.approx(softer.middle * more**2, rel=1e-4)


@given(
    st.floats(100.0, 4000.0), st.floats(3000.0, 9000.0), st.floats(0.0, 0.15),
    st.floats(0.02, 0.15), st.floats(0.0, 1500.0),
)  # fmt: skip
def test_every_rate_that_is_said_takes_the_landing_and_stays_tight(
    energy: float, static: float, droop: float, bump: float, by_dampers: float
) -> None:
    landing = Landing(energy, static, droop, bump)
    rates = rates_for_landing(landing, by_dampers)
    if rates is None:
        return
    least, most = rates
    assert 0.0 <= least <= most
    for rate in (max(least, 1.0), (max(least, 1.0) + min(most, 1e7)) / 2.0, min(most, 1e7)):
        if not least <= rate <= most:
            continue
        assert rate * droop <= static * (1.0 + 1e-6)
        left = energy - spring_work(rate, static, droop, bump)
        assert left <= by_dampers + 1e-6 * energy + 1e-6


def test_more_speed_wants_no_softer_spring() -> None:
    least = []
    for speed in (1.5, 2.0, 2.5):
        span = rates_for_touchdown(whole(), {}, speed, thrust=False).least
        least.append(span.middle if span else float("inf"))
    assert least == sorted(least)


@pytest.mark.parametrize("name", sampled([("demo",), ("leaf-metric",)], 2))
def test_the_dampers_share_against_the_landing_step_by_step(name: str) -> None:
    """At the speed that just meets the stop the balance closes within 6 % of the energy."""
    cars = typical_cars(car := load_car(SHIPPED_CARS / f"{name}.toml"), {}, deviates(car, 8)).cars
    for one in cars:
        curve = curve_of(one["damper"]["front"]["comp"])
        static = sprung_on(one, "front") * one["g"]
        speed = meets_the_stop(one)
        landing = landing_at(one, speed, 0.0)
        left = landing.energy - spring_work(one["kf"], static, landing.droop, landing.bump)
        taken = damper_work(curve, speed, landing.droop + landing.bump)
        assert abs(taken - left) < 0.06 * landing.energy


def meets_the_stop(one: dict[str, Any]) -> float:
    """Return the touchdown speed of which the step-by-step landing just meets the stop [m/s]."""
    low, high = 0.05, 5.0
    for _ in range(12):
        speed = (low + high) / 2.0
        budget = landing_budget(
            front_mass(one), speed, sprung_on(one, "front") * one["g"], one["kf"],
            curve_of(one["damper"]["front"]["comp"]), -one["front_droop"], one["front_bump"],
        )  # fmt: skip
        low, high = (speed, high) if budget.spare > 0.0 else (low, speed)
    return low


def test_no_array_library_is_loaded_before_rates_are_asked_for() -> None:
    code = "import sys, rules.crew.sheets.all; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
