"""Tables of text as other programs write them: encoding and dialect found out, faults named."""

import csv
from dataclasses import dataclass
from io import StringIO
from itertools import islice
from pathlib import Path

from profiles.reading import MOST_TABLE_BYTES, FileFaultError, read_bytes
from rules.paper.columns import unlike

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab"}
MOST_COLUMNS = 2_000
MOST_ROWS = 200_000
_LOOKED_AT = 50


class TableFileError(ValueError):
    """A table cannot be read; the message names the file, what was found and what is wanted."""


SIMULATED_COLUMN = "simulated"
"""Heads the first column of every table of a practice day, which no table of passes may have."""


@dataclass(frozen=True)
class FileTable:
    """A table: unlike names of its columns, and its rows with their line in the file."""

    header: tuple[str, ...]
    rows: list[tuple[int, list[str]]]
    delimiter: str


def read_table(path: Path) -> FileTable:
    """Read a CSV file of any common dialect: comma, semicolon or tab; UTF-8, UTF-16 or Western.

    Raises:
        TableFileError: if it cannot be read, or has no header or no rows.
    """
    try:
        data = read_bytes(path, MOST_TABLE_BYTES)
    except FileFaultError as error:
        raise TableFileError(f"{path}: {error.fault}") from None
    text = _text(data, path)
    if not text.strip():
        raise TableFileError(f"{path}: found an empty file; wanted a header and rows")
    delimiter = _delimiter(text)
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise TableFileError(f"{path}: line {reader.line_num}: not a table ({error})") from None
    if not rows:
        raise TableFileError(f"{path}: found only empty cells; wanted a header and rows")
    (_, first), *rest = rows
    if len(first) > MOST_COLUMNS or len(rest) > MOST_ROWS:
        found = f"{len(first):,} columns and {len(rest):,} rows"
        wanted = f"at most {MOST_COLUMNS:,} and {MOST_ROWS:,}"
        raise TableFileError(f"{path}: found {found}; wanted {wanted}")
    if SIMULATED_COLUMN in first:
        raise TableFileError(f"{path}: found passes of a practice day; wanted real ones")
    if not rest:
        raise TableFileError(f"{path}: found a header and no rows; wanted at least one pass")
    return FileTable(unlike(first), rest, delimiter)


def _text(data: bytes, path: Path) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif data[:200].count(0) * 3 > len(data[:200]):  # Every other byte of plain letters is 0.
        encodings = ["utf-16-be" if data[:1] == b"\0" else "utf-16-le"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise TableFileError(f"{path}: found bytes that are no text; wanted a CSV file")


def _delimiter(text: str) -> str:
    """Return the delimiter that cuts most of the first rows into as many cells as the header."""

    def fit(delimiter: str) -> tuple[float, int]:
        try:
            reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter)
            widths = [len(row) for row in islice(reader, _LOOKED_AT) if row]
        except csv.Error:
            return (0.0, 0)
        if not widths or widths[0] < 2:
            return (0.0, 0)
        return (sum(width == widths[0] for width in widths) / len(widths), widths[0])

    return max(DELIMITERS, key=fit)
