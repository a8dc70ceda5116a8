"""What this program is, so that nothing that another one worked out is taken for its own."""

import sys
import time
from functools import cache
from hashlib import blake2b
from pathlib import Path

import rules


@cache
def program() -> str:
    """Return a name of the sources as they lie on the disk, of Python, and of the clock's zone."""
    found = sorted(
        (str(path), path.stat().st_size, path.stat().st_mtime_ns)
        for room in (Path(rules.__file__).parent, Path(__file__).parent)
        for path in room.rglob("*.py")
    )
    what = (rules.__version__, sys.version, time.tzname, time.timezone, found)
    return blake2b(repr(what).encode(), digest_size=16).hexdigest()
