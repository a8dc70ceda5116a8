"""A fault of a car file, as it is told."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """What is wrong, where, what was found and what is wanted."""

    where: str
    found: str
    wanted: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; wanted {self.wanted}"
