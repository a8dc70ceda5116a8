"""A stretch of a batch's motion: what a run hands on, some steps at a time."""

from dataclasses import dataclass

from rules.launch.mechanics.bars import DEPTH, FORCE, RATE
from rules.launch.mechanics.parameters import Array

X, Z, PITCH, QF, QR = range(5)
TYRE_F, TYRE_R, BUMP_F, BUMP_R, DROOP_F, DROOP_R = range(6)
MEASURED = (TYRE_F, TYRE_R, BUMP_F, DROOP_F)


@dataclass(frozen=True)
class Stretch:
    """Consecutive half steps of a batch, with the last one of the stretch before in front.

    Row r stands for the time ``(first + r - 0.5) step_s``; before the start all is at rest.

    place: x, z [m], pitch [rad], front and rear compression [m], (rows, 5, n).
    slip: of the rear tyres [-], (rows, n); None where no car of the batch has any.
    """

    first: int
    step_s: float
    place: Array
    _kept: Array
    _bars: Array | None = None
    slip: Array | None = None

    @property
    def front_depth(self) -> Array:
        """How far the front tyre is pressed [m]; negative is its gap, (rows, n)."""
        return self._kept[:, 0]

    @property
    def front_rate(self) -> Array:
        """How fast the front is being compressed [m/s], (rows, n)."""
        return self._kept[:, 1] / self.step_s

    def force(self, part: int) -> Array:
        """Return the force, as the mean over each step [N], (rows, n), of one of `MEASURED`."""
        return self._kept[:, 2 + MEASURED.index(part)] / self.step_s**2

    @property
    def bars(self) -> tuple[Array, Array, Array] | None:
        """Force in the bars [N], their depth in the ground [m] and its rate [m/s], (rows, n) each.

        None where no car of the batch has bars.
        """
        if self._bars is None:
            return None
        h = self.step_s
        return self._bars[:, FORCE] / h**2, self._bars[:, DEPTH], self._bars[:, RATE] / h
