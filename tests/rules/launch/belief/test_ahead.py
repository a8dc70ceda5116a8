"""What a way comes to: the signs that mechanics has, and chances that are chances."""

import pytest

from rules.car.adjusters import adjusters, starts
from rules.car.steps import moved
from rules.launch.belief.ahead import GOALS, latest, look_ahead
from rules.launch.belief.faults import FAULTS, of_symptom
from rules.launch.belief.particles import MOST_PASSES
from rules.launch.outlook import Outlook, OutlookAsked
from rules.launch.proposed_change import Seen
from tests.support.launch.car_questions import shipped_car

DEMO = shipped_car("demo")
TODAY = starts(DEMO)
BIG = Seen(
    tuple(sorted(TODAY.items())),
    (("stand", "big"), ("front-travel", "at-stop")),
    symptoms=("front-carries",),
)


def turned(controls: str, axle: str, upward: bool, clicks: int) -> dict[str, float]:
    """Return today's settings with a pair of knobs turned."""
    return TODAY | {
        key: moved(one, TODAY[key], upward, clicks)
        for key, one in adjusters(DEMO).items()
        if one.axle == axle and one.part == "knob" and one.controls == controls
    }


def answer(*ways: dict[str, float], symptoms: tuple[str, ...] = ("front-carries",)) -> Outlook:
    return look_ahead(OutlookAsked(DEMO, TODAY, ways, symptoms, (BIG,), 48), seed=1)


def test_firmer_front_rebound_takes_a_big_stand_down_and_softer_is_a_danger() -> None:
    """The sign is that of the reference cases: lift 0.68, 0.40, 0.19 m at x0.6, x1, x1.6."""
    found = answer(*(turned("rebound", "front", True, clicks) for clicks in (1, 3, 6)))
    gone = [found.unchanged.gone, *(one.gone for one in found.ways)]
    assert gone == sorted(gone)
    assert all(one.harm <= 0.02 for one in found.ways)
    assert found.ways[2].better > 0.6
    [softer] = answer(turned("rebound", "front", False, 3)).ways
    assert softer.harm > 0.1
    assert softer.gone <= found.unchanged.gone


def test_chances_are_chances_and_nothing_changed_is_no_harm() -> None:
    found = answer(turned("compression", "rear", True, 3))
    for one in (found.unchanged, *found.ways):
        assert all(0.0 <= chance <= 1.0 for chance in (one.good, one.gone, one.better, one.harm))
        assert one.good <= one.gone + 1e-9
    assert found.unchanged.harm == 0.0
    assert found.unchanged.better <= found.unchanged.gone + 1e-9


@pytest.mark.parametrize("count", [1, MOST_PASSES, MOST_PASSES + 1, 3 * MOST_PASSES])
def test_a_window_of_passes_ends_with_the_last_and_moves_by_halves(count: int) -> None:
    passes = tuple(Seen(meeting=str(number)) for number in range(count))
    found = latest(passes)
    assert found[-1] == passes[-1]
    assert 1 <= len(found) <= MOST_PASSES
    longer = latest((*passes, Seen()))
    kept = longer[: len(found)] == found
    assert kept or len(longer) <= MOST_PASSES // 2 + 1


def test_every_fault_has_its_place_and_its_number() -> None:
    assert all(kind.symptom in GOALS for kind in FAULTS)
    assert [FAULTS[place].symptom for place in of_symptom("front-bounces")] == ["front-bounces"]
