"""The pages of a what-if: pictures and tables on the screen, plain lines on paper."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

from rules import __version__
from rules.car.adjusters import Settings, adjusters
from rules.car.model import Car
from rules.units import System
from rules.wording import say
from tui.drawn.picture import Picture
from tui.drawn.plain_plot import plain_plot
from tui.pages.car_numbers import GROUPS
from tui.pages.drawings import (
    basis_lines,
    key_line,
    number_lines,
    travel_drawing,
    travel_key,
)
from tui.pages.what_if_pictures import (
    damper_pictures,
    height_picture,
    landing_picture,
    load_picture,
    travel_picture,
)
from tui.visible import visible

if TYPE_CHECKING:
    from rules.launch.what_if import WhatIf


@dataclass(frozen=True)
class Asked:
    """What the pictures are drawn for beside the numbers.

    counts: by settings, the knob's count as the crew says it.  ring_m: front travel that the O-ring
    last showed, at the wheel [m].  clearance_m: under the lowest part [m].
    """

    system: System
    counts: Mapping[str, str]
    ring_m: float | None = None
    clearance_m: float | None = None


Drawer = Callable[["WhatIf", Asked], tuple[Picture, ...]]
DRAWN: Mapping[int, Drawer] = {
    0: lambda found, of: (landing_picture(found, of.counts, of.system, of.ring_m, of.clearance_m),),
    1: lambda found, of: (height_picture(found, of.counts, of.system),),
    2: lambda found, of: (load_picture(found, of.counts, of.system),),
    3: lambda found, of: damper_pictures(found, of.counts, of.system),
    4: lambda found, of: (travel_picture(found, of.counts, of.system),),
}
"""The pages that are pictures."""
ON_PAPER = (1, 2, 3)
"""Those on paper; of the landing and the travel it has the numbers."""
PAGES = (
    "landing", "flight", "load", "damper", "travel", "numbers", "car", "damping", "impact",
)  # fmt: skip
DAMPER, NUMBERS = 3, 5
CAR_PAGES = dict(zip((6, 7, 8), GROUPS, strict=True))
NO_CURVE = "This is no knob of a damper: there is no curve to draw."
NO_KNOB = "No knob is moved: there is no curve to draw."
PLAIN = str.maketrans({"−": "-"})
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


def page_lines(found: "WhatIf", system: System, width: int) -> list[str]:
    """Return the numbers of the launch, travel used, and what all of them lean on."""
    if found.missing:
        return missing_lines(found, width)
    drawn = [*number_lines(found, system, width), ""]
    drawn += [*travel_drawing(found, system, width), *travel_key(found, width)]
    return [*drawn, "", *(say(row, system) for row in basis_lines(found, width))]


def caveat(found: "WhatIf") -> str:
    """Say in one line what is left out, and which page says what the numbers lean on."""
    short = {"wheel slip as a state of its own": "wheel slip", "driveline torque on the body":
             "driveline torque"}  # fmt: skip
    left_out = ", ".join(short.get(one, one) for one in found.not_modelled)
    return f"Not in it: {left_out}. {NUMBERS + 1} says the rest."


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
    asked = Asked(system, {})
    drawn = [DRAWN[page](found, asked) for page in ON_PAPER]
    blocks = [
        number_lines(found, system, PAPER_WIDTH),
        [*travel_drawing(found, system, PAPER_WIDTH), *travel_key(found, PAPER_WIDTH)],
        *(plain_plot(one, PAPER_WIDTH, PAPER_HEIGHT) for page in drawn for one in page),
        *([] if found.curves else [[NO_CURVE if found.knob else NO_KNOB]]),
        [key_line(found, PAPER_WIDTH)],
        [say(row, system) for row in basis_lines(found, PAPER_WIDTH)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks).translate(PLAIN)


def as_json(car_id: str, found: "WhatIf") -> str:
    """Return it as JSON, in SI."""
    from rules.launch.what_if import as_dict

    return json.dumps({"version": __version__, "car": car_id, **as_dict(found)}, indent=2)
