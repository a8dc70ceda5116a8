"""The baseline card: every setting to which the car can be put back, to print and hang up."""

from rules.car.adjusters import Adjuster, adjusters
from rules.car.model import CORNERS
from rules.crew.baselines import NOT_CLEARED
from rules.faults import there
from rules.log.dampers import first_at
from rules.log.other_parts import other_at
from rules.log.state import Baseline, State
from rules.moments import stamp
from rules.paper.page import PrintedPage, Section
from rules.paper.tables import Table
from rules.wording import capital, say

NO_FACTS = "Nothing was noted beside the counts: walk round the car in the shop."


def baseline_card(state: State) -> PrintedPage:
    """Return the card of the baseline in force.

    Raises:
        ValueError: if there is no car or no baseline.
    """
    car, baseline = state.car, state.baseline
    if car is None or baseline is None:
        raise ValueError("no baseline is declared yet")
    fitted = adjusters(car)
    known = [one for one in fitted.values() if one.id in baseline.settings]
    places = [one.place for one in known]
    sections = [
        Section(
            say(place.capitalize(), car.units),
            _damper(state, baseline, place),
            tables=(_table(state, [one for one in known if one.place == place]),),
            room="grid",
        )
        for place in (*CORNERS, "")
        if place and place in places
    ]
    others = [one for one in known if not one.place]
    if others:
        sections.append(Section("Other levers", tables=(_table(state, others),), room="grid"))
    return PrintedPage(
        f"Baseline: {baseline.name}",
        (
            f"{car.name}{' (INVENTED)' if car.invented else ''}",
            f"Declared {stamp(baseline.at)}",
            *_not_cleared(baseline, state),
        ),
        (*sections, _facts(baseline, state), _care(state)),
    )


def _damper(state: State, baseline: Baseline, corner: str) -> tuple[str, ...]:
    """Say which damper a corner's counts are of, and what is in it, where it was described."""
    damper = baseline.parts.get(corner, (first_at(corner),))[0]
    record = state.dampers.records.get(damper)
    if record is None:
        return ()
    other = other_at(state, baseline, corner)
    inside = () if other else tuple(f"{k} {v.says}" for k, v in record.strokes.items() if v.says)
    now = "another, or another inside, is on the car now" if other else ""
    said = filter(None, (state.dampers.name(damper), *inside, now))
    return (say(f"Damper: {'; '.join(said)}.", state.described_car.units),)


def _not_cleared(baseline: Baseline, state: State) -> tuple[str, ...]:
    words = baseline.facts.get(NOT_CLEARED)
    return (say(f"STOP. {NOT_CLEARED}: {words}", state.described_car.units),) if words else ()


def _table(state: State, ones: list[Adjuster]) -> Table:
    rows, baseline = [], there(state.baseline, "a baseline")
    for one in ones:
        goal = baseline.settings[one.id]
        ends = f"{one.show(one.low)} to {_with_unit(one, one.high)}" if one.marks < 1e6 else ""
        counted = f"from {one.count_from}" if one.count_from else ""
        name = say(one.name, state.described_car.units)
        rows.append((name, _with_unit(one, goal), counted, ends, ""))
    return Table(("what", "baseline", "counted", "range", "found"), tuple(rows))


def _with_unit(one: Adjuster, value: float) -> str:
    """Write a setting with its unit: a knob's count with clicks or turns."""
    shown = one.show(value)
    if one.part != "knob":
        return shown
    return f"{shown} {one.unit.removesuffix('s') if 0 < value <= one.per_unit else one.unit}"


def _facts(baseline: Baseline, state: State) -> Section:
    noted = {label: words for label, words in baseline.facts.items() if label != NOT_CLEARED}
    if not noted:
        return Section("Beside the counts", (NO_FACTS,))
    rows = tuple(
        (say(capital(label), state.described_car.units), words, "")
        for label, words in noted.items()
    )
    noted_table = Table(("what", "at the baseline", "found"), rows)
    return Section("Beside the counts", tables=(noted_table,), room="grid")


def _care(state: State) -> Section:
    lines = (
        "Count by hand and never force an end. Torque to the maker's figure.",
        "Engine off, stands and chocks before a hand goes under the car.",
        "Rulebook, makers and qualified people come before this card.",
    )
    return Section("Care", tuple(say(line, state.described_car.units) for line in lines))
