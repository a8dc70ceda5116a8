"""What the crew owns, one spring or valving at a time: into the car file, and onto the ladder."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from rules.car.edits import Edit, Plain, in_file
from rules.car.model import USUAL_MINUTES, Stock
from rules.car.valvings import STROKES, both_sides
from rules.crew.sheets.asking import length, quantity
from rules.crew.sheets.sheet import Filling, Result, Sheet, SheetField
from rules.crew.sheets.stock_table import (
    OUT_OF_FILE,
    TYPED,
    apart_words,
    rows_in_file,
    table_fields,
    twin_words,
)
from rules.question import Choice, Given
from rules.shop.findings import Finding
from rules.shop.spring_fit import blocking, spring_words, springs_on_car, stopped
from rules.shop.spring_rates import stop_of
from rules.shop.stock import crossing_words, firmness, lever_for, owned, tables_of
from rules.typed import Wanted, read
from rules.units import Quantity, show
from rules.wording import both

ID = "stock"
NONE = "none of them"
PROCEDURE = (
    "One spring or valving at a time; do the sheet again for the next.",
    "A valving comes with a dyno table for each stroke, typed or out of a CSV, or with a note.",
    "A table is a head row, then a row for each piston speed: "
    '"{speed [in/s], 0 [lb], 6 [lb], 12 [lb]|speed [mm/s], 0 [N], 6 [N], 12 [N]}", then '
    '"{2, 22, 38, 64|50, 98, 169, 285}".',
    "It says from which end its builder counts, and its curves are looked at before they are kept.",
    "Gas-charged dampers are opened by trained service alone.",
)
# A blank sheet is for either, with a grid for each stroke.
ON_PAPER = (
    {"kind": "spring", "axle": "front"},
    {"kind": "valving", "axle": "front", "compression": TYPED, "rebound": TYPED},
)
_SPRINGS, _VALVING = "A pair of springs", "A valving"


def fields(now: Filling) -> Iterator[SheetField]:
    """Return the questions about one thing that is owned."""
    yield SheetField(
        "kind", "Kind", "What is it?", "one", unknown=False,
        choices=(Choice("spring", "A pair of springs"), Choice("valving", "A valving")),
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
            stage=_SPRINGS,
        )  # fmt: skip
        if now.said("axle") == "front" or not now.car.has_leaves("rear"):
            yield length(
                "free length", "Free length", hint="Off the car.", low=0.05, high=1.0,
                stage=_SPRINGS,
            )  # fmt: skip
            yield length(
                "solid length", "Solid length", hint="All coils touching.", low=0.02, high=0.9,
                fault=partial(_solid_fault, now), stage=_SPRINGS,
            )  # fmt: skip
        yield quantity(
            "target", "Target frequency", None, 0.5, 4.0, unit="Hz",
            question="Which ride frequency are you after, if any?",
            hint="Cycles per second of the body on its springs, tyres taken as stiff.",
            stage=_SPRINGS,
        )  # fmt: skip
        if now.said("axle") == "front":
            yield quantity(
                "touchdown", "Touchdown speed", Quantity.PISTON_SPEED, 0.05, 5.0,
                question="How fast does the front touch down, if filmed?",
                hint="The key h in the pits reads it off a film.", stage=_SPRINGS,
            )  # fmt: skip
    if now.said("kind") == "valving":
        for stroke in STROKES:
            yield from (replace(one, stage=_VALVING) for one in table_fields(now, stroke))
        yield SheetField(
            "note", "Shims, as noted", "Its shims, as its builder noted them?", "text", longest=200,
            hint="Stack by stack, or the builder's own name for it.",
            unknown=any(now.said(stroke) in (TYPED, OUT_OF_FILE) for stroke in STROKES),
            stage=_VALVING,
        )  # fmt: skip
    names = _names(now)
    if len(names) > 1 and item_of(now) is not None and not _has_tables(now, names):
        yield SheetField(
            "above", "Just softer than it", "Which of them is the next softer one?", "one",
            choices=(*(Choice(name, name) for name in names[:-1]), Choice(NONE, "It is softest")),
            hint="No table tells which is firmer, so its place is asked.",
        )  # fmt: skip
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
        tables = {stroke: rows for stroke in STROKES if (rows := rows_in_file(now, stroke))}
        if any(len(rows) < 2 for rows in tables.values()) or not (tables or now.said("note")):
            return None
        for stroke, rows in tables.items():
            raw[f"{stroke}_dyno"] = rows
            if knob := now.said(f"{stroke} knob"):
                raw[f"{stroke}_knob"] = knob
        raw["note"] = now.said("note")
    return Stock.model_validate(raw)


def _names(now: Filling) -> list[str]:
    kind, axle = now.said("kind"), now.said("axle")
    names = [one.name for one in owned(now.car, kind, axle)]
    return [*names, now.said("name")] if now.said("name") else names


def _has_tables(now: Filling, names: list[str]) -> bool:
    """Tell whether every valving of the axle has a table, which says how firm it is."""
    if now.said("kind") != "valving":
        return True
    item = item_of(now)
    every = [*owned(now.car, "valving", now.said("axle")), *((item,) if item else ())]
    return all(any(tables_of(one)) for one in every if one.name in names)


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
        says += [*_crossing(now, item), *_alike(now, item)]
        says += [f"Shims, as noted: {item.note}"] if item.note else []
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


def _alike(now: Filling, item: Stock) -> Iterator[str]:
    """Say how far the tables of two dampers that should be alike are apart."""
    for stroke in STROKES:
        if words := twin_words(now, stroke):
            yield words
        for one, what, rows, other in both_sides(now.car, item.axle, stroke):
            yield apart_words(f"{one} {what}, left and right on the car", rows, other)


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
        if knob := item.counted(stroke):
            table[f"{stroke}_knob"] = knob
    if item.note:
        table["note"] = item.note
    return table


def _lever_edits(now: Filling, item: Stock) -> tuple[tuple[Edit, ...], tuple[str, ...]]:
    """Return the lever that names all that is owned for the axle, so that the ladder has it."""
    on_car = now.said("fitted")
    if why := stopped(now.car, item):
        words = why.removeprefix("STOP: ")
        return (), (f"{item.name} stays off the ladder: {words[0].lower()}{words[1:]}",)
    everything = [*owned(now.car, item.kind, item.axle), item]
    known = {one.name for one in everything}
    lever = lever_for(now.car, item.kind, item.axle)
    if lever is not None and not (lever.positions and set(lever.positions) <= known):
        words = (
            f"The lever {lever.id!r} names others than are in stock: {item.name} can be chosen "
            "once the car file has it among that lever's positions."
        )
        return (), (words,)
    if len(everything) < 2 or on_car in ("", NONE):
        words = "It goes on the ladder once two are owned and one of them is on the car."
        return (), (words,)
    names = _from_softest(now, item, everything)
    label = f"lever {item.axle} {item.kind}"
    if lever is None:
        new: Plain = {
            "id": f"{item.axle} {item.kind}", "kind": item.kind, "axle": item.axle,
            "positions": names, "start": on_car, "minutes": USUAL_MINUTES[item.kind],
            "lift_car": True,
        }  # fmt: skip
        edits = (Edit(("levers", len(now.car.levers)), new, label),)
    else:
        at = now.car.levers.index(lever)
        edits = (
            Edit(("levers", at, "positions"), names, f"{label}: positions"),
            Edit(("levers", at, "start"), on_car, f"{label}: start"),
        )  # type: ignore[assignment]
    return edits, (f"The ladder then has: {', '.join(names)}.",)


def _from_softest(now: Filling, item: Stock, everything: list[Stock]) -> list[str]:
    """Return the names of all that is owned, the lightest or softest first.

    Without tables of all of them a valving's place is where the crew puts it among the others.
    """
    if item.kind == "spring":
        return [one.name for one in sorted(everything, key=lambda one: one.rate_n_per_m or 0.0)]
    if all(any(tables_of(one)) for one in everything):
        return [one.name for one in sorted(everything, key=firmness)]
    lever = lever_for(now.car, "valving", item.axle)
    others = [one.name for one in everything if one is not item]
    known = lever.positions if lever is not None and set(lever.positions) == set(others) else ()
    names = [*(known or others)]
    below = now.said("above")
    place = 0 if below == NONE else names.index(below) + 1 if below in names else len(names)
    return [*names[:place], item.name, *names[place:]]


STOCK = Sheet(
    ID,
    "Valving and spring stock",
    fields,
    result,
    PROCEDURE,
    stops=stops,
    chained=True,
    on_paper=ON_PAPER,
)
