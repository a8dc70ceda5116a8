"""Spring rates as a sheet: what is wanted of them, and which rates give it."""

from collections.abc import Iterator

from rules.crew.sheets.asking import quantity
from rules.crew.sheets.rate_words import ENDS, ID, asked, rate_findings, seen_touchdown
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.units import Quantity, show

PROCEDURE = (
    "Ride frequency: how often the body swings a second on its springs, tyres taken as stiff.",
    "Touchdown speed: off a film, with the key h in the pits; every launch has its own.",
    "A spring is one change, with a pass of its own. Preload and ride height are set again.",
    "Before the car runs: coil bind and looseness are checked by the maker's figures.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions: a frequency for each axle, and how fast the front touches down."""
    for end in ENDS:
        yield quantity(
            f"{end} target", f"{end.capitalize()} ride frequency", None, 0.5, 4.0, unit="Hz",
            question=f"Which {end} ride frequency are you after?",
            typical=f"survey.{end}_frequency",
        )  # fmt: skip
    seen = seen_touchdown(now)
    last = f" Last measured: {show(seen, Quantity.PISTON_SPEED, now.system)}." if seen else ""
    yield quantity(
        "touchdown", "Touchdown speed", Quantity.PISTON_SPEED, 0.05, 5.0,
        question="How fast does the front touch down?",
        hint=f"The key h in the pits reads it off a film.{last}",
    )  # fmt: skip


def result(now: Filling) -> Result:
    """Return the rates that are wanted, as ranges, with what is owned near them."""
    return Result((), rate_findings(now.car, now.state.settings, asked(now)))


SPRING_RATES = Sheet(ID, "Spring rates", fields, result, PROCEDURE)
