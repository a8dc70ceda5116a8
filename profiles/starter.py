"""The text a crew starts its own car file from."""

import re
import unicodedata
from collections.abc import Collection, Mapping
from itertools import count
from typing import Any

import tomli_w

from profiles.car_faults import fields_of, show
from profiles.edit_car import edited_text
from profiles.files import CarFileError, read_car
from rules.car.edits import Edit
from rules.car.fact import fact_of
from rules.car.model import TABLES, Car
from rules.units import System, localise

_TEXT = """\
# Units of this file: {lb, in, lb/in, psi|kg, mm, N/mm, kPa}.
# A line that starts with # is not read. Remove the # and write your own number behind the =.
# Leave out what you do not know, or name it in `guesses`: a stated guess beats a hidden one.

setdown_car = 5
%(id)s              # short name for the log: small letters, digits, - or space
%(name)s
%(units)s
rear_suspension = "other"  # "four-link", "ladder bar", "leaf with traction device", "torque arm"
wheelie_bars = false       # are bars fitted?
guesses = []               # such as "geometry.cg_height"

%(numbers)s
# One [[dampers]] for each corner, and under it one [[dampers.knobs]] for each knob. Left and
# right knobs with the same id make a pair and turn together.

# [[dampers]]
# corner = "left front"      # "left front", "right front", "left rear" or "right rear"
# name = ""
#
# [[dampers.knobs]]
# id = "rebound"             # what your crew calls it
# controls = "rebound"       # "compression", "rebound" or "both"
# speed = "unknown"          # "low", "high", "all", or "unknown" when nobody has told you
# clicks =                   # from end to end, counted by hand and without force
# count_from = "full soft"   # the end your crew counts from: "full soft" or "full hard"
# start =                    # today's count from that end
# curve = "unknown"          # "needle": the last clicks to shut do most; "even", or "unknown"
# firmer_turn = "unknown"    # "clockwise" or "anticlockwise", seen from the knob
# pair = "axle"              # "none" for a knob that is turned alone

# Where the ends of the rear links are, for the launch model: [links], see docs/commands.md.

# Everything else you can set: numbers with a unit and a step, or named positions.

# [[levers]]
# id = "rear tyre pressure"
# kind = "tyre pressure"
# axle = "rear"
# unit = "{psi|kPa}"
# step =
# start =
# makers_minimum =           # from the tyre maker's sheet; never advised below
"""


# What stands behind each table's name, and the column of what stands behind its keys.
_HEADS = {
    "masses": ("{lb|kg}, as raced: fuel in, driver aboard", 20),
    "geometry": ("{in|mm}, car standing as raced", 26),
    "front": ("per wheel", 20),
    "rear": ("", 0),
    "launch": ("with the levers where this file starts them", 20),
}
# The rear says no note twice; a rear tyre's rate is seldom known, and is not asked for.
_NOT_ASKED = frozenset({"rear.tyre_rate"})


def _numbers() -> str:
    """Return the tables of numbers, every key that declares a note as a comment."""
    rows: list[str] = []
    for table, (head, column) in _HEADS.items():
        rows.append(f"{f'[{table}]':<{column}}# {head}" if head else f"[{table}]")
        for key, field in fields_of(type(Car.fields[table].default)).items():
            fact = fact_of(field)
            note = fact.note if fact else None
            if note is None or f"{table}.{key}" in _NOT_ASKED:
                continue
            line = f"# {key} =" + ' ""' * note.startswith('"')
            rows.append(f"{f'{line} ':<{column - 1}} # {note}" if note and column else line)
        rows.append("")
    return "\n".join(rows)


def new_car_text(name: str, units: System) -> str:
    """Return a commented car file that loads without faults and holds no number to copy.

    Raises:
        ValueError: if `name` cannot be the name of a car.
    """
    facts = {"id": _id_from(name), "name": name, "units": units}
    lines = {key: tomli_w.dumps({key: value}).strip() for key, value in facts.items()}
    text = localise(_TEXT.replace("%(numbers)s", _numbers()), units) % lines
    try:
        read_car(text.encode(), "name")
    except (CarFileError, UnicodeEncodeError):
        wanted = "1 to 40 characters, without control characters"
        raise ValueError(f"name: found {show(name)}; wanted {wanted}") from None
    return text


def car_text(tables: Mapping[str, Any], car_id: str = "") -> str:
    """Return the starter's text with a car in it, its knobs under their own comments.

    tables: as the file says them, in its own units.  car_id: in place of the one made of the name.

    Raises:
        ValueError: if the name cannot be the name of a car.
    """
    text = new_car_text(tables["name"], tables["units"])
    if car_id:
        text = text.replace(
            tomli_w.dumps({"id": _id_from(tables["name"])}).strip(),
            tomli_w.dumps({"id": car_id}).strip(),
            1,
        )
    edits = [
        Edit((key,), tables[key], key)
        for key in ("rear_suspension", "wheelie_bars", "guesses")
        if tables[key] or key != "guesses"
    ]
    for table in TABLES:
        for key, value in tables.get(table, {}).items():
            guess = f"{table}.{key}" in tables["guesses"]
            edits.append(Edit((table, key), value, key, guess=guess))
    text = edited_text(text, edits, tables["units"])
    if not tables["dampers"]:
        return text
    before, mark, after = text.partition("# [[dampers]]")
    real = _damper_text(tables["dampers"])
    return f"{before}{real}\n# Another knob or damper looks like this.\n\n{mark}{after}"


def _damper_text(dampers: list[dict[str, Any]]) -> str:
    """Write dampers with what each line means behind it, as far as it is not plain."""
    means = {
        "speed": "# low (bleed), high, all, or unknown when nobody has told you",
        "clicks": "# from end to end, counted by hand and without force",
        "turns": "# from end to end, in turns",
        "count_from": "# the end the crew counts from",
        "start": "# count from that end on the day the car was described",
        "offset": "# right minus left",
    }
    rows: list[str] = []
    for damper in dampers:
        rows += ["[[dampers]]", f'corner = "{damper["corner"]}"', ""]
        for knob in damper["knobs"]:
            rows.append("[[dampers.knobs]]")
            for key, value in knob.items():
                line = tomli_w.dumps({key: value}).strip()
                rows.append(f"{line:<26} {means[key]}" if key in means else line)
            rows.append("")
    return "\n".join(rows)


def id_for(name: str, taken: Collection[str]) -> str:
    """Return a short name for a car's log that no other car has."""
    first = _id_from(name)
    for number in count(2):
        if first not in taken:
            break
        first = f"{_id_from(name)[:28].strip('-')}-{number}"
    return first


def _id_from(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain)[:32].strip("-") or "car"
