"""A start setting and three crossovers against hand calculation; the source stands beside each.

[M] from memory, the book was not opened. [C] computed by hand from the formula beside it.
"""

from math import log

import pytest

from rules.car.chassis import damping_ratio
from rules.car.model import Car
from rules.launch.mechanics.crossover import EveryCount, crossover
from rules.launch.mechanics.dyno import read_dyno_csv
from rules.shop.start_setting import SLOW_M_S, critical_at_damper, overshoot, window
from tests.rules.crew.sheets.test_dampers import FIRM, HARD, SOFT
from tests.rules.crew.test_landing_story import FIRMER, OLD
from tests.support.crew import invented_car


@pytest.mark.parametrize(("ratio", "share"), [(0.4, 0.254), (0.5, 0.163), (0.7, 0.046)])
def test_the_overshoot_of_a_share_of_critical(ratio: float, share: float) -> None:
    # K. Ogata, Modern Control Engineering, step response of a second-order system: 25.4 %, 16.3 %
    # and 4.6 % [M]; exp(-pi z / sqrt(1 - z^2)) [C].
    assert overshoot(ratio) == pytest.approx(share, abs=0.0005)


def sprung() -> Car:
    """Return a car with 300 kg on each front spring, 30 kN/m at the wheel, ratio 0.9."""
    raw = invented_car().model_dump(by_alias=True)
    raw["masses"] |= {"left_front": 330.0, "right_front": 330.0, "front_unsprung": 60.0}
    raw["front"] |= {"spring_rate": 30_000.0 / 0.81, "motion_ratio": 0.9}
    return Car.parse(raw)


def test_critical_damping_at_the_damper() -> None:
    # Rao, Mechanical Vibrations, chapter 2 [M]: c = 2 sqrt(k m) = 2 sqrt(30000 x 300) = 6000 N s/m
    # at the wheel; speed and force both through 0.9: 6000 / 0.81 = 7407.4 N s/m [C].
    critical = critical_at_damper(sprung(), "front")
    assert critical == pytest.approx(7407.4, abs=0.05)


def test_a_window_is_the_textbook_ratio_the_other_way_round() -> None:
    # 0.25 of 7407.4 at 50.8 mm/s is 94.1 N, 0.45 is 169.3 N [C]; back through c / (2 sqrt(k m)).
    found = window(sprung(), "front", "compression")
    assert found is not None
    assert (found.soft, found.firm) == pytest.approx((94.07, 169.33), abs=0.01)
    for share, force in ((found.least, found.soft), (found.most, found.firm)):
        assert damping_ratio(force / SLOW_M_S * 0.81, 30_000, 300) == pytest.approx(share)


def test_a_crossover_of_the_landing_story() -> None:
    # Full hard on the old gives 225 N at 50 mm/s; on the new between 169 N at 6 and 260 N at 12:
    # 6 + 6 ln(225/169) / ln(260/169) = 9.99. At 250 mm/s 1350 N, between 1342 and 2000: 6.09 [C].
    old, new = (read_dyno_csv("\n".join(rows)) for rows in (OLD, FIRMER))
    found = crossover(old.curve(12), EveryCount(new), 0.05, 0.25)
    assert found.low.exact == pytest.approx(6 + 6 * log(225 / 169) / log(260 / 169), abs=0.02)
    assert found.high.exact == pytest.approx(6 + 6 * log(1350 / 1342) / log(2000 / 1342), abs=0.02)
    assert (found.low.setting, found.high.setting) == (10, 6)


def test_a_crossover_where_force_doubles_every_six_counts() -> None:
    # 9 on the old: 100 x 2^(9/6) = 282.8 N at 50 mm/s; 200 x 2^(x/6) gives it at 3. 12 on the old:
    # 1200 N at 250 mm/s; 849 x 2^(x/6) gives it at 6 log2(1200/849) = 2.995 [C].
    old, new = (read_dyno_csv("\n".join(rows)) for rows in (SOFT, FIRM))
    assert crossover(old.curve(9), EveryCount(new), 0.05, 0.25).low.exact == pytest.approx(3.0)
    high = crossover(old.curve(12), EveryCount(new), 0.05, 0.25).high
    assert high.exact == pytest.approx(2.995, abs=0.005)


def test_a_crossover_that_no_count_gives() -> None:
    # 400 N is wanted where full soft on the new gives 4000 N: ten times, so nothing reaches it.
    old, new = (read_dyno_csv("\n".join(rows)) for rows in (SOFT, HARD))
    found = crossover(old.curve(12), EveryCount(new), 0.05, 0.25).low
    assert found.setting is None
    assert found.off == pytest.approx(9.0)
