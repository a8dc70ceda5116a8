"""What takes long and never changes, kept between reports: drawn cars and the oracle's days.

Kept in the temporary directory under a digest of all that it depends on, so that no change of the
cars, the truth or the faults reads what was drawn before it.
"""

import hashlib
import pickle
import tempfile
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

import rules.car

T = TypeVar("T")
_HERE = Path(__file__).parent
# A car file is kept as the classes of the tool have it.
_CAR = Path(rules.car.__file__).parent
_PARTS = ("truth", "faults", "cars", "car_file", "fleets", "family", "oracle")


@lru_cache
def _digest() -> str:
    files = [*(_HERE / f"{name}.py" for name in _PARTS), *sorted(_CAR.glob("*.py"))]
    return hashlib.sha256(b"".join(one.read_bytes() for one in files)).hexdigest()[:16]


def kept(name: str, work_out: Callable[[], T]) -> T:
    """Return what was worked out before under this name, or work it out and keep it."""
    place = Path(tempfile.gettempdir()) / f"virtual-days-{_digest()}" / f"{name}.pickle"
    if place.exists():
        found: T = pickle.loads(place.read_bytes())
        return found
    found = work_out()
    place.parent.mkdir(exist_ok=True)
    new = place.with_suffix(f".{id(found)}")
    new.write_bytes(pickle.dumps(found))
    new.replace(place)
    return found
