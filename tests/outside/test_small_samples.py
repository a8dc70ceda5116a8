"""The estimate of a change against textbook values and reference libraries.

The normal model: the closed form of a normal prior and a known noise (Gelman et al., Bayesian Data
Analysis, chapter 2, from memory), computed with a general-purpose library. Flat priors: Student's
t. R data set `sleep` (Cushny and Peebles, from memory): t -1.8608 pooled, paired t -4.0621 with 9
degrees of freedom. NIST/SEMATECH e-Handbook, AUTO83B: pooled t -12.62059, 326 degrees of freedom;
its data enter by their published counts, means and standard deviations, which are sufficient.
Welch's t has a noise for each setting and is no limit of this model.
"""

from itertools import pairwise
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from rules.evidence.model import effect_sd, fit, rows_of
from rules.evidence.passes import PassTime
from rules.evidence.priors import Priors
from tests.support.sample import examples

KNOWN = Priors(noise_df=inf, drift_sd=0.0, lane_sd=0.0, wide_share=0.0)
FLAT = {"noise_df": 0.0, "drift_sd": 0.0, "lane_sd": 0.0, "wide_share": 0.0}
SLEEP = (
    (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0),
    (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4),
)


def run(plan: str, quicker: float = 0.020, drift: float = 0.0) -> list[PassTime]:
    """Return noiseless passes, B quicker than A."""
    return [
        PassTime(n, letter, 1.5 - quicker * (letter == "B") + drift * n)
        for n, letter in enumerate(plan)
    ]


def samples(one: object, other: object, shift: float) -> list[PassTime]:
    values = [("A", float(v)) for v in one] + [("B", float(v)) for v in other]  # type: ignore[attr-defined]
    return [PassTime(n, name, value + shift) for n, (name, value) in enumerate(values)]


@pytest.mark.parametrize(
    ("plan", "chance"), [("AB", 0.82), ("ABA", 0.86), ("AABB", 0.92), ("AAABBB", 0.97)]
)
def test_a_known_noise(plan: str, chance: float) -> None:
    assert fit(run(plan), KNOWN).effect("A", "B").below(0.0) == pytest.approx(chance, abs=0.005)


def test_one_pass_of_each() -> None:
    effect = fit(run("AB"), KNOWN).effect("A", "B")
    assert effect.mean == pytest.approx(-0.0116, abs=5e-5)
    assert effect.sd == pytest.approx(0.0129, abs=5e-5)
    low, high = effect.range
    assert low == pytest.approx(-0.01163 - 1.6449 * 0.01294, abs=1e-4)
    assert high == pytest.approx(-0.01163 + 1.6449 * 0.01294, abs=1e-4)


@pytest.mark.parametrize(
    ("plan", "bias"), [("AABB", -0.008), ("ABA", 0.0), ("ABBA", 0.0), ("AB", -0.004)]
)
def test_what_drift_does_to_an_order(plan: str, bias: float) -> None:
    """-0.004 s a pass; flat priors and no drift in the model, so that its full bias shows."""
    flat = Priors(setting_sd=30.0, noise_df=inf, drift_sd=0.0, mean_sd=30.0, wide_share=0.0)
    drifting = run(plan, quicker=0.0, drift=-0.004)
    assert fit(drifting, flat).effect("A", "B").mean == pytest.approx(bias, abs=1e-5)


def test_drift_in_the_model_takes_the_bias_back() -> None:
    drifting = run("AAAABBBB", quicker=0.0, drift=-0.004)
    with_drift, without = Priors(drift_sd=0.004), Priors(drift_sd=0.0)
    assert abs(fit(drifting, with_drift).effect("A", "B").mean) < 0.006
    assert abs(fit(drifting, without).effect("A", "B").mean) > 0.012


def test_the_sleep_data_pooled() -> None:
    flat = Priors(setting_sd=500.0, mean_sd=500.0, noise_scale=2.0, **FLAT)
    effect = fit(samples(*SLEEP, shift=10.0), flat).effect("B", "A")
    assert effect.mean == pytest.approx(-1.58, abs=1e-3)
    t = effect.mean / (effect.sd * sqrt(16 / 18))
    assert t == pytest.approx(-1.8608, rel=0.002)
    assert effect.below(0.0) == pytest.approx(1 - stats.t.sf(1.8608, 18), abs=3e-4)


