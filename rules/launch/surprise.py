"""How far a pass lies from what the cars this may be would have done: only the words for it.

The reckoning itself is in `rules.launch.belief.surprises`, which needs the array library.
"""

from dataclasses import dataclass

from rules.car.model import Car
from rules.launch.proposed_change import Measure, Range, Seen

# Under this share of the passes that the cloud would make, what came is a surprise.
RARE = 0.02
SIXTY = "60-foot"


@dataclass(frozen=True)
class Sight:
    """One thing that was said, read or timed of a pass, and what had been foretold of it.

    name: a prompt, `SIXTY`, a kind of reading, or a symptom.
    came: the word, or the number [SI]; of a symptom its name, or nothing where it was not named.
    foretold: the likeliest word, or the range.  share: of the cars that foretold that word.
    odd: how much of what was foretold lies at least as far out [-].
    """

    name: str
    came: str | float
    foretold: str | Range
    share: float
    odd: float
    measure: Measure | None = None


@dataclass(frozen=True)
class Surprise:
    """How rare a pass is on the cars this may be, as learnt from the passes before it.

    chance: share of the passes that such cars would make which are no likelier than this one.
    sights: all that was seen of it, the oddest first.
    """

    chance: float
    sights: tuple[Sight, ...] = ()

    @property
    def is_one(self) -> bool:
        """Whether hardly any pass of such cars is as odd."""
        return self.chance < RARE


@dataclass(frozen=True)
class SurpriseAsked:
    """passes: the oldest first; the last is held against what those before it taught."""

    car: Car
    passes: tuple[Seen, ...]
