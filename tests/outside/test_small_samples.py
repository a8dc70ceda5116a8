"""The estimate of a change against textbook values and reference libraries.

The normal model: the closed form of a normal prior and a known noise (Gelman et al., Bayesian Data
Analysis, chapter 2, from memory), computed with a general-purpose library. Flat priors: Student's
t. R data set `sleep` (Cushny and Peebles, from memory): t -1.8608 pooled, paired t -4.0621 with 9
degrees of freedom. NIST/SEMATECH e-Handbook, AUTO83B: pooled t -12.62059, 326 degrees of freedom;
its data enter by their published counts, means and standard deviations, which are sufficient.
The local level and the mixture: the same numbers by another road, computed here.
Welch's t has a noise for each setting and is no limit of this model.
"""

from dataclasses import replace
from itertools import pairwise, product
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from rules.evidence.belief import Belief, belief_of
from rules.evidence.local_level import combination
from rules.evidence.model import Fit, fit
from rules.evidence.passes import PassTime
from rules.evidence.priors import Noise, Priors
from tests.support.sample import examples

KNOWN = Priors(
    noises=(Noise(0.012, 0.0, 1.0),),
    settings=((0.020, 1.0),),
    wanders=((0.0, 1.0),),
    slope_sd=0.0,
    lane_sd=0.0,
    spoilt_share=0.0,
)


def flat(scale: float, apart: float, level: float) -> Priors:
    """Return a scatter of any size about a scale, as likely by its logarithm, and wide priors."""
    values = np.geomspace(scale / 30.0, scale * 300.0, 700)
    alike = tuple(Noise(float(one), 0.0, 1.0 / values.size) for one in values)
    return replace(KNOWN, noises=alike, settings=((apart, 1.0),), mean_sd=level)


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
    wide = replace(KNOWN, settings=((30.0, 1.0),), mean_sd=30.0)
    drifting = run(plan, quicker=0.0, drift=-0.004)
    assert fit(drifting, wide).effect("A", "B").mean == pytest.approx(bias, abs=1e-5)


def test_drift_in_the_model_takes_the_bias_back() -> None:
    drifting = run("AAAABBBB", quicker=0.0, drift=-0.004)
    with_drift, without = replace(KNOWN, slope_sd=0.004), KNOWN
    assert abs(fit(drifting, with_drift).effect("A", "B").mean) < 0.006
    assert abs(fit(drifting, without).effect("A", "B").mean) > 0.012


def test_the_sleep_data_pooled() -> None:
    effect = fit(samples(*SLEEP, shift=10.0), flat(2.0, 500.0, 500.0)).effect("B", "A")
    assert effect.mean == pytest.approx(-1.58, abs=1e-3)
    t = effect.mean / (effect.sd * sqrt(16 / 18))
    assert t == pytest.approx(-1.8608, rel=0.002)
    assert effect.below(0.0) == pytest.approx(1 - stats.t.sf(1.8608, 18), abs=3e-4)


def test_the_sleep_data_in_pairs() -> None:
    """A paired test is the level of the differences: one setting, a flat level."""
    shift = 10.0
    passes = [PassTime(n, "A", a - b + shift) for n, (a, b) in enumerate(zip(*SLEEP, strict=True))]
    found = fit(passes, flat(1.2, 0.0, 500.0))
    believed = level_of(found)
    mean = found.known.level + believed.mean - shift
    t = mean / (believed.sd * sqrt(7 / 9))
    assert t == pytest.approx(-4.0621, rel=0.002)
    above = 1 - believed.below(believed.mean - mean)
    assert 2 * above == pytest.approx(0.002833, rel=0.02)


def test_auto83b_pooled() -> None:
    groups = [(249, 20.14458, 6.414700), (79, 30.48101, 6.107710)]
    made = []
    for count, mean, sd in groups:
        ramp = np.arange(count) - (count - 1) / 2
        made.append(mean + sd * ramp / ramp.std(ddof=1))
    effect = fit(samples(*made, shift=100.0), flat(5.0, 2000.0, 2000.0)).effect("B", "A")
    assert effect.mean / (effect.sd * sqrt(324 / 326)) == pytest.approx(-12.62059, rel=0.002)


