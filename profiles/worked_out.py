"""What is worked out of a file, kept for the next start and thrown away on any doubt."""

import zlib
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

from profiles.durable import write_atomically
from profiles.program import program
from profiles.reading import read_bytes
from profiles.state_text import FAULTS, digest, from_text, to_text

T = TypeVar("T")
MOST_BYTES = 20_000_000


def worked_out(path: Path, source: bytes, kind: type[T], make: Callable[[], T]) -> T:
    """Return what `make` makes of a source, from `path` where this program kept it before.

    Whatever `make` raises comes through, and is not kept. A disk that takes nothing keeps nothing.
    """
    known = f"{program()} {digest(source)}"
    try:
        head, known_text, text = read_bytes(path, MOST_BYTES).split(b"\n", 2)
        if head == known.encode() and known_text == digest(text).encode():
            kept = from_text(zlib.decompress(text))
            if isinstance(kept, kind):
                return kept
    except FAULTS:
        pass
    made = make()
    text = zlib.compress(to_text(made), 1)
    with suppress(OSError):
        data = b"\n".join([known.encode(), digest(text).encode(), text])
        write_atomically(path, data, to_disk=False)
    return made
