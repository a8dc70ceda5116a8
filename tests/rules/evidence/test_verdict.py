"""Verdicts on invented days: what is said, what is not, and what the next passes would tell."""

from dataclasses import replace
from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.evidence.designs import design_of, letters_of, offers
from rules.evidence.model import fit
from rules.evidence.passes import PassTime, count_of
from rules.evidence.passes_needed import MOST, chance_of_telling, more_passes
from rules.evidence.priors import Noise, for_elapsed, for_sixty
from rules.evidence.verdict import Verdict, judge
from rules.evidence.verdict_words import (
    chances,
    drift_words,
    effect_words,
    headline,
    leaning,
    why_not,
)
from tests.support.sample import examples, sampled

SIXTY = for_sixty(1.30)
# Noise of an invented car, mean zero and about 0.008 s.
NOISE = (0.004, -0.009, 0.006, -0.003, 0.010, -0.007, 0.001, -0.010, 0.008, 0.000, -0.005, 0.005)
NAMES = {"A": "put back", "B": "with the change"}


def day(order: str, quicker: float = 0.0, drift: float = 0.0) -> list[PassTime]:
    """Return the passes of a day, B quicker than A by so much."""
    return [
        PassTime(n, letter, 1.30 + NOISE[n] - quicker * (letter == "B") + drift * n)
        for n, letter in enumerate(order)
    ]


def verdict(order: str, quicker: float = 0.0, drift: float = 0.0, worth: float = 0.010) -> Verdict:
    return judge(day(order, quicker, drift), "A", "B", SIXTY, worth)


def test_a_large_gain_with_a_way_back_helped() -> None:
    found = verdict("ABABA", 0.040)
    assert found.word == "helped"
    assert headline(found).startswith("Helped, ")
    assert "chances in" in headline(found)
    assert why_not(found) == ""


def test_a_large_loss_hurt() -> None:
    found = verdict("ABABA", -0.045)
    assert found.word == "hurt"
    assert found.probably_worse
    assert headline(found).startswith("Hurt, ")


@pytest.mark.parametrize("order", ["AB", "AABB", "AAABBB"])
@pytest.mark.parametrize("quicker", [0.030, 0.150, -0.150])
def test_without_a_way_back_the_times_alone_never_tell(order: str, quicker: float) -> None:
    found = verdict(order, quicker)
    assert found.word == "cannot tell"
    assert "drift" in why_not(found)


def test_a_gain_below_what_was_declared_does_not_help() -> None:
    assert verdict("ABABABABAB", 0.020, worth=0.010).word == "helped"
    assert verdict("ABABABABAB", 0.020, worth=0.040).word == "cannot tell"


def test_many_passes_without_effect_are_likely_under_what_was_declared() -> None:
    found = verdict("ABABABABABAB", 0.004, worth=0.020)
    assert found.no_matter
    assert "likely under 0.020 s" in headline(found)
    assert "small beside" in why_not(found)


@examples(10, 30)
@given(quicker=st.floats(-0.08, 0.08), order=st.sampled_from(["ABA", "ABBA", "ABABAB"]))
def test_the_two_ways_are_mirror_images(quicker: float, order: str) -> None:
    one = judge(day(order, quicker), "A", "B", SIXTY, 0.010)
    other = judge(day(order, quicker), "B", "A", SIXTY, 0.010)
    assert one.effect.mean == pytest.approx(-other.effect.mean, abs=1e-9)
    assert one.quicker == pytest.approx(1.0 - other.quicker, abs=1e-9)
    mirror = {"helped": "hurt", "hurt": "helped", "cannot tell": "cannot tell"}
    assert other.word == mirror[one.word]


@pytest.mark.parametrize("quicker", [0.06, 0.10, 0.15, 0.30, 0.40])
def test_a_plainly_large_gain_is_believed(quicker: float) -> None:
    """Even far beyond what a change usually does."""
    found = verdict("ABABA", quicker)
    assert found.word == "helped"
    assert found.effect.mean == pytest.approx(-quicker, rel=0.3)


def test_a_lifted_pass_changes_nothing() -> None:
    passes = day("ABABA", 0.040)
    spoilt = PassTime(5, "B", 4.0, clean=False)
    assert judge([*passes, spoilt], "A", "B", SIXTY, 0.010) == judge(passes, "A", "B", SIXTY, 0.010)
    assert count_of([*passes, spoilt], "B") == 2


