"""A number that does not fit moves, it is never cut: every page, both widths, both units.

Property: every number that a page is given stands whole on it, within its width.
"""

import re
from dataclasses import replace
from functools import lru_cache
from itertools import product

import pytest
from drive import BOOK, DEMO, METRIC, make_desk
from roads import timed_day

from rules.car.adjusters import starts
from rules.car.model import Car
from rules.launch.car_number import CarNumber
from rules.launch.car_numbers import CarNumbers, car_numbers
from rules.launch.what_if import NumberRange, WhatIf, what_if
from rules.units import System
from rules.wording import say
from tests.support.sample import sampled
from tui.drawn.header import header
from tui.lines import named_whole, off_baseline
from tui.pages.air import air_lines
from tui.pages.car_numbers import GROUPS, group_lines
from tui.pages.car_numbers import paper as numbers_paper
from tui.pages.day import day_lines, split_lines
from tui.pages.day_drawings import responses
from tui.pages.drawings import number_lines, shown, travel_drawing, travel_key
from tui.pages.log import log_page
from tui.pages.reports import counts_page
from tui.pages.rows import below, beside, kept_to, packed, table
from tui.pages.verdict import verdict_pages
from tui.pages.what_if import page_lines, paper

WIDTHS = (78, 58)
SYSTEMS: tuple[System, ...] = ("us", "metric")
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?")


@lru_cache
def found(large: float) -> WhatIf:
    """Return the demonstration car's numbers, or far larger ones of either sign."""
    if large == 1.0:
        settings = starts(DEMO)
        moved = {**settings, "front travel limiter": 2.25, "launch rpm": 4600.0}
        return what_if(DEMO, settings, moved, {**settings, "left front rebound": 3})
    one = found(1.0)

    def grown(was: NumberRange) -> NumberRange:
        ends = [None if end is None else large * end for end in (was.low, was.middle, was.high)]
        return NumberRange(*ends, was.known)

    numbers = tuple(
        replace(
            number,
            by={by: grown(was) for by, was in number.by.items()},
            change=NumberRange(-0.0365 * large, -0.0365, 0.0123 * large, 1.0),
            rises=0.5,
        )
        for number in one.numbers
    )
    travel = tuple(
        replace(
            each,
            used={by: grown(was) for by, was in each.used.items()},
            there_by={by: grown(was) for by, was in each.there_by.items()},
            meets=dict.fromkeys(each.meets, 0.5),
        )
        for each in one.travel
    )
    return replace(one, numbers=numbers, travel=travel)


@lru_cache
def numbers(large: float) -> CarNumbers:
    if large == 1.0:
        return car_numbers(DEMO, starts(DEMO))
    one = numbers(1.0)

    def grown(number: CarNumber) -> CarNumber:
        if number.range is None:
            return number
        was, known = number.range, "guessed"
        ends = [None if end is None else large * end for end in (was.low, was.middle, was.high)]
        return replace(number, range=NumberRange(*ends, was.known), known=known)  # type: ignore[arg-type]

    return replace(one, numbers=tuple(map(grown, one.numbers)))


def whole(text: str, value: str) -> bool:
    """Tell whether a number stands whole in a text: not as the beginning of a cut one."""
    return value.lstrip("+-") in [one.lstrip("+-") for one in NUMBER.findall(text)]


@pytest.mark.parametrize(
    ("system", "width", "large"), sampled(product(SYSTEMS, WIDTHS, (1.0, 37.0, 1234.5)), 5)
)
def test_every_number_of_the_what_if_stands_whole(system: System, width: int, large: float) -> None:
    one = found(large)
    told = "\n".join(number_lines(one, system, width))
    assert max(map(len, told.splitlines())) <= width
    for number in one.numbers:
        for end in (number.by["proposed"].low, number.by["proposed"].high, number.change.low):
            assert end is not None
            if float(shown(end, number.kind, system)) == 0.0:
                continue
            assert whole(told, shown(end, number.kind, system)), (number.name, end)
    told = "\n".join(travel_drawing(one, system, width))
    assert max(map(len, told.splitlines())) <= width
    for travel in one.travel:
        for by in ("today", "proposed", "baseline"):
            there = travel.there_by[by].middle
            assert there is not None
            used = travel.used[by].high
            assert used is not None
            assert whole(told, shown(there, "length", system))
            assert whole(told, shown(used, "length", system))
    assert max(map(len, travel_key(one, width))) <= width


