"""What other programs read keeps its fields: JSON changes only together with its format number.

`tests/golden/json-N.json` holds, by command, the fields of JSON of format N, each with its type.
It is frozen; `python tests/tui/test_json_formats.py` writes the next where there is none.
"""

import json
import sys
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from tui.cli import main
from tui.commands.stop import OK

GOLDEN = Path(__file__).parents[1] / "golden"
FROZEN = GOLDEN / "json-1.json"
CAR, ANSWERS = GOLDEN / "car-1.toml", GOLDEN.parent / "smoke" / "answers.toml"
TABLES = ("speed [in/s],0 [lb],8 [lb]\n1,10,30\n10,110,260\n",) * 2
"""Two dyno tables, invented."""


def printed(folder: Path) -> dict[str, Any]:
    """Return what each command with JSON prints."""
    tables = [folder / "old.csv", folder / "new.csv"]
    for path, text in zip(tables, TABLES, strict=True):
        path.write_text(text)
    commands: dict[str, list[Any]] = {
        "consult": [CAR, "--answers", ANSWERS],
        "whatif": [CAR, "--set", "left front rebound=11"],
        "numbers": [CAR],
        "crossover": [*tables, "--count", "4"],
    }
    return {name: run(folder, name, *args) for name, args in commands.items()}


def run(folder: Path, *args: Any) -> Any:
    out = StringIO()
    with redirect_stdout(out):
        assert main(["--data", str(folder / "data"), *map(str, args), "--json"]) == OK
    return json.loads(out.getvalue())


def fields(value: Any) -> Any:
    """Return the fields of a value with their types; those of a list by its first entry."""
    if isinstance(value, dict):
        return {key: fields(one) for key, one in value.items()}
    if isinstance(value, list):
        return [fields(one) for one in value[:1]]
    return "number" if type(value) in (int, float) else type(value).__name__


def missing(kept: Any, found: Any, where: str) -> list[str]:
    """Return the fields that went or changed their type; null stands for any."""
    if isinstance(kept, dict) and isinstance(found, dict):
        gone = [f"{where}.{key}: went" for key in kept.keys() - found.keys()]
        both = kept.keys() & found.keys()
        return gone + [row for k in both for row in missing(kept[k], found[k], f"{where}.{k}")]
    if isinstance(kept, list) and isinstance(found, list):
        return missing(kept[0], found[0], f"{where}[]") if kept and found else []
    none = "NoneType"
    same = kept == found or none in (kept, found)
    return [] if same else [f"{where}: was {kept}, is {found}"]


@pytest.mark.long
def test_no_field_of_json_goes_or_changes_its_type(tmp_path: Path) -> None:
    """A program that reads format 1 can read it in every later version."""
    now = printed(tmp_path)
    assert {one["format"] for one in now.values()} == {1}
    kept = json.loads(FROZEN.read_text())
    for name in kept:
        assert missing(kept[name], fields(now[name]), name) == []


if __name__ == "__main__":
    with TemporaryDirectory() as work:
        text = json.dumps(fields(printed(Path(work))), indent=1)
    if FROZEN.exists():
        sys.exit(f"{FROZEN}: is there already")
    FROZEN.write_text(f"{text}\n")
