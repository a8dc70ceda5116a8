"""The pages of a what-if as plain lines: on the screen one at a time, on paper all together."""

import json
from collections.abc import Sequence
from textwrap import shorten, wrap
from typing import TYPE_CHECKING

from rules import __version__
from rules.car.adjusters import Settings, adjusters
from rules.car.model import Car
from rules.units import System
from rules.wording import say
from tui.pages.car_numbers import GROUPS
from tui.pages.drawings import (
    basis_lines,
    damper_drawing,
    key_line,
    launch_drawing,
    number_lines,
    travel_drawing,
    travel_key,
)
from tui.visible import visible

if TYPE_CHECKING:
    from rules.launch.what_if import WhatIf

PAGES = (
    "1 damper", "2 launch", "3 travel", "4 numbers",
    "5 numbers of the car", "6 its damping", "7 its landing",
)  # fmt: skip
CAR_PAGES = dict(zip((4, 5, 6), GROUPS, strict=True))
DRAWN_BASIS = 3
REST = " ... rest: 4"
PLAIN = str.maketrans("┌┐└┘┤├┬┴┼─│", "+++++++++-|")
PAPER_WIDTH, PAPER_HEIGHT = 78, 16


class SettingError(ValueError):
    """A setting asked for that the car does not have, in words for the crew."""


def with_settings(car: Car, rest: Settings, asked: Sequence[str]) -> Settings:
    """Return the settings with those asked for, each as KNOB=N.

    Raises:
        SettingError: with everything that does not fit.
    """
    fitted = adjusters(car)
    settings, faults = dict(rest), []
    for text in asked:
        name, _, value = (part.strip() for part in text.partition("="))
        if not value or name not in fitted:
            known = ", ".join(fitted) or "none: this car file names no knob and no lever"
            faults.append(f"found {visible(text, 60)!r}; wanted KNOB=N, the knob one of: {known}")
            continue
        try:
            settings[name] = fitted[name].parse(value)
        except ValueError as error:
            faults.append(visible(str(error)))
    if faults:
        raise SettingError("\n".join(faults))
    return settings


def page_lines(found: "WhatIf", page: int, system: System, width: int, height: int) -> list[str]:
    """Return one page whole: the drawing, what its marks mean, and what the numbers lean on.

    What is not modelled comes first in the basis, so that a low window never loses it.
    """
    if found.missing:
        return missing_lines(found, width)[:height]
    basis = [say(row, system) for row in basis_lines(found, width)]
    least = height - DRAWN_BASIS
    if page == 2:
        least = len(travel_drawing(found, system, width)) + len(travel_key(found, width))
    elif page > 2:
        least = len(number_lines(found, system, width))
    if len(basis) > height - least:
        basis = basis[: max(1, height - least)]
        whole_words = shorten(basis[-1], width - len(REST), placeholder="")
        basis[-1] = f"{whole_words.rstrip('., ')}{REST}"
    room = height - len(basis)
    match page:
        case 0:
            key = wrap(key_line(found, band=False), width) if found.curves else []
            drawn = damper_drawing(found, system, width, room - max(1, len(key)))
        case 1:
            key = wrap(key_line(found, True), width)
            drawn = launch_drawing(found, system, width, room - len(key))
        case 2:
            drawn, key = travel_drawing(found, system, width), travel_key(found, width)
        case _:
            drawn, key = number_lines(found, system, width), []
    # A low window loses what the numbers lean on, and what the marks mean, before a number.
    basis = basis[: max(0, height - len(drawn) - len(key))]
    return [*drawn, *key[: max(0, height - len(drawn))], *basis]


def missing_lines(found: "WhatIf", width: int) -> list[str]:
    """Say what must be known before there is a number."""
    text = (
        "No numbers yet: the car file does not say "
        f"{' and '.join(found.missing)}. Measure that first; the trade steps of the advice hold."
    )
    return wrap(text, width)


def paper(found: "WhatIf", system: System) -> str:
    """Return every page, one under the other, in characters that any pipe and file takes."""
    if found.missing:
        return "\n".join(missing_lines(found, PAPER_WIDTH))
    blocks = [
        number_lines(found, system, PAPER_WIDTH),
        [*travel_drawing(found, system, PAPER_WIDTH), *travel_key(found, PAPER_WIDTH)],
        [
            *damper_drawing(found, system, PAPER_WIDTH, PAPER_HEIGHT),
            *([key_line(found, band=False)] if found.curves else []),
        ],
        [*launch_drawing(found, system, PAPER_WIDTH, PAPER_HEIGHT), key_line(found, band=True)],
        [say(row, system) for row in basis_lines(found, PAPER_WIDTH)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks).translate(PLAIN)


def as_json(car_id: str, found: "WhatIf") -> str:
    """Return it as JSON, in SI."""
    from rules.launch.what_if import as_dict

    return json.dumps({"version": __version__, "car": car_id, **as_dict(found)}, indent=2)
