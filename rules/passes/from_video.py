"""From a phone's picture and a rubber ring to numbers. All SI; plain arithmetic, no sources needed.

The picture is taken from the side, at tyre height, far enough away that near and far wheels look
alike in size; what is measured must be in the same plane as the tyre that sets the scale.
"""

from dataclasses import dataclass
from math import isfinite


@dataclass(frozen=True)
class Estimate:
    """A number from a picture, and how far off it can be on either side."""

    value: float
    give: float


def _positive(**numbers: float) -> None:
    for name, value in numbers.items():
        if isinstance(value, bool) or not (isfinite(value) and value > 0.0):
            label = name.replace("_", " ")
            raise ValueError(f"{label}: found {value}, wanted a number above 0")


def lift_height(tyre_m: float, tyre_px: float, gap_px: float, pixel: float = 2.0) -> Estimate:
    """Return the height of the front tyre's bottom above the ground [m], in a side view.

    tyre_m: the tyre's diameter [m].  tyre_px, gap_px: its height and the gap, in the same pixels.
    pixel: how well an edge can be read [pixels].
    Formula: gap_px tyre_m / tyre_px. The spread adds both readings' edges (first order).

    Raises:
        ValueError: a size not above 0, or a gap below 0.
    """
    _positive(tyre_diameter=tyre_m, tyre_in_picture=tyre_px)
    if not (isfinite(gap_px) and gap_px >= 0.0):
        raise ValueError(f"gap in picture: found {gap_px}, wanted a number not below 0")
    scale = tyre_m / tyre_px
    return Estimate(gap_px * scale, scale * pixel * (1.0 + gap_px / tyre_px))


def airborne_time(frames: int, frames_per_s: float) -> Estimate:
    """Return the time in the air [s] from the count of frames with daylight under the tyre.

    Formula: frames / rate. Lift-off and touchdown each fall somewhere between two frames, so
    the true time lies within one frame on either side.

    Raises:
        ValueError: no frames, or a rate not above 0.
    """
    _positive(frame_rate=frames_per_s)
    if isinstance(frames, bool) or frames < 1:
        raise ValueError(f"frames: found {frames}, wanted at least 1")
    return Estimate(frames / frames_per_s, 1.0 / frames_per_s)


def touchdown_speed(
    last_gap_m: float, earlier_gap_m: float, frames_between: int, rate: float
) -> float:
    """Return the speed at which the front tyre meets the ground [m/s], downward positive.

    From the last two usable gaps before touchdown: their mean fall over the time between them.
    A fall that steepens makes this a little low.
    last_gap_m, earlier_gap_m: [m].  frames_between: frames from one to the other.
    rate: frames per second [1/s].

    Raises:
        ValueError: no frame between, a rate not above 0, or a tyre that is not falling.
    """
    _positive(frame_rate=rate, frames_between=frames_between)
    fall = earlier_gap_m - last_gap_m
    if not (isfinite(fall) and fall > 0.0):
        raise ValueError("the tyre is not falling between the two frames")
    return fall * rate / frames_between


def ring_compression(ring_m: float, motion_ratio: float) -> float:
    """Return the peak compression at the wheel from ride height [m], from a ring on the shaft.

    The body's seal pushes the ring along as the shaft goes in; the ring stays where it got to.
    ring_m: from the seal to the ring, the car at ride height after the run [m].
    motion_ratio: damper travel over wheel travel [-].
    Formula: ring_m / motion_ratio.

    Raises:
        ValueError: a length below 0, or a ratio not above 0.
    """
    _positive(motion_ratio=motion_ratio)
    if not (isfinite(ring_m) and ring_m >= 0.0):
        raise ValueError(f"ring: found {ring_m} m, wanted a number not below 0")
    return ring_m / motion_ratio


def scraped(clearance_m: float, scrape_depth_m: float = 0.0) -> float:
    """Return the drop of a part that has touched the road [m]: at least its static clearance.

    clearance_m: height of the part at rest [m].  scrape_depth_m: metal worn off [m].

    Raises:
        ValueError: a clearance not above 0, or a depth below 0.
    """
    _positive(clearance=clearance_m)
    if not (isfinite(scrape_depth_m) and scrape_depth_m >= 0.0):
        raise ValueError(f"scrape depth: found {scrape_depth_m}, wanted a number not below 0")
    return clearance_m + scrape_depth_m
