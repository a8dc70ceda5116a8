"""Which of two settings the times would have on the car: the likelier one, proven or not.

The act with the best expected result, where a thousandth lost against the known setting weighs more
than one gained: of two settings alike the old one is kept, and so it is where the new one may
as well cost. Safety and what the crew saw are weighed by others; this is what the clock alone says.
"""

from dataclasses import dataclass
from typing import Literal

from rules.evidence.verdict import Verdict, both_ran

Stands = Literal["old", "new"]

# What a loss weighs against a gain of the same size, and the least gain so weighed that is worth
# leaving the known setting for [s]. On the days of the benchmark about a third as many end slower
# after three passes as of a crew that keeps what was faster once, and fewer after more.
LOSS_WEIGHS = 3.0
WORTH_KEEPING_S = 0.0005


@dataclass(frozen=True)
class Recommendation:
    """The setting to stand on.

    proven: by helped or hurt.  chance: that it is the quicker of the two.  gain_s: what it is
    expected to be worth over the other [s], drawn towards nothing, below 0 where the old one stays
    though the new one is likelier.  turn: whether the car stands on the other.
    """

    setting: Stands
    proven: bool
    chance: float
    gain_s: float
    turn: bool


def recommended(verdict: Verdict, stands: Stands | None = None) -> Recommendation | None:
    """Return what the times recommend; None where no meeting ran both settings.

    stands: the setting that the car is on, None for a third one.
    """
    if not both_ran(verdict):
        return None
    gain = -verdict.effect.mean
    if verdict.word != "cannot tell":
        setting: Stands = "new" if verdict.word == "helped" else "old"
    else:
        weighed = gain - (LOSS_WEIGHS - 1.0) * verdict.effect.mean_above(0.0)
        setting = "new" if weighed >= WORTH_KEEPING_S else "old"
    return Recommendation(
        setting=setting,
        proven=verdict.word != "cannot tell",
        chance=verdict.quicker if setting == "new" else 1.0 - verdict.quicker,
        gain_s=gain if setting == "new" else -gain,
        turn=stands is not None and stands != setting,
    )
