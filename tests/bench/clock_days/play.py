"""A day played on the clock: the crew runs what the program proposes and looks after every pass."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from tests.bench.clock_days.world import Day

PASSES = 13


@dataclass(frozen=True)
class Timed:
    """A pass as the program gets it: B is the new setting."""

    meeting: int
    letter: str
    time_s: float
    lane: str | None


@dataclass(frozen=True)
class Look:
    """What the program says after a pass.

    word: helped, hurt or cannot tell.  quicker: the chance that the new setting is.  best: the
    setting it would end the day on.  then: the one it proposes for the next pass.  more, chance:
    so many more passes would tell, with this chance, where it says so.
    """

    word: str
    quicker: float
    best: str
    then: str
    more: int = 0
    chance: float = 0.0


class Program(Protocol):
    """What is measured."""

    def __call__(self, day: Day, passes: tuple[Timed, ...]) -> Look:
        """Look at the passes so far."""


@dataclass(frozen=True)
class Played:
    """A day and every look of it, from the second pass on."""

    day: Day
    letters: str
    looks: tuple[Look, ...]
    times: tuple[float, ...]

    @property
    def said(self) -> str:
        """The first word that told, which the crew goes home with."""
        return next((one.word for one in self.looks if one.word != "cannot tell"), "cannot tell")

    @property
    def told(self) -> bool:
        """Whether the crew was told the truth."""
        return self.said == self.truth

    @property
    def truth(self) -> str:
        """Helped or hurt; neither where there is no effect."""
        if self.day.effect_s == 0.0:
            return "no effect"
        return "helped" if self.day.effect_s < 0.0 else "hurt"

    def ever(self, word: str) -> bool:
        """Tell whether a crew that never stops is told this at any look."""
        return any(one.word == word for one in self.looks)

    @property
    def promises(self) -> list[tuple[float, bool]]:
        """What was said of more passes that the day still had, and whether they told."""
        return [
            (
                one.chance,
                any(to.word != "cannot tell" for to in self.looks[n + 1 : n + 1 + one.more]),
            )
            for n, one in enumerate(self.looks)
            if one.word == "cannot tell" and one.more and n + one.more < len(self.looks)
        ]

    def gain(self, letter: str) -> float:
        """Return what the day gained that ends on a setting [s]."""
        return -self.day.effect_s if letter == "B" else 0.0

    def ended(self, passes: int) -> str:
        """Return the setting that the program ends a day of so many passes on."""
        return self.looks[passes - 2].best


def play(day: Day, program: Program, passes: int = PASSES) -> Played:
    """Play a day: one pass on the old setting, one on the new, then as the program proposes."""
    done: list[Timed] = []
    for number, meeting in enumerate(day.meetings[:-1]):
        letters = "ABABABAB"
        done += [
            Timed(number, letters[i], _time(day, float(old), letters[i]), meeting.lanes[i])
            for i, old in enumerate(meeting.old_s)
        ]
    today = len(day.meetings) - 1
    letters, looks, times = "", [], []
    then = "A"
    for i in range(passes):
        time = _time(day, float(day.today.old_s[i]), then)
        letters += then
        times.append(time)
        done.append(Timed(today, then, time, day.today.lanes[i]))
        then = "B"
        if i:
            looks.append(program(day, tuple(done)))
            then = looks[-1].then
    return Played(day, letters, tuple(looks), tuple(times))


def _time(day: Day, old_s: float, letter: str) -> float:
    # A slip prints thousandths.
    return round(old_s + (day.effect_s if letter == "B" else 0.0), 3)


def keep_if_faster(played: Played) -> str:
    """Return what a crew ends on that runs each setting once and keeps the faster."""
    return "B" if played.times[1] < played.times[0] else "A"


def keep_faster_mean(played: Played, passes: int) -> str:
    """Return what a crew ends on that runs the same passes and keeps the faster mean."""
    found: dict[str, list[float]] = {"A": [], "B": []}
    for letter, time in zip(played.letters[:passes], played.times, strict=False):
        found[letter].append(time)
    mean = {key: sum(one) / len(one) for key, one in found.items()}
    return "B" if mean["B"] < mean["A"] else "A"


Rule = Callable[[Played], str]
