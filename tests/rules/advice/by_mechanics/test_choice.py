"""Which way is best: harm is a constraint first, the book's lever leads where chances are alike."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from rules.advice.by_mechanics.choice import (
    MOST_HARM,
    Weighted,
    allowed,
    is_fair,
    ranked,
    stated,
    stirs,
)
from rules.advice.by_mechanics.ways import Way
from rules.car.adjusters import adjusters
from rules.car.steps import trade_step
from rules.launch.outlook import Prospect
from tests.support.crew import invented_car
from tests.support.launch.car_questions import shipped_car

KNOB = adjusters(invented_car())["left front rebound"]
NOTHING = Prospect(good=0.1, gone=0.1, better=0.1, harm=0.0, small=0.9, left=1.0)
CHANCE = st.floats(0.0, 1.0)
PROSPECTS = st.builds(
    Prospect, good=CHANCE, gone=CHANCE, better=CHANCE, harm=CHANCE, small=CHANCE, left=CHANCE
)


def way(steps: int = 3, rises: bool = False) -> Way:
    return Way((), (KNOB,), not rises, steps, rises, 5)


def weighted(prospect: Prospect, book: bool = False) -> Weighted:
    return Weighted(way(), prospect, book)


@given(st.lists(PROSPECTS, min_size=1, max_size=8), PROSPECTS)
def test_no_chosen_way_is_more_dangerous_than_two_in_a_hundred_or_the_least_there_is(
    prospects: list[Prospect], unchanged: Prospect
) -> None:
    best = ranked([weighted(one) for one in prospects], unchanged)[0]
    least = max(min(one.harm for one in prospects), unchanged.harm)
    assert best.prospect.harm <= max(MOST_HARM, least + 0.01)


def test_a_first_look_at_few_cars_leaves_nothing_out_for_one_of_them() -> None:
    """One car of 24 is more than 2 in 100, and says nothing yet; two of them do."""
    safe, one, two = (weighted(replace(NOTHING, harm=bad / 24.0)) for bad in (0, 1, 2))
    assert ranked([safe, one, two], NOTHING) == [safe]
    assert ranked([safe, one, two], NOTHING, of_so_few=24) == [safe, one]


@given(PROSPECTS)
def test_of_two_that_do_alike_the_one_that_teaches_more_leads(prospect: Prospect) -> None:
    teaches = weighted(replace(prospect, then=prospect.then + 0.5))
    assert ranked([weighted(prospect), teaches], NOTHING)[0] is teaches


@given(PROSPECTS)
def test_the_books_lever_leads_where_the_chances_are_alike(prospect: Prospect) -> None:
    assert ranked([weighted(prospect), weighted(prospect, book=True)], NOTHING)[0].book


def test_this_cars_own_passes_overrule_the_book() -> None:
    book = weighted(replace(NOTHING, gone=0.2), book=True)
    other = weighted(replace(NOTHING, gone=0.8))
    assert ranked([book, other], NOTHING)[0] is other


def test_a_way_that_lifts_is_half_the_trades_step_unless_the_stand_was_none() -> None:
    half = max(1, trade_step(KNOB) // 2)
    for steps, stand, small, right in (
        (half, "small", 0.5, True),
        (half, "none", 0.5, True),
        (half, "unknown", 1.0, False),
        (half, None, 1.0, False),
        (half, "big", 1.0, False),
        (half + 1, "small", 1.0, False),
        (half + 1, "none", 0.97, False),
        (half + 1, "none", 0.98, True),
    ):
        one = Weighted(way(steps, rises=True), replace(NOTHING, small=small), book=False)
        assert allowed(one, stand) is right


def test_doing_what_nothing_does_is_no_fair_chance() -> None:
    same = weighted(NOTHING)
    assert not is_fair(same, NOTHING)
    assert not stirs(same, NOTHING)
    assert is_fair(weighted(replace(NOTHING, gone=0.4)), NOTHING)
    assert is_fair(weighted(replace(NOTHING, then=0.6)), NOTHING)


def test_nothing_to_rank_ranks_nothing() -> None:
    assert ranked([], NOTHING) == []


LAUNCH = next(one for one in adjusters(shipped_car("demo")).values() if one.part == "launch rpm")


@given(PROSPECTS)
def test_less_launch_comes_after_what_takes_nothing_from_it(prospect: Prospect) -> None:
    """Where the chances are alike and the book does not ask for it; a lost hundredth counts too."""
    knob, less = (
        weighted(prospect),
        Weighted(Way((), (LAUNCH,), False, 1, False, 5), prospect, False),
    )
    assert less.worth < knob.worth
    slower = weighted(replace(prospect, slower=max(0.0, prospect.slower) + 0.01))
    assert slower.worth < knob.worth


@given(CHANCE, CHANCE)
def test_a_stated_chance_keeps_the_order_and_is_never_certain(one: float, other: float) -> None:
    less, more = sorted((one, other))
    said = [stated(replace(NOTHING, gone=gone)) for gone in (less, more)]
    assert 0.05 < said[0] <= said[1] < 0.99


SPRING = next(one for one in adjusters(shipped_car("demo")).values() if one.part == "spring")


@given(PROSPECTS)
def test_a_rung_of_the_ladder_comes_after_a_knob_that_does_alike(prospect: Prospect) -> None:
    rung = Weighted(Way((), (SPRING,), True, 3, False, 5), prospect, False)
    assert rung.worth < weighted(prospect).worth