def test_drift_is_seen_and_said() -> None:
    drifting = [PassTime(n, "AB"[n % 2], 1.30 + NOISE[n] / 4 - 0.008 * n) for n in range(10)]
    assert "quicker with each pass" in drift_words(judge(drifting, "A", "B", SIXTY, 0.010))
    assert "No sure drift" in drift_words(verdict("ABA"))


def test_the_lane_is_not_taken_for_the_change() -> None:
    """The new setting was run in the slow lane only; both lanes were run on the old one."""
    lanes = [("A", "left"), ("A", "right"), ("B", "right"), ("A", "left"), ("B", "right")]
    passes = [
        PassTime(n, setting, 1.30 + 0.006 * (lane == "right"), lane=lane)
        for n, (setting, lane) in enumerate(lanes)
    ]
    blind = [PassTime(one.order, one.setting, one.value_s) for one in passes]
    seen = fit(passes, SIXTY).effect("A", "B").mean
    assert abs(seen) < abs(fit(blind, SIXTY).effect("A", "B").mean)


def test_the_air_is_not_taken_for_the_change() -> None:
    air = (1.15, 1.10, 1.15, 1.10)
    passes = [
        PassTime(n, "ABAB"[n], 9.0 * (1.15 / one) ** (1 / 3), air_density=one)
        for n, one in enumerate(air)
    ]
    blind = [PassTime(one.order, one.setting, one.value_s) for one in passes]
    prior = for_elapsed(9.0)
    assert abs(fit(passes, prior).effect("A", "B").mean) < 0.012
    assert fit(blind, prior).effect("A", "B").mean > 0.04


def test_what_more_passes_would_tell() -> None:
    nearly = fit(day("AAAAABB", 0.030), SIXTY)
    more = more_passes(nearly, "A", "B", 0.010)
    assert more.settings == ("A", "B")
    assert more.would_tell
    told = headline(judge(nearly.passes, "A", "B", SIXTY, 0.010), more, NAMES)
    assert told == "Cannot tell: 2 more passes would (put back, with the change)."
    hopeless = more_passes(fit(day("ABBAAB", 0.005), SIXTY), "A", "B", 0.010)
    assert len(hopeless.settings) == MOST
    assert not hopeless.would_tell
    assert "not tell either" in headline(verdict("ABBAAB", 0.005), hopeless)
    with pytest.raises(ValueError, match="passes to plan"):
        more_passes(nearly, "A", "B", 0.010, most=0)


@examples(12, 200)
@given(st.text("AB", min_size=2, max_size=7), st.sampled_from((-0.030, -0.008, 0.004, 0.020)))
def test_what_is_proposed_ends_on_the_likelier_setting(letters: str, quicker: float) -> None:
    """So that the car stands on it when the last of them is run, whatever they tell."""
    known = fit(day(letters, quicker), SIXTY)
    likelier = "B" if known.effect("A", "B").mean < 0.0 else "A"
    for worth in (None, 0.010):
        assert more_passes(known, "A", "B", worth).settings[-1] == likelier


def test_a_day_of_one_setting_has_no_comparison() -> None:
    found = verdict("AAA")
    assert found.word == "cannot tell"
    before = sqrt(sum(weight * size**2 for size, weight in SIXTY.settings))
    assert found.effect.sd == pytest.approx(before, rel=0.05)
    assert "both settings need a clean pass" in why_not(found)
    more = more_passes(fit(day("AAA"), SIXTY), "A", "B", 0.010)
    assert len(more.settings) == MOST


@pytest.mark.parametrize(
    ("letters", "label", "returned"),
    [
        ("A", "no comparison yet", False),
        ("AB", "A-B alone: worth little", False),
        ("AABB", "never back", False),
        ("ABA", "A-B-A", True),
        ("AABA", "A-B-A", True),
        ("ABBA", "A-B-B-A", True),
        ("BAB", "put back", True),
        ("ABABAB", "3 old and 3 new", True),
    ],
)
def test_designs(letters: str, label: str, returned: bool) -> None:
    found = design_of(letters)
    assert label in found.label
    assert found.returned is returned


def test_other_settings_stand_outside_a_design() -> None:
    passes = [*day("ABA"), PassTime(3, "C", 1.4), PassTime(4, "B", 1.3, clean=False)]
    assert letters_of(passes, "A", "B") == "ABA"


