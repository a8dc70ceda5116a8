"""Frozen data classes whose methods are written when they are first used.

The standard library compiles six functions for each class it declares, which takes longer than
all else that a class needs; most classes that the first question loads are not used before it is
answered.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    from collections.abc import Callable
    from dataclasses import MISSING, Field, FrozenInstanceError, fields
    from dataclasses import dataclass as written_at_once
    from functools import partial
    from operator import attrgetter
    from typing import Any

    Fields = tuple[Field[Any], ...]

    def dataclass(cls: type | None = None, /, *, frozen: bool = False) -> Any:
        """Declare a data class as the standard library does; a frozen one is written later."""
        if cls is None:
            return partial(dataclass, frozen=frozen)
        if not frozen:
            return written_at_once(cls)
        own = {name for name, value in vars(cls).items() if value is not None}
        made = written_at_once(cls, init=False, repr=False, eq=False)
        every = fields(made)
        for name, late in LATE.items():
            if name not in own:
                setattr(made, name, late(made, every))
        return made

    def _init(cls: type, _: Fields) -> Callable[..., None]:
        def write_and_call(self: Any, *args: Any, **named: Any) -> None:
            # A class that inherits from this one has its own; so this is written once.
            cls.__init__ = _written_init(cls)
            cls.__init__(self, *args, **named)

        return write_and_call

    def _written_init(cls: type) -> Callable[..., None]:
        known: dict[str, Any] = {"_put": object.__setattr__, "_none": MISSING}
        heads, lines = [], []
        for one in fields(cls):
            name = one.name
            if one.default_factory is not MISSING:
                known[f"_new_{name}"] = one.default_factory
                value = f"_new_{name}() if {name} is _none else {name}"
                heads.append(f"{name}=_none")
            else:
                known[f"_usual_{name}"] = one.default
                value = name
                heads.append(name if one.default is MISSING else f"{name}=_usual_{name}")
            lines.append(f"  _put(self, {name!r}, {value})")
        if hasattr(cls, "__post_init__"):
            lines.append("  self.__post_init__()")
        text = "\n".join([f"def __init__({', '.join(['self', *heads])}):", *lines, "  return None"])
        exec(text, known)
        known["__init__"].__qualname__ = f"{cls.__qualname__}.__init__"
        return known["__init__"]

    def _values(names: list[str]) -> Callable[[Any], tuple[Any, ...]]:
        if len(names) > 1:
            return attrgetter(*names)
        return lambda of: tuple(getattr(of, name) for name in names)

    def _eq(_: type, every: Fields) -> Callable[[Any, Any], bool]:
        values = _values([one.name for one in every if one.compare])

        def is_equal(self: Any, other: Any) -> bool:
            if other.__class__ is not self.__class__:
                return NotImplemented
            return values(self) == values(other)

        return is_equal

    def _hash(_: type, every: Fields) -> Callable[[Any], int]:
        counted = ((one.name, one.compare if one.hash is None else one.hash) for one in every)
        values = _values([name for name, is_counted in counted if is_counted])
        return lambda self: hash(values(self))

    def _repr(_: type, every: Fields) -> Callable[[Any], str]:
        def told(self: Any) -> str:
            parts = (f"{one.name}={getattr(self, one.name)!r}" for one in every if one.repr)
            return f"{self.__class__.__qualname__}({', '.join(parts)})"

        return told

    def _put(cls: type, every: Fields) -> Callable[[Any, str, Any], None]:
        names = {one.name for one in every}

        def put(self: Any, name: str, value: Any) -> None:
            if type(self) is cls or name in names:
                raise FrozenInstanceError(f"cannot assign to field {name!r}")
            super(cls, self).__setattr__(name, value)

        return put

    def _take(cls: type, every: Fields) -> Callable[[Any, str], None]:
        names = {one.name for one in every}

        def take(self: Any, name: str) -> None:
            if type(self) is cls or name in names:
                raise FrozenInstanceError(f"cannot delete field {name!r}")
            super(cls, self).__delattr__(name)

        return take

    LATE = {
        "__init__": _init,
        "__eq__": _eq,
        "__hash__": _hash,
        "__repr__": _repr,
        "__setattr__": _put,
        "__delattr__": _take,
    }
