"""Fleets of invented cars: from where to where the numbers of their cars are drawn.

All ranges: common practice, no source. What is tuned, is tuned on days of `USUAL`; `OTHER` is
longer, lighter and heavier, with other tyres, dampers and knobs.
"""

from dataclasses import dataclass

Span = tuple[float, float]


@dataclass(frozen=True)
class Fleet:
    """Where a fleet's cars are drawn from: each pair from, to.

    base [m], sprung [kg] and what a heavy kind adds, front_share: of the sprung mass's arm.
    front_rate, rear_rate: of the springs over the sprung mass [N/m/kg].  knee [m/s], bleed, slope:
    of a damper, the last two over its size.  hump, rise [s], height [m]: of hit and centre.
    peak, falls, relax [m]: of the rear tyre's slip.  lift [m], spare: of a good car's launch.
    strength: of a knob from end to end.  tuned, away: where a good knob stands, and how far one
    that is wrong.  marks: of its range.  lazy, both: shares of knobs that hardly act, and that act
    on both strokes.  pressure: in half psi.  window: of the rear tyre's grip.
    """

    name: str
    base: Span
    sprung: Span
    heavy: Span
    front_share: Span
    front_rate: Span
    rear_rate: Span
    knee: Span
    bleed: Span
    slope: Span
    hump: Span
    height: Span
    rise: Span
    peak: Span
    falls: Span
    relax: Span
    lift: Span
    spare: Span
    strength: Span
    tuned: Span
    away: Span
    marks: tuple[int, ...]
    lazy: float
    both: float
    pressure: Span
    window: Span


USUAL = Fleet(
    name="usual",
    base=(2.35, 2.85), sprung=(850, 1100), heavy=(50, 450), front_share=(0.47, 0.56),
    front_rate=(22, 34), rear_rate=(34, 46), knee=(0.04, 0.12), bleed=(0.15, 0.35),
    slope=(0.5, 0.9), hump=(-0.05, 0.09), height=(0.48, 0.62), rise=(0.05, 0.2),
    peak=(0.08, 0.16), falls=(0.15, 0.4), relax=(0.2, 0.5), lift=(0.02, 0.22), spare=(1.15, 1.6),
    strength=(2.5, 6.0), tuned=(0.3, 0.7), away=(0.25, 0.7), marks=(8, 12, 16, 18, 24),
    lazy=0.12, both=0.15, pressure=(22, 34), window=(0.8, 2.0),
)  # fmt: skip

OTHER = Fleet(
    name="other",
    base=(2.5, 3.1), sprung=(650, 1000), heavy=(100, 700), front_share=(0.42, 0.53),
    front_rate=(18, 40), rear_rate=(30, 60), knee=(0.02, 0.18), bleed=(0.1, 0.5),
    slope=(0.3, 1.1), hump=(-0.1, 0.2), height=(0.42, 0.6), rise=(0.03, 0.35),
    peak=(0.06, 0.12), falls=(0.25, 0.55), relax=(0.1, 0.6), lift=(0.01, 0.26), spare=(1.1, 2.0),
    strength=(2.0, 8.0), tuned=(0.15, 0.85), away=(0.2, 0.9), marks=(6, 10, 14, 20, 30),
    lazy=0.2, both=0.25, pressure=(24, 50), window=(0.3, 4.0),
)  # fmt: skip

FLEETS = {one.name: one for one in (USUAL, OTHER)}
