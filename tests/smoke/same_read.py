"""Hold that what this version read of a data folder is what the version before read of it.

More may be read: a column that is new. Nothing may go, and nothing may change.
"""

import csv
import json
import sys
from pathlib import Path
from typing import Any


def differences(before: Any, now: Any, where: str) -> list[str]:
    """Return where `now` lacks something of `before`, or has it otherwise."""
    if isinstance(before, dict) and isinstance(now, dict):
        gone = [f"{where}.{key}: went" for key in before.keys() - now.keys()]
        both = before.keys() & now.keys()
        return gone + [
            d for k in sorted(both) for d in differences(before[k], now[k], f"{where}.{k}")
        ]
    if isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        pairs = enumerate(zip(before, now, strict=True))
        return [d for at, (a, b) in pairs for d in differences(a, b, f"{where}[{at}]")]
    return [] if before == now else [f"{where}: was {before!r}, is {now!r}"]


def read(path: Path) -> Any:
    """Return what an exported file holds; the program's own version is no part of the data."""
    text = path.read_text("utf-8-sig")
    if path.suffix == ".json":
        return {key: value for key, value in json.loads(text).items() if key != "version"}
    return list(csv.DictReader(text.splitlines())) if path.suffix == ".csv" else text


def main() -> int:
    """Compare two folders of exports, file by file."""
    before, now = map(Path, sys.argv[1:])
    names = sorted(path.name for path in before.iterdir())
    found = [d for name in names for d in differences(read(before / name), read(now / name), name)]
    events = len(read(now / "log.json")["events"])
    print("\n".join(found) or f"upgrade: {events} events and {len(names)} files read the same")
    return 1 if found or not events else 0


if __name__ == "__main__":
    sys.exit(main())
