"""A fault of a car file, as it is told."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """What is wrong, where, what was found and is wanted; without `wanted`, `found` says it all."""

    where: str
    found: str
    wanted: str = ""

    def __str__(self) -> str:
        if not self.wanted:
            return f"{self.where}: {self.found}"
        return f"{self.where}: found {self.found}; wanted {self.wanted}"
