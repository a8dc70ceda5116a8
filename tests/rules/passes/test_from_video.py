"""A phone's picture and a rubber ring, turned into numbers."""

import pytest

from rules.passes import from_video


def test_the_tyre_is_the_scale() -> None:
    height = from_video.lift_height(tyre_m=0.66, tyre_px=220.0, gap_px=110.0)
    assert height.value == pytest.approx(0.33)
    assert height.give == pytest.approx(0.003 * 2 * 1.5)


def test_frames_in_the_air_are_time_to_within_a_frame() -> None:
    time = from_video.airborne_time(frames=68, frames_per_s=60.0)
    assert time.value == pytest.approx(1.1333, abs=1e-4)
    assert time.give == pytest.approx(1 / 60)


def test_touchdown_speed() -> None:
    assert from_video.touchdown_speed(0.04, 0.10, 2, 60.0) == pytest.approx(1.8)


def test_the_ring_and_the_scrape() -> None:
    assert from_video.ring_compression(0.042, 0.7) == pytest.approx(0.06)
    assert from_video.scraped(0.1, 0.002) == pytest.approx(0.102)


@pytest.mark.parametrize(
    "call",
    [
        lambda: from_video.lift_height(0.0, 220.0, 10.0),
        lambda: from_video.lift_height(0.66, 220.0, -1.0),
        lambda: from_video.airborne_time(0, 60.0),
        lambda: from_video.airborne_time(3, float("inf")),
        lambda: from_video.touchdown_speed(0.1, 0.1, 1, 60.0),
        lambda: from_video.touchdown_speed(0.0, 0.1, 0, 60.0),
        lambda: from_video.ring_compression(-0.01, 0.7),
        lambda: from_video.scraped(0.1, -1.0),
    ],
)
def test_what_no_picture_shows_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=r"wanted|not falling"):
        call()
