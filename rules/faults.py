"""A fault of a car file, as it is told; and what is there by then, or a fault with a name."""

from typing import NamedTuple, TypeVar

T = TypeVar("T")


class NotThereError(RuntimeError):
    """Something is missing that the steps before should have made sure of."""


def there(thing: T | None, name: str) -> T:
    """Return a thing that is there by now.

    Raises:
        NotThereError: there is none.
    """
    if thing is None:
        raise NotThereError(f"{name}: found none; wanted one by now")
    return thing


class Fault(NamedTuple):
    """What is wrong, where, what was found and is wanted; without `wanted`, `found` says it all."""

    where: str
    found: str
    wanted: str = ""

    def __str__(self) -> str:
        if not self.wanted:
            return f"{self.where}: {self.found}"
        return f"{self.where}: found {self.found}; wanted {self.wanted}"
