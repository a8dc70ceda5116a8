"""Which of two settings the times would have on the car: the likelier one, proven or not.

The act with the best expected result: the likelier setting, unless the car stands on the other and
the difference to be expected is not worth a turn. Safety and what the crew saw are weighed by
others; this is what the clock alone says.
"""

from dataclasses import dataclass
from typing import Literal

from rules.evidence.verdict import Verdict, both_ran

Stands = Literal["old", "new"]

# An unproven difference smaller than this is not worth a turn [s]: common practice, no source.
WORTH_A_TURN_S = 0.003


@dataclass(frozen=True)
class Recommendation:
    """The setting to stand on.

    proven: by helped or hurt.  chance: that it is the quicker of the two.  gain_s: what it is
    expected to be worth over the other [s], drawn towards nothing, below 0 where the car stays on
    the slower for less than a turn is worth.  turn: whether the car stands on the other.
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
    gain = verdict.effect.mean
    likelier: Stands = "new" if gain < 0.0 else "old"
    if verdict.word != "cannot tell":
        setting: Stands = "new" if verdict.word == "helped" else "old"
    elif stands is not None and abs(gain) < WORTH_A_TURN_S:
        setting = stands
    else:
        setting = likelier
    return Recommendation(
        setting=setting,
        proven=verdict.word != "cannot tell",
        chance=verdict.quicker if setting == "new" else 1.0 - verdict.quicker,
        gain_s=-gain if setting == "new" else gain,
        turn=stands is not None and stands != setting,
    )
