"""What the crew owns, one spring or valving at a time: into the car file, and onto the ladder."""

from collections.abc import Iterator
from functools import partial
from itertools import takewhile

from rules.car.counted_end import counted_knob, says_turned_round, turned_round
from rules.car.dyno_tables import DynoTableError, read_rows, too_slow
from rules.car.edits import Edit, Plain, in_file
from rules.car.model import USUAL_MINUTES, Stock
from rules.car.valvings import STROKES
from rules.crew.sheets.asking import YES_NO, length, quantity
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.question import Choice, Given
from rules.shop.findings import Finding
from rules.shop.spring_fit import blocking, spring_words, springs_on_car, stopped
from rules.shop.spring_rates import stop_of
from rules.shop.stock import crossing_words, firmness, lever_for, owned
from rules.typed import Wanted, read
from rules.units import Quantity, show
from rules.wording import both

ID = "stock"
NONE = "none of them"
END = "end"
MOST_ROWS = 40
PROCEDURE = (
    "One spring or valving at a time; do the sheet again for the next.",
    "A valving comes with its dyno table: a head row, then a row for each piston speed.",
    'Such as "speed [in/s], 0 [lb], 6 [lb], 12 [lb]", then "2, 22, 38, 64".',
    "Gas-charged dampers are opened by trained service alone.",
)


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions about one thing that is owned."""
    yield SheetField(
        "kind", "Kind", "What is it?", "one", unknown=False,
        choices=(Choice("spring", "A pair of springs"), Choice("valving", "A valving with curves")),
    )  # fmt: skip
    yield SheetField(
        "axle", "Axle", "Which end of the car does it fit?", "one", unknown=False,
        choices=(Choice("front", "Front"), Choice("rear", "Rear")),
    )  # fmt: skip
    taken = {one.name.lower() for one in now.car.stock}
    yield SheetField(
        "name", "Name", "What is it called?", "text", unknown=False, longest=40,
        hint="As written on it, so that any hand finds it.",
        fault=lambda value: (
            f"found {value!r}, which is in stock already; wanted another name"
            if str(value).lower() in taken
            else ""
        ),
    )  # fmt: skip
    if now.said("kind") == "spring":
        yield quantity(
            "rate", "Rate", Quantity.SPRING_RATE, 500.0, 1e6, unknown=False,
            question="Rate of one spring?", typical=f"{now.said('axle')}.spring_rate",
        )  # fmt: skip
        if now.said("axle") == "front" or not now.car.has_leaves("rear"):
            yield length("free length", "Free length", hint="Off the car.", low=0.05, high=1.0)
            yield length(
                "solid length", "Solid length", hint="All coils touching.", low=0.02, high=0.9,
                fault=partial(_solid_fault, now),
            )  # fmt: skip
        yield quantity(
            "target", "Target frequency", None, 0.5, 4.0, unit="Hz",
            question="Which ride frequency are you after, if any?",
            hint="Cycles per second of the body on its springs, tyres taken as stiff.",
        )  # fmt: skip
        if now.said("axle") == "front":
            yield quantity(
                "touchdown", "Touchdown speed", Quantity.PISTON_SPEED, 0.05, 5.0,
                question="How fast does the front touch down, if filmed?",
                hint="The key h in the pits reads it off a film.",
            )  # fmt: skip
    if now.said("kind") == "valving":
        for stroke in STROKES:
            yield from _rows(now, stroke)
    names = _names(now)
    if len(names) > 1:
        yield SheetField(
            "fitted", "On the car now", "Which of them is on the car now?", "one",
            choices=(*(Choice(name, name) for name in names), Choice(NONE, "None of them")),
            hint="The ladder then proposes the others by name.", unknown=False,
        )  # fmt: skip
    elif names and now.said("kind") == "spring":
        yield SheetField(
            "fitted", "On the car now", "Is it on the car now?", "one", unknown=False,
            choices=(Choice(NONE, "No"), Choice(names[0], "Yes")),
            hint="On the car it has to fit: one that binds or is loose makes advice wait.",
        )  # fmt: skip


def _solid_fault(now: Filling, value: Given) -> str:
    solid = read(str(value), Wanted("solid length", Quantity.LENGTH), now.system)
    free = now.si("free length", Quantity.LENGTH)
    if solid is None or free is None or solid < free:
        return ""
    words = show(free, Quantity.LENGTH, now.system)
    return f"found {value}; wanted less than the free length, {words}"


def _rows(now: Filling, stroke: str) -> Iterator[SheetField]:
    yield SheetField(
        stroke, stroke.capitalize(), f"Is there a {stroke} dyno table for it?", "one",
        choices=YES_NO, unknown=False,
        fault=lambda value: (
            "found none for either stroke; wanted one table"
            if value == "no" and stroke == STROKES[-1] and now.said(STROKES[0]) != "yes"
            else ""
        ),
    )  # fmt: skip
    if now.said(stroke) != "yes":
        return
    for number in range(MOST_ROWS):
        key = f"{stroke} row {number}"
        head = number == 0
        yield SheetField(
            key, f"  {stroke} row {number}" if number else f"  {stroke} head",
            f"{stroke.capitalize()} table: {'its head row' if head else f'row {number}'}?", "text",
            hint='Such as "speed [in/s], 0 [lb], 6 [lb]".' if head
            else 'Such as "2, 22, 38". A word "end" after the last row.',
            unknown=False, longest=200, alone=True,
            fault=partial(_row_fault, now, stroke, number),
        )  # fmt: skip
        if now.said(key).lower() in (END, ""):
            return


def rows_of(now: Filling, stroke: str) -> tuple[str, ...]:
    """Return the rows of a table as typed."""
    said = (now.said(f"{stroke} row {number}") for number in range(MOST_ROWS))
    return tuple(takewhile(lambda row: row and row.lower() != END, said))


def _row_fault(now: Filling, stroke: str, number: int, value: Given) -> str:
    """Say what is wrong with a row against the head and the rows before it; at the end, with all.

    The head is row 0, as the questions count.
    """
    before = rows_of(now, stroke)[:number]
    ends = bool(number) and str(value).lower() == END
    rows = before if ends else (*before, str(value))
    try:
        table = read_rows("\n".join(rows), head_row=0, least=2 if ends else 0)
    except DynoTableError as error:
        return error.faults[0].removeprefix(f"row {number}: ")
    if not ends:
        return ""
    knob = counted_knob(now.car, now.said("axle"), stroke)
    if knob is not None and turned_round(before, knob):
        found, wanted = says_turned_round(before, knob, now.system)
        return f"found {found}; wanted {wanted}"
    return too_slow(table)


def item_of(now: Filling) -> Stock | None:
    """Return what was described, None until it is whole."""
    if not all(now.said(key) for key in ("kind", "axle", "name")):
        return None
    raw: dict[str, object] = {key: now.said(key) for key in ("kind", "axle", "name")}
    if now.said("kind") == "spring":
        if not now.said("rate"):
            return None
        raw["rate"] = now.si("rate", Quantity.SPRING_RATE)
        for key in ("free length", "solid length"):
            raw[key.replace(" ", "_")] = now.si(key, Quantity.LENGTH)
    else:
        tables = {f"{stroke}_dyno": rows_of(now, stroke) for stroke in STROKES}
        if not any(len(rows) > 1 for rows in tables.values()):
            return None
        raw |= {key: rows for key, rows in tables.items() if rows}
    return Stock.model_validate(raw)


def _names(now: Filling) -> list[str]:
    kind, axle = now.said("kind"), now.said("axle")
    names = [one.name for one in owned(now.car, kind, axle)]
    return [*names, now.said("name")] if now.said("name") else names


def on_the_car(now: Filling) -> Stock | None:
    """Return the spring that is named as on the car; None where none is, or nobody said."""
    item = item_of(now)
    springs = [*owned(now.car, "spring", now.said("axle")), *((item,) if item else ())]
    if now.said("kind") != "spring":
        return None
    return next((one for one in springs if one.name == now.said("fitted")), None)


def stops(now: Filling) -> dict[str, str]:
    """Return what blocks advice, by inspection: a spring on the car that binds or is loose."""
    spring = on_the_car(now)
    return {} if spring is None else blocking(now.car, spring)


def result(now: Filling) -> Result:
    """Say what is taken in, and the clicks that give today's force back."""
    item = item_of(now)
    if item is None:
        return Result()
    found: tuple[Finding, ...] = ()
    says = [f"{item.name}: a {item.kind} for the {item.axle}."]
    if item.rate_n_per_m is not None:
        says[0] = f"{item.name}: {both(item.rate_n_per_m, Quantity.SPRING_RATE)}, {item.axle}."
        target, speed = now.si("target"), now.si("touchdown", Quantity.PISTON_SPEED)
        says += spring_words(now.car, item.axle, item.rate_n_per_m, target, speed)
        fitted = on_the_car(now)
        shown = [item] if fitted is None or fitted.name == item.name else [item, fitted]
        found = tuple(one for each in shown for one in _tried(now, each))
        says += _nearest(now, item, target)
        if fitted is not None and blocking(now.car, fitted):
            says.append(f"{fitted.name} is on the car: advice waits until it is put right.")
    if item.kind == "valving":
        says += _crossing(now, item)
    edits = [Edit(("stock", len(now.car.stock)), _table(now, item), f"in stock: {item.name}")]
    lever, words = _lever_edits(now, item)
    return Result((*says, *words), found, (*edits, *lever))


