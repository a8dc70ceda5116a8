"""The door for files from outside: how much is read of one, and which letters it may have."""

from pathlib import Path

from rules.faults import Fault
from rules.plain_data import MOST_JSON_CHARACTERS, MOST_TOML_CHARACTERS

MOST_TOML_BYTES = 2 * MOST_TOML_CHARACTERS
MOST_JSON_BYTES = MOST_JSON_CHARACTERS
MOST_TABLE_BYTES = 50_000_000
MOST_DYNO_BYTES = 4_000_000
MOST_LOG_BYTES = 2_000_000_000
_MEGABYTE = 1_000_000


class FileFaultError(ValueError):
    """A file cannot be read; `fault` says what was found and is wanted."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def read_bytes(path: Path, most: int) -> bytes:
    """Return the content of a file of at most so many bytes.

    Raises:
        FileFaultError: if it is larger, or cannot be read; no more than `most` is read of it.
    """
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        found = f"{reason.lower()}, so it cannot be read"
        fault = Fault("the file", found, "a file to read")
        raise FileFaultError(fault) from None
    if len(data) > most:
        size = f"more than {most // _MEGABYTE:,} MB" if most >= _MEGABYTE else f"over {most} bytes"
        raise FileFaultError(Fault("the file", f"{size} in it", "a smaller one"))
    return data


def text_of(data: bytes) -> str:
    """Return the text of a file saved as UTF-8, without the mark that some editors put in front.

    Raises:
        FileFaultError: naming the line with other bytes.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        fault = Fault(f"line {line}", "bytes that are not UTF-8", "a file saved as UTF-8")
        raise FileFaultError(fault) from None


def read_text(path: Path, most: int) -> str:
    """Return the text of a file, within both limits.

    Raises:
        FileFaultError: if it is larger, cannot be read, or is not UTF-8.
    """
    return text_of(read_bytes(path, most))
