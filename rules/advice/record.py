"""What this meeting's changes have shown so far, rule by rule."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from rules.advice.change_evidence import brought_danger, danger_of, runs_on
from rules.book import Book
from rules.log.changes import Change, Verdict
from rules.log.other_parts import is_evidence
from rules.log.state import MEETING_OF_CHANGE, State
from rules.once import once_for_each


@dataclass(frozen=True)
class Record:
    """The judged changes of the meeting, oldest first; which of them brought a danger is asked."""

    changes: tuple[Change, ...]
    _brought: Callable[[Change], bool] | None = None

    def brought(self, change: Change) -> bool:
        """Tell whether a change brought a danger, by passes that count."""
        return self._brought is not None and change in self.changes and self._brought(change)

    def of(self, rule: str) -> list[Change]:
        """Return the judged changes that followed a rule."""
        return [change for change in self.changes if change.rule == rule]

    def verdicts(self, rule: str) -> list[Verdict]:
        """Return what the crew said of a rule's changes."""
        return [change.verdict for change in self.of(rule) if change.verdict is not None]

    def trailing_same(self, rule: str) -> list[Change]:
        """Return the latest unbroken series of changes by the rule that did nothing."""
        series: list[Change] = []
        for change in reversed(self.of(rule)):
            if change.verdict != "same":
                break
            series.insert(0, change)
        return series

    def exhausted(self, rule: str) -> str:
        """Return why the rule has had its turn in this meeting, or nothing."""
        changes = self.of(rule)
        if any(change.half_back for change in changes):
            return "tried: it went past and was taken half back"
        if changes and changes[-1].verdict == "worse":
            return "tried: it made it worse"
        if changes and self.brought(changes[-1]):
            return "tried: it brought a danger"
        if changes and changes[-1].verdict == "other":
            return "tried: it brought another fault"
        if len(self.trailing_same(rule)) >= 2:
            return "tried twice: no effect"
        return ""

    def words(self) -> frozenset[str]:
        """Return the record as words a condition can name: rule:verdict."""
        return frozenset(f"{c.rule}:{c.verdict}" for c in self.changes if c.rule is not None)


@once_for_each(1)
def record(state: State, book: Book) -> Record:
    """Return the evidence of the meeting: judged changes, none in doubt, mixed or set aside."""
    here = state.changes.under(*MEETING_OF_CHANGE, state.meeting_id or "")
    changes = tuple(c for c in here if is_evidence(state, c) and c.origin != "put back")
    return Record(changes, partial(_brought_danger, state, book))


def _brought_danger(state: State, book: Book, change: Change) -> bool:
    """Tell whether a pass on a change showed a danger that came with it: its first one decides."""
    dangerous = (run for run in runs_on(state, change) if danger_of(state, book, run))
    first = next(dangerous, None)
    return first is not None and bool(brought_danger(state, book, change, first))
