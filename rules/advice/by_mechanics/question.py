"""What the cloud of cars is asked about the pass that is answered."""

from rules.advice.earlier_passes import coming_conditions
from rules.advice.situation import Situation
from rules.car.adjusters import Settings
from rules.launch.outlook import OutlookAsked
from rules.launch.proposed_change import Seen
from rules.log.said import named_symptoms


def asked(
    now: Situation,
    ways: tuple[Settings, ...],
    passes: tuple[Seen, ...],
    cars: int,
    *,
    holds: bool = False,
) -> OutlookAsked:
    """Return the question what some settings come to, against those the last pass was made with."""
    return OutlookAsked(
        car=now.state.described_car,
        today=dict(now.run.settings or now.state.settings),
        ways=ways,
        symptoms=named_symptoms(now.state, now.run),
        passes=passes,
        cars=cars,
        coming=coming_conditions(now.state),
        holds=holds,
    )
