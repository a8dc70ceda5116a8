"""The fit checks as a sheet: pass, fail or not applicable, and a note to what failed."""

from collections.abc import Iterator

from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.log.reach import NEVER_A_HOLE, WAYS
from rules.log.rounds import FIT
from rules.question import Choice
from rules.shop.findings import Finding
from rules.shop.fit_items import ITEMS

MARKS = (Choice("pass", "Pass"), Choice("fail", "FAIL"), Choice("none", "Not applicable"))
PROCEDURE = (
    "Car on stands on a hard floor, never on a jack alone; wheels chocked, engine off and cold.",
    "Gas-charged parts are not opened, here or anywhere in the pits.",
    "Look at every point on both sides. Don't know is an answer: it stays open on the list.",
    "A failed safety item blocks advice until it is put right and ticked again.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return every item, and a note to each that failed."""
    for key, item in ITEMS.items():
        yield SheetField(key, item.label, item.question, "one", choices=MARKS, hint=item.hint)
        if now.said(key) == "fail":
            yield SheetField(
                f"{key} note", f"  {item.label}: note", "What was found, and where?", "text",
                longest=200,
            )  # fmt: skip


def result(now: Filling) -> Result:
    """Return what failed, and what nobody looked at."""
    found = []
    for key, item in ITEMS.items():
        mark, note = now.said(key), now.said(f"{key} note")
        if mark == "fail":
            says = f"FAIL: {item.failed}." + (f" Noted: {note}." if note else "")
            says += " It blocks advice until it is put right." if item.safety else ""
            says += f" {_ways()}" if key == "reach" else ""
            found.append(Finding(item.label, None, None, "stop" if item.safety else "look", says))
        elif not mark:
            found.append(Finding(item.label, None, None, "unknown", "Nobody has looked at it yet."))
    passed = sum(now.said(key) == "pass" for key in ITEMS)
    says = f'{passed} of {len(ITEMS)} pass. Nothing found is not "safe".'
    return Result((says,), tuple(found))


def _ways() -> str:
    """Say what can be done about a knob out of reach, and where it is remembered."""
    ways = [one.label for one in WAYS.values() if one.minutes]
    least = "; ".join(f"{label[0].lower()}{label[1:]}" for label in ways)
    return (
        f"In order of effort: {least}. {NEVER_A_HOLE} The sheet Fitting dampers asks it of each "
        "knob, and every order then knows it."
    )


FIT_CHECKS = Sheet(FIT, "Fit checks", fields, result, PROCEDURE, whole=True, continues=True)
