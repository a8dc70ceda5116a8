"""One name, one thing: no two classes of the program share a name."""

import ast
from collections import defaultdict
from pathlib import Path

ROOMS = ("rules", "profiles", "tui")
ROOT = Path(__file__).parents[1]


def test_no_two_classes_share_a_name() -> None:
    """A reader who meets a class by its name knows which one it is."""
    places: dict[str, list[str]] = defaultdict(list)
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    places[node.name].append(str(path.relative_to(ROOT)))
    assert {name: where for name, where in places.items() if len(where) > 1} == {}
