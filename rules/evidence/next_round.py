"""What the next round's time may be. The crew chooses the dial-in; this only informs."""

from collections.abc import Iterable
from dataclasses import dataclass

from rules.evidence.model import fit, mean_density
from rules.evidence.passes import PassTime, counted
from rules.evidence.priors import Priors
from rules.passes.air_effect import AirPart, air_part

# Passes further back than this tell little of the car as it is now: common practice, no source.
RECENT = 8


@dataclass(frozen=True)
class ExpectedTime:
    """A time [s] with the range that holds it nine times in ten, and what the air does to it."""

    seconds: float
    low: float
    high: float
    passes: int
    air: AirPart | None

    @property
    def words(self) -> str:
        """Say it in one line."""
        text = f"{self.seconds:.3f} s, nine in ten from {self.low:.3f} to {self.high:.3f}"
        if self.air is None:
            text += ", the air left out"
        return f"Expected {text}."


def expected_next(
    passes: Iterable[PassTime],
    setting: str,
    priors: Priors,
    air_density: float | None = None,
    lane: str | None = None,
    sixty: bool = False,
) -> ExpectedTime:
    """Return what the next pass on a setting may run, from the recent clean ones on it.

    air_density: dry [kg/m3], as expected at the round; without it the air is left out.

    Raises:
        ValueError: no clean pass on the setting, or a density that is not above zero.
    """
    everything = list(passes)
    recent = [one for one in counted(everything) if one.setting == setting][-RECENT:]
    if not recent:
        raise ValueError(f"passes on {setting}: found no clean one; wanted at least one")
    day = fit(recent, priors)
    order = max(one.order for one in everything) + 1
    belief = day.next_pass(order, setting, air_density, lane)
    reference = mean_density(recent)
    air = None
    if air_density is not None and reference is not None:
        air = air_part(day.level, reference, air_density, sixty)
    return ExpectedTime(belief.mean, *belief.range, len(recent), air)
