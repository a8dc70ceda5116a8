"""Holds what came out of a situation against what a careful crew chief accepts and forbids."""

from dataclasses import dataclass

from tests.situations.nevers import NEVER_WITH
from tests.situations.walk import (
    TOLD,
    HistoryError,
    begin,
    ends,
    first_word,
)
from tests.situations.words import Outcome, Situation, fits, touches


@dataclass(frozen=True)
class Judged:
    """What came out: with the truth, with "don't know", and what was forbidden on any way."""

    truth: Outcome | None
    unknown: Outcome | None
    forbidden: tuple[Outcome, ...]
    unplayable: str
    truth_right: bool
    unknown_right: bool
    words_right: bool
    ways: int
    stuck: int = 0
    strictly_right: bool = False
    strict: Outcome | None = None

    @property
    def right(self) -> bool:
        """Whether a careful crew chief has nothing against any of it."""
        return not self.faults

    @property
    def faults(self) -> list[str]:
        """What a crew chief has against it, in words."""
        if self.unplayable:
            return [f"history: {self.unplayable}"]
        said = []
        if not self.truth_right:
            said.append(f"truth -> {self.truth}")
        if not self.unknown_right:
            said.append(f"don't know -> {self.unknown}")
        if not self.words_right:
            said.append("words: " + (str(self.truth)))
        for one in self.forbidden[:3]:
            said.append(f"forbidden -> {one} [{', '.join(one.path)}]")
        return said


def never_with(outcome: Outcome) -> tuple[str, ...]:
    """Return what the answers on the way to an outcome forbid in any situation."""
    return tuple(words for answer in outcome.path for words in NEVER_WITH.get(answer, ()))


def judge(case: Situation) -> Judged:
    """Play a situation to its end with the truth, with "don't know" and with any answers."""
    try:
        start = begin(case)
    except HistoryError as error:
        return Judged(None, None, (), str(error), False, False, False, 0)
    told = case.seen.said if case.seen else {}
    fitted = start.crew.fitted
    known = start.fork()
    truth = first_word(known, told, case.accepts)
    unsure = start.fork()
    blank = {key: value for key, value in told.items() if key in TOLD}
    unknown = first_word(unsure, blank, case.unknown)
    # Read strictly, not knowing comes in the end to what is right with everything known.
    strict = first_word(start.fork(), blank, case.accepts)
    every = list(ends(start.fork(), told))
    bad = {
        str(one): one
        for one in [*(o for o in (truth, unknown) if o), *every]
        if any(touches(words, one, fitted) for words in (*case.forbids, *never_with(one)))
    }
    spoken = truth.text if truth else ""
    heard = " ".join(known.heard)
    return Judged(
        truth,
        unknown,
        tuple(bad.values()),
        "",
        truth is not None and any(fits(w, truth, fitted) for w in case.accepts),
        unknown is not None and any(fits(w, unknown, fitted) for w in case.unknown),
        not any(w in spoken for w in case.unsaid)
        and (not case.says or any(w in heard for w in case.says)),
        len(every),
        sum(one.stuck for one in every),
        strict is not None and any(fits(w, strict, fitted) for w in case.accepts),
        strict,
    )
