"""The door for all that a command says: on stdout and stderr nothing from outside goes out raw.

Whoever writes to either stream while it stands writes through it: the commands, the parser of the
command line, warnings, and the report of an error of the program.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOBase, TextIOWrapper
from typing import TextIO

from rules.harmless import harmless


class Outlet(TextIOBase):
    """A stream that writes out what would steer a terminal, and passes on the rest.

    It says that it is no terminal, so that nobody colours what goes through it.
    """

    def __init__(self, stream: TextIO) -> None:
        super().__init__()
        self.stream = stream
        if isinstance(stream, TextIOWrapper):  # Not every console can show every name.
            stream.reconfigure(errors="backslashreplace")

    def write(self, text: str) -> int:
        """Write a text; return its length."""
        self.stream.write(harmless(text))
        return len(text)

    def flush(self) -> None:
        """Write what is held back."""
        self.stream.flush()

    def writable(self) -> bool:
        """Tell that it can be written to."""
        return True

    def fileno(self) -> int:
        """Return the descriptor of the stream behind it."""
        return self.stream.fileno()

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """The encoding of the stream behind it."""
        return self.stream.encoding


@contextmanager
def outlet() -> Iterator[None]:
    """Put the door before stdout and stderr; it stays before stderr for an error that gets out."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (_door(one) for one in before)
    try:
        yield
    except Exception:
        sys.excepthook = _report
        raise
    finally:
        sys.stdout, sys.stderr = before


def is_terminal(stream: TextIO | None) -> bool:
    """Tell whether a stream, or the one behind its door, is a terminal."""
    behind = stream.stream if isinstance(stream, Outlet) else stream
    return behind is not None and behind.isatty()


def _door(stream: TextIO) -> TextIO:
    # A program without a console has no streams at all.
    shut = stream is None or isinstance(stream, Outlet)
    return stream if shut else Outlet(stream)  # type: ignore[return-value]


def _report(kind: type[BaseException], error: BaseException, trace: object) -> None:
    """Report an error of the program as the interpreter would, through the door."""
    with outlet():
        sys.__excepthook__(kind, error, trace)  # type: ignore[arg-type]