@pytest.mark.parametrize(("df", "t"), [(2, 4.303), (3, 3.182), (9, 2.262)])
def test_the_tails_are_students(df: int, t: float) -> None:
    """t(0.975); two settings, df + 2 passes, flat priors."""
    values = [1.0 + 0.01 * (n % 3) + 0.003 * n for n in range(df + 2)]
    half = len(values) // 2
    found = fit(samples(values[:half], values[half:], 0.0), flat(0.01, 5.0, 5.0))
    effect = found.effect("A", "B")
    pooled = stats.ttest_ind(values[half:], values[:half])
    se = (np.mean(values[half:]) - np.mean(values[:half])) / pooled.statistic
    assert (effect.quantile(0.975) - effect.mean) / se == pytest.approx(t, rel=0.01)


def level_of(found: Fit) -> Belief:
    """Return the belief about the level, off the number that the times are measured from."""
    row = [1.0, 0.0, 0.0, 0.0, 0.0, *[0.0] * len(found.known.places.settings)]
    weights, means, variances = combination(found.known.stories, row)
    return belief_of(weights, means, variances**0.5)


@examples(10, 30)
@given(
    plan=st.text("ABC", min_size=3, max_size=10),
    values=st.lists(st.floats(1.40, 1.60), min_size=10, max_size=10),
    walk=st.sampled_from([0.0, 0.002, 0.010]),
)
def test_against_an_independent_solution(plan: str, values: list[float], walk: float) -> None:
    """All times as one normal vector, a random walk in its covariance, by numpy's solver."""
    slope, apart, scatter = 0.004, 0.020, 0.012
    priors = replace(KNOWN, slope_sd=slope, wanders=((walk, 1.0),))
    found = fit([PassTime(n, letter, values[n]) for n, letter in enumerate(plan)], priors)
    at = np.arange(len(plan), dtype=float)
    names = sorted(set(plan))
    on = np.array([[letter == one for one in names] for letter in plan], dtype=float)
    covariance = 1.0 + slope**2 * np.outer(at, at) + walk**2 * np.minimum.outer(at, at)
    covariance += apart**2 / 2.0 * on @ on.T + scatter**2 * np.eye(len(plan))
    off = np.array(values[: len(plan)]) - values[0]
    for one, other in pairwise(names):
        c = np.array([float(n == other) - float(n == one) for n in names])
        with_data = apart**2 / 2.0 * on @ c
        effect = found.effect(one, other)
        mean = with_data @ np.linalg.solve(covariance, off)
        variance = apart**2 / 2.0 * c @ c - with_data @ np.linalg.solve(covariance, with_data)
        assert effect.mean == pytest.approx(mean, abs=1e-9)
        assert effect.sd == pytest.approx(sqrt(variance), rel=1e-6)


@examples(5, 30)
@given(
    plan=st.text("AB", min_size=4, max_size=5).filter(lambda one: len(set(one)) == 2),
    noise=st.lists(st.floats(-0.02, 0.02), min_size=5, max_size=5),
    late=st.integers(0, 4),
)
def test_the_kept_stories_against_every_story(plan: str, noise: list[float], late: int) -> None:
    """Which passes were clean, wide or spoilt: every story, each by scipy's normal density."""
    share, wide, spoilt, more, less = 0.1, 3.0, 0.02, 0.18, 0.12
    scatter, apart = 0.010, 0.030
    priors = replace(
        KNOWN, noises=(Noise(scatter, share, 1.0),), settings=((apart, 1.0),), spoilt_share=spoilt
    )
    values = [1.5 + noise[n] + 0.15 * (n == late) for n in range(len(plan))]
    found = fit([PassTime(n, letter, values[n]) for n, letter in enumerate(plan)], priors)
    on = np.array([[letter == one for one in "AB"] for letter in plan], dtype=float)
    base = 1.0 + apart**2 / 2.0 * on @ on.T
    with_data = apart**2 / 2.0 * on @ np.array([-1.0, 1.0])
    kinds = (
        (1.0 - share - spoilt, scatter**2, 0.0),
        (share, (wide * scatter) ** 2, 0.0),
        (spoilt, scatter**2 + less**2, more),
    )
    total = below = 0.0
    for story in product(kinds, repeat=len(plan)):
        off = np.array(values) - values[0] - np.array([one[2] for one in story])
        covariance = base + np.diag([one[1] for one in story])
        weight = float(np.prod([one[0] for one in story]))
        weight *= stats.multivariate_normal.pdf(off, cov=covariance)
        mean = with_data @ np.linalg.solve(covariance, off)
        variance = apart**2 - with_data @ np.linalg.solve(covariance, with_data)
        total += weight
        below += weight * stats.norm.cdf(0.0, mean, sqrt(variance))
    assert found.effect("A", "B").below(0.0) == pytest.approx(below / total, abs=0.02)