def test_offers_fit_the_time_left() -> None:
    assert [one.letters for one in offers("A", 100, 30)] == ["BBA", "BA", "B"]
    assert [one.letters for one in offers("A", 65, 30)] == ["BA", "B"]
    assert [one.letters for one in offers("AAAB", 65, 30)] == ["BA", "A"]
    assert [one.letters for one in offers("AB", None, 30)] == ["BA", "A"]
    assert [one.letters for one in offers("ABB", None, 30)] == ["A"]
    assert offers("A", 10, 30) == []
    with pytest.raises(ValueError, match="minutes a pass: found 0"):
        offers("A", 10, 0)


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.03, "less than 1 chance in 10"),
        (0.10, "1 chance in 10"),
        (0.69, "6 chances in 10"),
        (0.90, "9 chances in 10"),
        (0.949, "9 chances in 10"),
        (0.96, "19 chances in 20"),
        (0.991, "99 chances in 100"),
        (1.0, "199 chances in 200"),
    ],
)
def test_chances_are_rounded_down(chance: float, words: str) -> None:
    assert chances(chance) == words


def test_words_have_no_statistics_in_them() -> None:
    for order in ("A", "AB", "ABA", "ABABAB"):
        for quicker in (-0.05, 0.0, 0.02, 0.06):
            found = verdict(order, quicker)
            told = [headline(found), effect_words(found), why_not(found), leaning(found)]
            assert all(" p " not in one and "sigma" not in one for one in told)
            assert all(one.isascii() and len(one) <= 80 for one in told)


@pytest.mark.parametrize("wrong", [0.0, -1.0, nan, inf])
def test_a_wrong_time_is_refused_by_its_pass(wrong: float) -> None:
    with pytest.raises(ValueError, match="time of pass 3: found"):
        PassTime(3, "A", wrong)
    with pytest.raises(ValueError, match="air density of pass 3: found"):
        PassTime(3, "A", 1.3, air_density=wrong)


def test_what_else_is_refused() -> None:
    with pytest.raises(ValueError, match="lane of pass 1: found middle; wanted left or right"):
        PassTime(1, "A", 1.3, lane="middle")
    with pytest.raises(ValueError, match=r"smallest effect worth having: found 0\.5"):
        verdict("ABA", worth=0.5)
    with pytest.raises(ValueError, match="wanted at least one"):
        fit([PassTime(1, "A", 1.3, clean=False)], SIXTY)


def test_a_way_back_is_not_needed_where_drift_is_well_known() -> None:
    """Two dozen passes on a third setting have shown what the day does by itself."""
    day_long = [PassTime(n, "C", 1.30 + NOISE[n % 12] / 3) for n in range(24)]
    passes = [*day_long, *(PassTime(24 + n, "A", 1.30) for n in range(3))]
    passes += [PassTime(27 + n, "B", 1.22) for n in range(3)]
    found = judge(passes, "A", "B", SIXTY, 0.030)
    assert not found.design.returned
    assert found.drift_ruled_out
    assert found.word == "helped"
    assert judge(passes[24:], "A", "B", SIXTY, 0.030).word == "cannot tell"


@pytest.mark.parametrize(
    ("to_come", "draws"), sampled([(("B", "A"), 600), (("B", "A"), 2000), (("B",), 2000)], 3)
)
def test_the_chance_that_more_passes_tell_against_playing_them_out(
    to_come: tuple[str, ...], draws: int
) -> None:
    """Passes drawn from what the model expects of them and judged, many times."""
    prior = replace(
        SIXTY,
        noises=(Noise(0.008, 0.0, 1.0),),
        settings=((0.020, 1.0),),
        wanders=((0.002, 1.0),),
        spoilt_share=0.0,
        lane_sd=0.0,
    )
    start = day("AABA", 0.026)
    promised = chance_of_telling(fit(start, prior), "A", "B", 0.010, to_come)
    told, chance = 0, np.random.default_rng(5)
    for _ in range(draws):
        passes = list(start)
        for setting in to_come:
            next_one = fit(passes, prior).next_pass(len(passes), setting)
            value = float(chance.normal(next_one.mean, next_one.sd))
            passes.append(PassTime(len(passes), setting, value))
        told += judge(passes, "A", "B", prior, 0.010).word != "cannot tell"
    assert 0.1 < promised < 0.9
    # 0.04, or four standard errors of so few draws.
    give = max(0.04, 4.0 * sqrt(promised * (1.0 - promised) / draws))
    assert told / draws == pytest.approx(promised, abs=give)
