"""One name, one thing: no two classes share one, and none hides a private name of its bases."""

import ast
import dis
from collections import defaultdict
from collections.abc import Iterator
from functools import cache, cached_property
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from types import FunctionType

ROOMS = ("rules", "profiles", "tui")
ROOT = Path(__file__).parents[1]
MEANT = {
    # The widget of the library has no public place where its picture is drawn.
    "Plot._render_plot hides PlotWidget's",
}


def test_no_two_classes_share_a_name() -> None:
    """A reader who meets a class by its name knows which one it is."""
    places: dict[str, list[str]] = defaultdict(list)
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    places[node.name].append(str(path.relative_to(ROOT)))
    assert {name: where for name, where in places.items() if len(where) > 1} == {}


def methods(one: type) -> Iterator[tuple[str, FunctionType]]:
    """Yield the functions of a class by name, those behind properties and class methods too."""
    for name, value in vars(one).items():
        match value:
            case property():
                value = value.fget
            case cached_property():
                value = value.func
            case classmethod() | staticmethod():
                value = value.__func__
        if isinstance(value, FunctionType):
            yield name, value


@cache
def private_names(one: type) -> frozenset[str]:
    """Return the private names of the methods of a class, and those that its methods set."""
    names = set()
    for name, function in methods(one):
        names.add(name)
        steps = dis.get_instructions(function)
        names |= {step.argval for step in steps if step.opname == "STORE_ATTR"}
    return frozenset(name for name in names if name[0] == "_" and name[-1] != "_")


def going_on(one: type) -> set[str]:
    """Return the methods of a class that call the one they override: it is meant, then."""
    return {name for name, own in methods(one) if {"super", name} <= {*own.__code__.co_names}}


def hidden(one: type) -> Iterator[str]:
    """Yield what a class gives a private name that a base, ours or a library's, uses already."""
    for base in one.__mro__[1:-1]:
        for name in sorted((private_names(one) & private_names(base)) - going_on(one)):
            yield f"{one.__name__}.{name} hides {base.__name__}'s"


def classes() -> Iterator[type]:
    """Yield every class of the program that a module of it holds."""
    for room in map(import_module, ROOMS):
        for found in walk_packages(room.__path__, f"{room.__name__}."):
            for value in vars(import_module(found.name)).values():
                if isinstance(value, type) and value.__module__ == found.name:
                    yield value


def test_no_class_hides_a_private_name_of_its_bases() -> None:
    """Who writes a private method knows of none above it: the base would call it as its own."""
    assert {said for one in classes() for said in hidden(one)} == MEANT


def test_what_hides_a_private_name_is_found() -> None:
    class Base:
        def __init__(self) -> None:
            self._field = self._set = 1

        def _method(self) -> None: ...

        @property
        def _asked(self) -> int: ...

        def _meant(self) -> None: ...

    class Hiding(Base):
        def _field(self) -> None: ...

        @cached_property
        def _set(self) -> int: ...

        @classmethod
        def _asked(cls) -> None: ...

        def fresh(self) -> None:
            self._method = None

        def _meant(self) -> None:
            super()._meant()

    names = ("_asked", "_field", "_method", "_set")
    assert [*hidden(Hiding)] == [f"Hiding.{name} hides Base's" for name in names]