def test_the_sleep_data_in_pairs() -> None:
    """A paired test is the level of the differences: one setting, a flat level."""
    flat = Priors(setting_sd=0.0, mean_sd=500.0, noise_scale=1.2, **FLAT)
    shift = 10.0
    passes = [PassTime(n, "A", a - b + shift) for n, (a, b) in enumerate(zip(*SLEEP, strict=True))]
    level = fit(passes, flat)
    believed = level.belief(level.columns.row(level.columns.middle_order, "A", 0.0, ""))
    mean = level.level + believed.mean - shift
    t = mean / (believed.sd * sqrt(7 / 9))
    assert t == pytest.approx(-4.0621, rel=0.002)
    assert 2 * (1 - believed.below(-mean)) == pytest.approx(0.002833, rel=0.02)


def test_auto83b_pooled() -> None:
    groups = [(249, 20.14458, 6.414700), (79, 30.48101, 6.107710)]
    made = []
    for count, mean, sd in groups:
        ramp = np.arange(count) - (count - 1) / 2
        made.append(mean + sd * ramp / ramp.std(ddof=1))
    flat = Priors(setting_sd=2000.0, mean_sd=2000.0, noise_scale=5.0, **FLAT)
    effect = fit(samples(*made, shift=0.0), flat).effect("B", "A")
    assert effect.mean / (effect.sd * sqrt(324 / 326)) == pytest.approx(-12.62059, rel=0.002)


@pytest.mark.parametrize(("df", "t"), [(2, 4.303), (3, 3.182), (9, 2.262)])
def test_the_tails_are_students(df: int, t: float) -> None:
    """t(0.975); two settings, df + 2 passes, flat priors."""
    values = [1.0 + 0.01 * (n % 3) + 0.003 * n for n in range(df + 2)]
    half = len(values) // 2
    flat = Priors(setting_sd=5.0, mean_sd=5.0, noise_scale=0.01, **FLAT)
    effect = fit(samples(values[:half], values[half:], 0.0), flat).effect("A", "B")
    pooled = stats.ttest_ind(values[half:], values[:half])
    se = (np.mean(values[half:]) - np.mean(values[:half])) / pooled.statistic
    assert (effect.quantile(0.975) - effect.mean) / se == pytest.approx(t, rel=0.01)


@examples(10, 30)
@given(
    plan=st.text("ABC", min_size=3, max_size=10),
    values=st.lists(st.floats(1.40, 1.60), min_size=10, max_size=10),
)
def test_against_an_independent_solution(plan: str, values: list[float]) -> None:
    """The normal equations with a known noise, by numpy's solver."""
    priors = Priors(noise_df=inf, wide_share=0.0)
    passes = [PassTime(n, letter, values[n]) for n, letter in enumerate(plan)]
    found = fit(passes, priors)
    rows = np.array([found.columns.row(n, letter, 0.0, "") for n, letter in enumerate(plan)])
    keep = [0, 1, *range(4, rows.shape[1])]
    x = rows[:, keep]
    sds = np.array([1.0, 0.004] + [0.020 / sqrt(2)] * len(found.columns.settings))
    precision = x.T @ x / 0.012**2 + np.diag(1 / sds**2)
    centred = np.array(values[: len(plan)]) - np.mean(values[: len(plan)])
    b = np.linalg.solve(precision, x.T @ centred / 0.012**2)
    names = found.columns.settings
    for one, other in pairwise(names):
        c = np.array([0.0, 0.0, *[(n == other) - (n == one) for n in names]])
        effect = found.effect(one, other)
        assert effect.mean == pytest.approx(c @ b, abs=1e-9)
        assert effect.sd == pytest.approx(sqrt(c @ np.linalg.solve(precision, c)), rel=1e-6)
        assert effect_sd(rows_of(found.passes, None), priors, 0.012, one, other) == pytest.approx(
            effect.sd, rel=1e-9
        )
