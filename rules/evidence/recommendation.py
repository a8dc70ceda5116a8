"""Which of two settings the times would have on the car: the likelier one, proven or not.

The act with the best expected result: the likelier setting. Where next to nothing is expected of
the new one the old is kept, because it is known; where the car is back on the old one, an unproven
gain has to be worth the turn. Safety and what the crew saw are weighed by others; this is what the
clock alone says.
"""

from dataclasses import dataclass
from typing import Literal

from rules.evidence.verdict import Verdict, both_ran

Stands = Literal["old", "new"]

# What an unproven new setting has to promise to be kept, and to be gone back to [s]: on the days of
# the benchmark they cost no gain and spare two in three of the days that end slower.
WORTH_KEEPING_S = 0.001
WORTH_A_TURN_S = 0.003


@dataclass(frozen=True)
class Recommendation:
    """The setting to stand on.

    proven: by helped or hurt.  chance: that it is the quicker of the two.  gain_s: what it is
    expected to be worth over the other [s], drawn towards nothing, below 0 where the old one stays
    because nothing to speak of is expected of the new.  turn: whether the car stands on the other.
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
        least = WORTH_A_TURN_S if stands == "old" else WORTH_KEEPING_S
        setting = "new" if gain >= least else "old"
    return Recommendation(
        setting=setting,
        proven=verdict.word != "cannot tell",
        chance=verdict.quicker if setting == "new" else 1.0 - verdict.quicker,
        gain_s=gain if setting == "new" else -gain,
        turn=stands is not None and stands != setting,
    )
