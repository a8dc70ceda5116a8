"""Which damper stands at which corner, which springs on which axle, and what was done to them.

What was on the car when its log began has an id of its own at each corner: it can come back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from rules.car.model import CORNERS, AxleEnd, Corner
from rules.wording import capital

if TYPE_CHECKING:
    from rules.car.damper_record import DamperRecord

JobKind = Literal["fitted", "opened", "serviced", "spring"]
Part = tuple[str, ...]
"""What stands at a place, by its id, and the jobs by which its inside was changed since."""
Parts = Mapping[str, Part]
AXLES: tuple[AxleEnd, ...] = ("front", "rear")
FIRST_SPRINGS = "springs as first described"
NOTHING = ""


def first_at(corner: str) -> str:
    """Return the id of the damper that stood at a corner when the log began."""
    return f"first {corner}"


def spring_place(axle: str) -> str:
    """Name an axle's springs as a place, beside the four corners."""
    return f"{axle} springs"


def corners_of(axle: str) -> tuple[Corner, ...]:
    """Return both corners of an axle."""
    return tuple(corner for corner in CORNERS if corner.endswith(axle))


@dataclass(frozen=True)
class Job:
    """Something done to dampers or springs in one go, after so many passes.

    `done` says by place what was done there, by "" on the bench; `change` is judged as one with it,
    and its settings say what was done.
    """

    id: str
    what: JobKind
    at: datetime
    passes: int
    done: Mapping[str, str]
    dampers: tuple[str, ...] = ()
    change: str | None = None

    @property
    def places(self) -> tuple[str, ...]:
        """The corners or springs it was done at, none on the bench."""
        return tuple(place for place in self.done if place)

    @property
    def says(self) -> str:
        """Say it in the crew's words; what was done alike at both sides is said once."""
        alike: dict[str, list[str]] = {}
        for place, words in self.done.items():
            alike.setdefault(words, []).append(place)
        return " ".join(f"{_placed(places)}{words}." for words, places in alike.items())


def _placed(places: list[str]) -> str:
    if places == [""]:
        return ""
    axles = {place.split()[-1] for place in places}
    both = len(places) == 2 and len(axles) == 1
    where = f"{axles.pop()}, both sides" if both else ", ".join(places)
    return f"{capital(where)}: "


@dataclass(frozen=True)
class Dampers:
    """What is known of the dampers and springs: records, where they stand, what was done.

    `opened` names by damper, or by the place of springs, the jobs by which it was changed.
    `springs` names the springs by which what was learnt is kept apart, `springs_called` those that
    a change put on which no lever names.
    `left_at` says by damper the marks its knobs stood at when it came off, by their names.
    `doubts` are corners at which the car file may describe another damper, and what it says.
    `baseline_due`: the crew said that it does, and which baseline holds from there is not said.
    """

    records: Mapping[str, DamperRecord] = field(default_factory=dict)
    mounted: Mapping[str, str] = field(default_factory=dict)
    opened: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    springs: Mapping[str, str] = field(default_factory=dict)
    springs_called: Mapping[str, str] = field(default_factory=dict)
    away: Mapping[str, str] = field(default_factory=dict)
    left_at: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    jobs: tuple[Job, ...] = ()
    doubts: Mapping[str, str] = field(default_factory=dict)
    baseline_due: bool = False

    def at(self, corner: str) -> str:
        """Return the id of the damper that stands at a corner; empty where none does."""
        return self.mounted.get(corner, first_at(corner))

    def where(self, damper: str) -> Corner | None:
        """Return the corner at which a damper stands; None where it is off the car."""
        return next((corner for corner in CORNERS if self.at(corner) == damper), None)

    def springs_on(self, axle: str) -> str:
        """Return the name of an axle's springs as the log has it, whichever change put them on."""
        return self.springs_called.get(axle, self._springs_first(axle))

    def _springs_first(self, axle: str) -> str:
        return self.springs.get(axle, FIRST_SPRINGS)

    def name(self, damper: str) -> str:
        """Name a damper as it is written on it, or by where it stood first."""
        record = self.records.get(damper)
        nameless = record is None or not (record.maker or record.serial)
        if nameless and damper.startswith("first "):
            return f"the one that was on the {damper.removeprefix('first ')}"
        return record.name if record else damper

    def of_damper(self, damper: str) -> Iterator[Job]:
        """Yield what was done to a damper, the first first."""
        return (job for job in self.jobs if damper in job.dampers)

    @property
    def in_trailer(self) -> list[DamperRecord]:
        """The dampers that are known, off the car and not sent away."""
        known = self.records.values()
        return [one for one in known if self.where(one.id) is None and one.id not in self.away]

    @property
    def bare(self) -> list[Corner]:
        """The corners at which no damper stands."""
        return [corner for corner in CORNERS if self.at(corner) == NOTHING]

    @property
    def parts(self) -> Parts:
        """What stands on the car now, by place; where nothing was ever done is left out."""
        found: dict[str, Part] = {
            corner: (self.at(corner), *self.opened.get(self.at(corner), ())) for corner in CORNERS
        }
        for axle in AXLES:
            place = spring_place(axle)
            found[place] = (self._springs_first(axle), *self.opened.get(place, ()))
        return without(found, frozenset())


def without(parts: Parts, jobs: frozenset[str]) -> Parts:
    """Return parts as they are known without some jobs; what stood there first is left out."""
    kept = {place: tuple(one for one in part if one not in jobs) for place, part in parts.items()}
    return {place: part for place, part in kept.items() if part != _first(place)}


def _first(place: str) -> Part:
    return (first_at(place) if place in CORNERS else FIRST_SPRINGS,)


def differ(then: Parts, now: Parts) -> frozenset[str]:
    """Return the places at which other parts stood then."""
    return frozenset(key for key in then.keys() | now.keys() if then.get(key) != now.get(key))