def _tried(now: Filling, spring: Stock) -> Iterator[Finding]:
    for choice in springs_on_car(now.car, [spring]):
        yield from choice.findings


def _nearest(now: Filling, item: Stock, target: float | None) -> Iterator[str]:
    """Say which of the owned springs comes nearest to the ride frequency the crew is after."""
    others = owned(now.car, "spring", item.axle)
    every = springs_on_car(now.car, [*others, item], target)
    ranked = [one for one in every if not stop_of(one)]
    if target is not None and others and ranked:
        best = ranked[0]
        yield (
            f"Of what is owned, {best.spring.name} comes nearest to it: {best.frequency:.2f} Hz."
        )
    if target is not None and len(ranked) < len(every):
        names = ", ".join(one.spring.name for one in every if stop_of(one))
        yield f"Left out, since it does not fit: {names}."


def _crossing(now: Filling, item: Stock) -> Iterator[str]:
    for stroke in STROKES:
        if getattr(item, f"{stroke}_dyno") is None:
            continue
        words = crossing_words(now.car, now.state.settings, item, stroke)
        yield (
            f"{stroke.capitalize()}: {words}. A new valving is one change, with its own pass."
            if words
            else f"{stroke.capitalize()}: no crossover: the valving on the car has no such table."
        )


def _table(now: Filling, item: Stock) -> dict[str, object]:
    """Return the [[stock]] table in the file's units."""
    system = now.system
    table: dict[str, object] = {"kind": item.kind, "axle": item.axle, "name": item.name}
    if item.rate_n_per_m is not None:
        table["rate"] = in_file(item.rate_n_per_m, Quantity.SPRING_RATE, system)
    for key in ("free_length", "solid_length"):
        value = getattr(item, f"{key}_m")
        if value is not None:
            table[key] = in_file(value, Quantity.LENGTH, system)
    for stroke in STROKES:
        rows = getattr(item, f"{stroke}_dyno")
        if rows is not None:
            table[f"{stroke}_dyno"] = list(rows)
    return table


