"""What is worked out of a file, kept for the next start and thrown away on any doubt."""

import os
import zlib
from collections.abc import Callable
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path
from typing import TypeVar

from profiles.program import program
from profiles.reading import read_bytes
from profiles.state_text import from_text, to_text

T = TypeVar("T")
FAULTS = (
    OSError,
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    RecursionError,
    zlib.error,
)
MOST_BYTES = 20_000_000


def worked_out(path: Path, source: bytes, kind: type[T], make: Callable[[], T]) -> T:
    """Return what `make` makes of a source, from `path` where this program kept it before.

    Whatever `make` raises comes through, and is not kept. A disk that takes nothing keeps nothing.
    """
    known = f"{program()} {_digest(source)}"
    try:
        head, digest, text = read_bytes(path, MOST_BYTES).split(b"\n", 2)
        if head == known.encode() and digest == _digest(text).encode():
            kept = from_text(zlib.decompress(text))
            if isinstance(kept, kind):
                return kept
    except FAULTS:
        pass
    made = make()
    text = zlib.compress(to_text(made), 1)
    temporary = path.with_name(f"{path.name}.{os.getpid()}.tmp")
    with suppress(OSError):
        try:
            temporary.write_bytes(b"\n".join([known.encode(), _digest(text).encode(), text]))
            temporary.replace(path)
        finally:
            temporary.unlink(missing_ok=True)
    return made


def _digest(data: bytes) -> str:
    return blake2b(data, digest_size=32).hexdigest()
