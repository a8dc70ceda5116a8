"""What was measured before and after a change: shaft O-ring, lift, scrape marks, a split."""

from dataclasses import dataclass
from math import hypot, isfinite
from typing import Literal

from rules.evidence.belief import normal_below
from rules.faults import Fault

Said = Literal["better", "same", "worse", "cannot tell"]

# A measured difference counts when it is this sure; common practice, no source.
SURE_MEASURED = 0.90


@dataclass(frozen=True)
class BeforeAfter:
    """One number before and after, each with its spread (one standard deviation), in its own unit.

    `wanted` is the way that is better; `safety` marks what outranks time when it gets worse, such
    as a scrape or a ring at the stop; `worth` is the smallest difference that matters.

    Raises:
        ValueError: a number that is not finite, or a spread or worth that is not above zero.
    """

    name: str
    before: float
    before_give: float
    after: float
    after_give: float
    wanted: Literal["less", "more"]
    worth: float
    safety: bool = False

    def __post_init__(self) -> None:
        for field in ("before", "after"):
            if not isfinite(getattr(self, field)):
                raise ValueError(str(Fault(f"{self.name} {field}", "no number", "a number")))
        for field in ("before_give", "after_give", "worth"):
            value = getattr(self, field)
            if not (isfinite(value) and value > 0.0):
                raise ValueError(str(Fault(f"{self.name} {field}", f"{value:g}", "above 0")))

    @property
    def gain(self) -> float:
        """How far it went the wanted way."""
        rise = self.after - self.before
        return rise if self.wanted == "more" else -rise

    @property
    def give(self) -> float:
        """Spread of the difference."""
        return hypot(self.before_give, self.after_give)

    @property
    def says(self) -> Said:
        """Better or worse by anything, where sure; the same where smaller than what matters."""
        up = normal_below(self.gain / self.give)
        if up >= SURE_MEASURED:
            return "better" if self.gain >= self.worth else "same"
        if up <= 1.0 - SURE_MEASURED:
            return "worse" if -self.gain >= self.worth else "same"
        top = normal_below((self.worth - self.gain) / self.give)
        bottom = normal_below((-self.worth - self.gain) / self.give)
        return "same" if top - bottom >= SURE_MEASURED else "cannot tell"