def _lever_edits(now: Filling, item: Stock) -> tuple[tuple[Edit, ...], tuple[str, ...]]:
    """Return the lever that names all that is owned for the axle, so that the ladder has it."""
    on_car = now.said("fitted")
    if why := stopped(now.car, item):
        words = why.removeprefix("STOP: ")
        return (), (f"{item.name} stays off the ladder: {words[0].lower()}{words[1:]}",)
    everything = [*owned(now.car, item.kind, item.axle), item]
    if len(everything) < 2 or on_car in ("", NONE):
        words = "It goes on the ladder once two are owned and one of them is on the car."
        return (), (words,)
    size = firmness if item.kind == "valving" else lambda one: one.rate_n_per_m or 0.0
    names: list[str] = [one.name for one in sorted(everything, key=size)]
    known = {one.name for one in everything}
    lever = lever_for(now.car, item.kind, item.axle)
    label = f"lever {item.axle} {item.kind}"
    if lever is None:
        new: Plain = {
            "id": f"{item.axle} {item.kind}", "kind": item.kind, "axle": item.axle,
            "positions": names, "start": on_car, "minutes": USUAL_MINUTES[item.kind],
            "lift_car": True,
        }  # fmt: skip
        edits = (Edit(("levers", len(now.car.levers)), new, label),)
    elif lever.positions and set(lever.positions) <= known:
        at = now.car.levers.index(lever)
        edits = (
            Edit(("levers", at, "positions"), names, f"{label}: positions"),
            Edit(("levers", at, "start"), on_car, f"{label}: start"),
        )  # type: ignore[assignment]
    else:
        words = f"The lever {lever.id!r} names others than are in stock: put them together by hand."
        return (), (words,)
    return edits, (f"The ladder then has: {', '.join(names)}.",)


STOCK = Sheet(ID, "Valving and spring stock", fields, result, PROCEDURE, stops=stops, chained=True)
