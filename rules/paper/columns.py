"""The columns of a table of passes: what each may hold, in which unit, and what its name tells.

Words and units are common practice, no source; factors between units are those of `rules.units`.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from rules.passes.slip import BEAMS_M
from rules.passes.slip import FIELDS as SLIP

Kind = Literal[
    "date", "clock", "seconds", "speed", "temperature", "percent", "pressure", "height", "words"
]

UNITS: dict[Kind, tuple[str, ...]] = {
    "date": ("y-m-d", "m/d/y", "d/m/y"),
    "clock": (),
    "seconds": ("s",),
    "speed": ("mph", "km/h", "m/s"),
    "temperature": ("F", "C"),
    "percent": ("%",),
    "pressure": ("inHg", "hPa"),
    "height": ("ft", "m"),
    "words": (),
}


@dataclass(frozen=True)
class ColumnTarget:
    """What a column can hold: its name for the crew, and where it goes."""

    name: str
    goes_to: str
    kind: Kind


FIELDS = {
    one.name: one
    for one in (
        ColumnTarget("date", "date", "date"),
        ColumnTarget("time of day", "clock", "clock"),
        *(
            ColumnTarget(one.label, key, "speed" if one.quantity else "seconds")
            for key, one in SLIP.items()
        ),
        ColumnTarget("lane", "lane", "words"),
        ColumnTarget("marks", "marks", "words"),
        ColumnTarget("setting", "setting", "words"),
        ColumnTarget("air temperature", "air_temperature", "temperature"),
        ColumnTarget("humidity", "humidity", "percent"),
        ColumnTarget("dew point", "dew_point", "temperature"),
        ColumnTarget("air pressure", "pressure", "pressure"),
        ColumnTarget("which pressure", "pressure_kind", "words"),
        ColumnTarget("track elevation", "elevation", "height"),
        ColumnTarget("track temperature", "track_temperature", "temperature"),
    )
}
SKIP = "skip"
_NAMED_HERE = re.compile(r"^column \d+$| \(\d+\. of this name\)$")

_BEAMS = {
    "60": "60-foot",
    "sixty": "60-foot",
    "330": "330",
    "660": "eighth",
    "1/8": "eighth",
    "eighth": "eighth",
    "1000": "1000",
    "1320": "quarter",
    "1/4": "quarter",
    "quarter": "quarter",
}
_WORDS = {
    "date": "date",
    "day": "date",
    "clock": "time of day",
    "reaction": "reaction",
    "rt": "reaction",
    "dial": "dial-in",
    "lane": "lane",
    "marks": "marks",
    "setting": "setting",
    "setup": "setting",
    "humidity": "humidity",
    "barometer": "air pressure",
    "elevation": "track elevation",
}
_PHRASES = {
    ("time", "of", "day"): "time of day",
    ("air", "temperature"): "air temperature",
    ("air", "temp"): "air temperature",
    ("track", "temperature"): "track temperature",
    ("track", "temp"): "track temperature",
    ("which", "pressure"): "which pressure",
    ("air", "pressure"): "air pressure",
    ("dew", "point"): "dew point",
    ("track", "elevation"): "track elevation",
}
_UNIT_WORDS = {
    "mph": "mph",
    "kmh": "km/h",
    "kph": "km/h",
    "ms": "m/s",
    "s": "s",
    "sec": "s",
    "seconds": "s",
    "f": "F",
    "c": "C",
    "%": "%",
    "inhg": "inHg",
    "hpa": "hPa",
    "mbar": "hPa",
    "ft": "ft",
    "feet": "ft",
    "m": "m",
}


def unlike(names: Sequence[str]) -> tuple[str, ...]:
    """Give every column a name of its own; `guess` reads nothing into what is added here."""
    seen: dict[str, int] = {}
    found = []
    for at, raw in enumerate(names, 1):
        name = " ".join(raw.split()) or f"column {at}"
        seen[name] = seen.get(name, 0) + 1
        found.append(name if seen[name] == 1 else f"{name} ({seen[name]}. of this name)")
    return tuple(found)


class ColumnError(ValueError):
    """A column cannot be used as told; the message says what was found and is wanted."""


@dataclass(frozen=True)
class Column:
    """What one column holds, in which unit; the unit is empty where none is known or needed."""

    field: ColumnTarget
    unit: str = ""

    def __str__(self) -> str:
        return f"{self.field.name} in {self.unit}" if self.unit else self.field.name

    @property
    def lacks_unit(self) -> bool:
        """Whether its numbers mean nothing until the unit is named."""
        return not self.unit and len(UNITS[self.field.kind]) > 1


Told = Mapping[str, Column | None]
"""What each column of a table holds, by its name; None for one that is left out."""


def column(text: str) -> Column | None:
    """Read "60-foot", "quarter speed in mph" or "skip", which is None.

    Raises:
        ColumnError: naming what there is to choose from.
    """
    name, _, unit = (part.strip() for part in text.strip().partition(" in "))
    if name.lower() == SKIP:
        return None
    field = FIELDS.get(name.lower())
    if field is None:
        raise ColumnError(f"found {name[:40]!r}; wanted one of: {', '.join([*FIELDS, SKIP])}")
    units = UNITS[field.kind]
    known = {one.lower(): one for one in units}
    if unit and unit.lower() not in known:
        wanted = ", ".join(units) or "no unit"
        raise ColumnError(f"{name}: found the unit {unit[:20]!r}; wanted {wanted}")
    return Column(field, known.get(unit.lower(), units[0] if len(units) == 1 else ""))


def guess(name: str, cells: Sequence[str]) -> Column | None:
    """Guess from a column's name, and for dates from its cells, what it holds; None if unsure."""
    lowered = _NAMED_HERE.sub("", name).lower().replace("km/h", "kmh").replace("m/s", "ms")
    words = re.findall(r"\d+/\d+|\d+|[a-z]+|%", lowered)
    units = [_UNIT_WORDS[word] for word in words if word in _UNIT_WORDS]
    found = _field(words, is_speed="speed" in words or bool({"mph", "km/h", "m/s"} & {*units}))
    if found is None:
        return None
    field = FIELDS[found]
    if field.kind == "date":
        return Column(field, date_order(cells))
    wanted = UNITS[field.kind]
    unit = next((one for one in units if one in wanted), wanted[0] if len(wanted) == 1 else "")
    return Column(field, unit)


