"""A cache handed out is frozen: what one caller does with it, no other caller sees."""

import ast
from pathlib import Path

import pytest

from profiles.files import SHIPPED_CARS, load_car
from rules.book import shipped
from rules.car.adjusters import adjusters

ROOT = Path(__file__).parents[1]
ROOMS = ("rules", "profiles", "tui")
CACHES = frozenset({"cache", "lru_cache", "cached_property"})
OPEN = frozenset({"dict", "list", "set", "defaultdict", "Counter", "bytearray"})


def _names(node: ast.AST) -> set[str]:
    return {one.id for one in ast.walk(node) if isinstance(one, ast.Name)} | {
        one.attr for one in ast.walk(node) if isinstance(one, ast.Attribute)
    }


def test_no_cached_function_returns_what_a_caller_could_change() -> None:
    """By its annotation, at any depth: a mapping or a tuple, never a dict, a list or a set."""
    cached, found = 0, []
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if not isinstance(node, ast.FunctionDef) or node.returns is None:
                    continue
                if any(_names(one) & CACHES for one in node.decorator_list):
                    cached += 1
                    if _names(node.returns) & OPEN:
                        found.append(f"{path.relative_to(ROOT)}: {node.name}")
    assert cached > 5
    assert found == []


def test_what_is_shared_refuses_to_be_written() -> None:
    car = load_car(next(iter(sorted(SHIPPED_CARS.glob("*.toml")))))
    book = shipped()
    shared = (adjusters(car), book.symptoms, book.rules, book.prompts, book.inspections)
    for one in shared:
        with pytest.raises(TypeError):
            one["new"] = None  # type: ignore[index]
        assert "new" not in one
