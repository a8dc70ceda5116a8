"""Slip of the rear tyres by their kind: a family with ranges, common practice, no source.

No crew can measure these; a cloud spreads them far, see `SLIP` of the ensemble. Wheels
and the drive behind a slipping converter or clutch are felt as 50 to 200 kg at the tread; a soft
bias slick winds up over a longer roll and grips most at more slip than a radial, which lets go
more suddenly and keeps less of its grip. What spins goes on spinning, whatever the tyre.
"""

from collections.abc import Mapping
from types import MappingProxyType

from rules.launch.cloud.on_paper import Known, Paper

_MASS_KG = 100.0
# Relaxation length [m], slip of the most grip [-], share of it left in sliding [-].
_KINDS: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {
        "bias slick": (0.40, 0.15, 0.76),
        "radial": (0.30, 0.10, 0.70),
        "drag radial": (0.30, 0.11, 0.70),
        "street": (0.30, 0.13, 0.73),
    }
)
_OTHER = (0.35, 0.13, 0.73)


def put_slip(paper: Paper, tyre: str | None) -> None:
    """Put the slip of a kind of rear tyre on paper, as a guess."""
    relax, peak, slide = _KINDS.get(tyre or "other", _OTHER)
    paper.put("slip_mass", _MASS_KG, Known.GUESSED, "")
    paper.put("slip_relax", relax, Known.GUESSED, "")
    paper.put("slip_peak", peak, Known.GUESSED, "")
    paper.put("slip_slide", slide, Known.GUESSED, "")