@pytest.mark.parametrize(
    ("system", "width", "large"), sampled(product(SYSTEMS, WIDTHS, (1.0, 37.0, 1234.5)), 5)
)
def test_every_page_of_the_what_if_keeps_to_its_window(
    system: System, width: int, large: float
) -> None:
    one = found(large)
    assert max(map(len, page_lines(one, system, width))) <= width
    both = {"today": numbers(large), "proposed": numbers(large)}
    for group in GROUPS:
        lines = group_lines(both, group, system, width, 40)
        told = "\n".join(lines)
        assert max(map(len, lines)) <= width, group
        for number in both["proposed"].numbers:
            if number.group == group and number.range is not None and number.at in ("", "today"):
                assert say(number.name, system) in told
    if width == 78:
        for text in (paper(one, system), numbers_paper(numbers(large), system)):
            assert max(map(len, text.splitlines())) <= width


def test_the_stop_is_named_where_travel_reaches_it() -> None:
    """Shorter by 3/4 in, the droop there is 2.25 in: the front reaches it and it is said so."""
    one = found(1.0)
    droop = next(travel for travel in one.travel if travel.name == "front, into droop")
    assert droop.there_by["today"].middle == pytest.approx(3.0 * 0.0254, rel=0.03)
    assert droop.there_by["proposed"].middle == pytest.approx(2.25 * 0.0254, rel=0.03)
    assert droop.there == droop.there_by["today"]
    assert (droop.meets["proposed"] or 0.0) >= 0.9
    rows = travel_drawing(one, "us", 78)
    row = next(
        r for r in rows[rows.index(next(r for r in rows if "into droop" in r)) :] if " x " in r
    )
    assert "of 2.3 in: stop" in row or "of 2.2 in: stop" in row
    assert any("stop: met by 9 of 10" in line for line in travel_key(one, 78))


@pytest.mark.parametrize("car", [DEMO, METRIC], ids=["us", "metric"])
@pytest.mark.parametrize("width", WIDTHS)
def test_verdict_day_air_log_and_counts(car: Car, width: int) -> None:
    desk = make_desk(car=car)
    if car is DEMO:
        timed_day(desk)
    state = desk.state
    pages = [
        day_lines(state, BOOK, width),
        split_lines(state, width),
        responses(state, width),
        air_lines(state, width),
        *(page.lines(width, 22) for page in verdict_pages(state, BOOK)),
    ]
    for lines in pages:
        assert max(map(len, kept_to(lines, width)), default=0) <= width
        kept = NUMBER.findall("\n".join(kept_to(lines, width)))
        assert sorted(kept) == sorted(NUMBER.findall("\n".join(lines)))
    assert max(map(len, log_page(desk)), default=0) <= 78
    assert max(map(len, counts_page(state))) <= 78
    assert all(
        say(f"{value:g}", car.units) in "\n".join(counts_page(state))
        for key, value in state.settings.items()
        if key == "launch rpm"
    )


@pytest.mark.parametrize("width", [78, 58, 30])
def test_the_parts_of_a_row_move_and_are_never_cut(width: int) -> None:
    rows = [
        ("front tyre landing load, lb", ["123456 to 234567", "345678 to 456789", "-123456 to +7?"]),
        ("60-foot time, s", ["1.431 to 1.440", "1.399 to 1.459", "-0.037 to -0.003"]),
        ("rear", "measure rear damper curve"),
    ]
    told = table(["today", "proposed", "change"], rows, width, (30, 15, 15, 15))
    assert max(map(len, told)) <= width
    for number in NUMBER.findall(" ".join(" ".join(cells) for _, cells in rows[:2])):
        assert number in NUMBER.findall("\n".join(told)), number
    for text in ("12345.6 lb", "a long word of a sheet, 987654.3 N"):
        for lines in (
            beside("left front corner scale", text, width, 40),
            below("x", [text], width),
        ):
            assert max(map(len, lines)) <= width
            assert NUMBER.findall(text)[0] in NUMBER.findall("\n".join(lines))
    assert max(map(len, packed(["12345.6 to 23456.7"] * 5, width))) <= width


@pytest.mark.parametrize("width", [80, 60])
def test_what_stands_off_the_baseline_is_named_whole_or_not_at_all(width: int) -> None:
    state = make_desk().state
    moved = {key: value + 1 for key, value in state.settings.items() if "left" in key}
    state = replace(state, settings={**state.settings, **moved})
    names = off_baseline(state, words=False)
    line = header(state, None, width, None).plain.split("\n")[1]
    assert len(line) <= width
    shown_names = line.partition("off baseline: ")[2].removesuffix(", ...").split(", ")
    assert [one for one in shown_names if one not in (*names, "...")] == []
    assert named_whole(["a +12", "b -3"], 11) == "a +12, b -3"
    assert named_whole(["a +12", "b -3"], 10) == "a +12, ..."