def _field(words: Sequence[str], *, is_speed: bool) -> str | None:
    for phrase, found in _PHRASES.items():
        if any(tuple(words[at : at + len(phrase)]) == phrase for at in range(len(words))):
            return found
    beams = {_BEAMS[word] for word in words if word in _BEAMS}
    if len(beams) == 1:
        beam = beams.pop()
        speed = f"{beam} speed"
        if not is_speed:
            return beam
        return speed if speed in FIELDS else None
    named = {_WORDS[word] for word in words if word in _WORDS}
    return named.pop() if len(named) == 1 and not beams else None


def date_order(cells: Sequence[str]) -> str:
    """Tell in which order dates are written; empty where day and month may be either."""
    numbers = [re.findall(r"\d+", cell)[:3] for cell in cells]
    # No part of a date has more digits than a year.
    dates = [parts for parts in numbers if len(parts) == 3 and max(map(len, parts)) <= 4]
    whole = [[int(part) for part in parts] for parts in dates]
    if not whole:
        return ""
    if all(len(parts[0]) == 4 for parts in numbers if len(parts) == 3):
        return "y-m-d"
    if any(first > 12 for first, _, _ in whole):
        return "d/m/y"
    return "m/d/y" if any(second > 12 for _, second, _ in whole) else ""


def mapping_faults(mapping: Told) -> list[str]:
    """Return what keeps a mapping from being used: no date, no time, a field twice, no unit."""
    used = [one for one in mapping.values() if one is not None]
    names = [one.field.name for one in used]
    faults = [
        f"{name}: {names.count(name)} columns hold it; wanted one, the others told as {SKIP!r}"
        for name in dict.fromkeys(names)
        if names.count(name) > 1
    ]
    if "date" not in names:
        faults.append("date: no column holds it; wanted one that does")
    if not any(one.field.goes_to in BEAMS_M for one in used):
        faults.append("times: no column holds any; wanted at least one, such as the 60-foot")
    for name, one in mapping.items():
        if one is not None and one.lacks_unit:
            wanted = ", ".join(UNITS[one.field.kind])
            faults.append(f"{name}: {one.field.name} in which unit? wanted one of: {wanted}")
    return faults
