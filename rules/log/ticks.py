"""The marks of all lists, wherever they are kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from rules.register import Register

if TYPE_CHECKING:
    from rules.log.state import Run


class Ticks(Mapping[tuple[str, str, str], str]):
    """The marks of all lists, by inspection, reason and item; those of a pass lie with it."""

    def __init__(self, runs: Register[Run], others: Mapping[tuple[str, str, str], str]) -> None:
        """View the marks of these passes and the others."""
        self._runs, self._others = runs, others

    def __getitem__(self, key: tuple[str, str, str]) -> str:
        inspection, reason, item = key
        run = self._runs.find(reason)
        return self._others[key] if run is None else run.ticks[inspection, item]

    def __iter__(self) -> Iterator[tuple[str, str, str]]:
        for run in self._runs:
            for inspection, item in run.ticks:
                yield inspection, run.id, item
        yield from self._others

    def __len__(self) -> int:
        return sum(len(run.ticks) for run in self._runs) + len(self._others)
