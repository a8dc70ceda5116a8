"""Today's force beside all that another valving can give, at three piston speeds."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from rules.car.model import Car, Damper, Knob
from rules.car.valvings import rows_with, valving_on
from rules.launch.kept_force import RISE_SPEED_M_S, crossing
from rules.units import INCH_M, Quantity
from rules.wording import both

SPEED_NAMES = ("the settle", "high speed", "rise and landing")


@dataclass(frozen=True)
class AtSpeed:
    """One piston speed [m/s]: the force wanted and what the new valving gives at its ends [N].

    count: the whole count that gives it, None where none does; nearest: the end that comes nearest.
    off: how far the force at `nearest` is from the wanted one, as a share of it [-].
    exact: the count between whole ones that would give the force itself.
    """

    name: str
    speed: float
    wanted: float
    soft: float
    hard: float
    count: float | None
    nearest: float
    off: float
    exact: float | None = None

    @property
    def says(self) -> str:
        """Say it in one line, in the crew's units."""
        speed = f"{{{self.speed / INCH_M:.3g} in/s|{self.speed * 1000:.0f} mm/s}}"
        wanted, soft, hard = (
            both(force, Quantity.FORCE) for force in (self.wanted, self.soft, self.hard)
        )
        answer = (
            f"count {self.count:g}"
            if self.count is not None
            else f"no count; the end at {self.nearest:g} is nearest, {self.off:+.0%}"
        )
        return f"{speed}, {self.name}: soft {soft}, hard {hard}, wanted {wanted}: {answer}"


def side_by_side(
    car: Car, settings: Mapping[str, float], damper: Damper, knob: Knob, stroke: str, valving: str
) -> tuple[AtSpeed, ...]:
    """Return today's force beside another valving's at three speeds; empty without both curves.

    A speed too far past the fastest point that was measured is left out.
    """
    old = rows_with(car, damper, knob, stroke, valving_on(car, settings, damper.axle))
    new = rows_with(car, damper, knob, stroke, valving)
    slow = crossing(car, settings, damper, knob, stroke, new)
    fast = crossing(car, settings, damper, knob, stroke, new, RISE_SPEED_M_S)
    if old is None or new is None or slow is None or fast is None:
        return ()
    from rules.launch.mechanics.dyno import read_dyno_csv

    table = read_dyno_csv("\n".join(new))
    counts = _soft_first(table.settings, knob)
    found = []
    for name, match in zip(SPEED_NAMES, (slow.low, slow.high, fast.high), strict=True):
        if match.measured_to is not None:
            continue
        soft, hard = (float(table.curve(count).force(match.speed)) for count in counts)
        near = counts[0] if abs(soft - match.force) <= abs(hard - match.force) else counts[1]
        if match.setting is not None:
            near = match.setting
        one = AtSpeed(name, match.speed, match.wanted, soft, hard, match.setting, near, match.off)
        found.append(replace(one, exact=match.exact))
    return tuple(found)


def _soft_first(settings: tuple[float, ...], knob: Knob) -> tuple[float, float]:
    ends = settings[0], settings[-1]
    return ends if knob.count_from == "full soft" else ends[::-1]
