"""What the launch has learnt of this car, in crew words: its levers, its stand, its crew."""

from collections.abc import Iterator
from itertools import islice

from rules.book import Book
from rules.launch.learnt_car import LearntCar, LeverLearnt
from rules.launch.proposed_change import Range
from rules.log.state import State
from rules.units import INCH_M
from tui.lines import spoken
from tui.pages.rows import kept_to

MOST_LINES = 4
_SURE = 0.6
_STANDS = ("none", "small", "big", "past {24 in|0.6 m}")


def learnt_lines(state: State, book: Book, found: LearntCar, width: int) -> list[str]:
    """Return what was learnt as lines: a screen of 80 by 24 holds them."""
    parts = [
        [_from(state, found)],
        ["How strongly each lever acts here, on so many of 10 cars this may be:"],
        [f"  {one}" for one in _levers(state, found)],
        ["As it stands today, on the coming pass:"],
        [f"  {one}" for one in _height(state, found)],
        ["Where this crew draws its lines, against most crews:"],
        [f"  {one}" for one in _lines(book, found)],
    ]
    return [row for part in parts for row in kept_to([spoken(state, one) for one in part], width)]


def of_ten(share: float) -> str:
    """Say a share of the cars."""
    return f"{round(10 * share)} of 10"


def _from(state: State, found: LearntCar) -> str:
    begun = ""
    if state.unlearnt:
        last = max((run.number for run in state.runs if not state.teaches(run)), default=0)
        begun = f"Begun afresh after pass {last}. "
    if not found.passes:
        return f"{begun}No pass has taught it anything yet: this is the car file's word."
    passes = "1 pass" if found.passes == 1 else f"{found.passes} passes"
    return f"{begun}Learnt from {passes} that say something of the car as it is now."


def _levers(state: State, found: LearntCar) -> Iterator[str]:
    """Yield each lever that acts otherwise than usual, then the others together."""
    turned = [one for one in found.levers if one.turned]
    for one in turned:
        if one.strength != "as usual":
            yield f"{_name(state, one)}: {one.strength}, {of_ten(one.share)}"
    usual = [one for one in turned if one.strength == "as usual"]
    if usual:
        yield f"As usual: {', '.join(f'{_name(state, one)} {of_ten(one.share)}' for one in usual)}"
    rest = [_name(state, one) for one in found.levers if not one.turned]
    if rest:
        yield f"Nothing learnt, not changed yet: {', '.join(rest)}"
    if not found.levers:
        yield "None of which the launch knows how strongly it acts."


def _name(state: State, one: LeverLearnt) -> str:
    fitted = state.fitted[one.lever]
    return f"{fitted.axle} {fitted.name}" if fitted.partner else fitted.label


def _height(state: State, found: LearntCar) -> Iterator[str]:
    yield f"Front tyres {_lift(found.lift)} high on 8 of 10."
    told = (f"{name} {of_ten(share)}" for name, share in zip(_STANDS, found.stands, strict=True))
    yield f"Stand: {', '.join(told)}."


def _lift(lift: Range) -> str:
    low, high = lift.low, lift.high
    inches = f"{low / INCH_M:.0f} to {high / INCH_M:.0f} in"
    return f"{{{inches}|{low:.2f} to {high:.2f} m}}"


def _lines(book: Book, found: LearntCar) -> Iterator[str]:
    off = [one for one in found.lines if one.hears != "as most" and one.share >= _SURE]
    for one in islice(off, MOST_LINES if found.passes else 0):
        yield f"{book.symptoms[one.symptom].name}: named {one.hears}, {of_ten(one.share)}"
    if not off or not found.passes:
        yield "As most crews do, as far as its words tell."
