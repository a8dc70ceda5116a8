"""What the columns of a table were once told to hold, kept by the table's header line."""

import json
from collections.abc import Sequence
from pathlib import Path

from profiles.durable import make_folder, write_atomically
from profiles.paths import DataFolder
from profiles.reading import MOST_TABLE_BYTES, FileFaultError, read_text
from rules.paper.columns import SKIP, Column, ColumnError, Told, column
from rules.plain_data import PlainDataError, json_data


def remembered(folder: DataFolder, header: Sequence[str]) -> dict[str, Column | None] | None:
    """Return what this header was told before; None where nothing is kept that still reads."""
    kept = _kept(_path(folder)).get(_key(header))
    if not isinstance(kept, list) or len(kept) != len(header):
        return None
    try:
        return {name: column(str(text)) for name, text in zip(header, kept, strict=True)}
    except ColumnError:
        return None


def remember(folder: DataFolder, told: Told) -> None:
    """Keep what each column holds, for the next table with this header.

    Raises:
        OSError: if it cannot be written.
    """
    path = _path(folder)
    kept = _kept(path)
    kept[_key(list(told))] = [str(one) if one else SKIP for one in told.values()]
    make_folder(path.parent)
    write_atomically(path, json.dumps(kept, indent=1).encode())


def _path(folder: DataFolder) -> Path:
    return folder.home / "columns.json"


def _kept(path: Path) -> dict[str, object]:
    try:
        kept = json_data(read_text(path, MOST_TABLE_BYTES))
    except (FileFaultError, PlainDataError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _key(header: Sequence[str]) -> str:
    return "\n".join(header)
