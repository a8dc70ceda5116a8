"""The crew's units against published factors.

NIST Special Publication 811 (2008), appendix B.8, values from memory: the primary source was not
opened here. The inch, the pound and standard gravity are exact by definition; the printed factors
carry seven figures, so each is held to half a unit of its last one.
"""

import pytest

from rules.units import UNITS, Quantity, from_si, to_si

NIST_SP_811 = [
    (Quantity.MASS, 0.4535924, 5e-8),
    (Quantity.LENGTH, 0.0254, 1e-15),
    (Quantity.SPRING_RATE, 175.1268, 5e-5),
    (Quantity.PRESSURE, 6894.757, 5e-4),
    (Quantity.INERTIA, 0.04214011, 5e-9),
    (Quantity.FORCE, 4.448222, 5e-7),
    (Quantity.POWER, 745.6999, 5e-5),
    (Quantity.PISTON_SPEED, 0.0254, 1e-15),
    (Quantity.SPEED, 0.44704, 1e-12),
    (Quantity.ELEVATION, 0.3048, 1e-15),
]


@pytest.mark.parametrize(("quantity", "factor", "half_a_unit"), NIST_SP_811)
def test_a_us_unit_in_si(quantity: Quantity, factor: float, half_a_unit: float) -> None:
    assert UNITS[quantity, "us"].si == pytest.approx(factor, abs=half_a_unit, rel=0)


@pytest.mark.parametrize("quantity", list(Quantity))
def test_there_and_back(quantity: Quantity) -> None:
    assert from_si(to_si(13.5, quantity, "us"), quantity, "us") == pytest.approx(13.5, rel=1e-15)


def test_metric_units_are_powers_of_ten() -> None:
    metric = {quantity: UNITS[quantity, "metric"].si for quantity in Quantity}
    assert metric == {
        **{"mass": 1.0, "length": 0.001, "spring rate": 1000.0, "pressure": 1000.0},
        **{"inertia": 1.0, "force": 1.0, "power": 1000.0, "piston speed": 0.001},
        **{"speed": 1000.0 / 3600.0, "elevation": 1.0},
    }
