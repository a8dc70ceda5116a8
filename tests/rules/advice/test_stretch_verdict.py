"""A fault that comes after the hit is judged on its own stretch besides, with its own scatter."""

from dataclasses import replace

import pytest

from rules.advice.change_evidence import latest_tried
from rules.advice.stretch_verdict import STRETCHES, between, stretch_verdict, stretches_of
from rules.book import shipped
from rules.car.hit import Launch
from rules.log.changes import Change
from rules.passes.slip import BEAMS_M, Slip
from tests.support.crew import Crew

BOOK = shipped()
NOISE = (0.003, -0.004, 0.001, -0.002, 0.004)


def test_every_fault_of_the_table_is_one_of_the_book() -> None:
    assert set(STRETCHES) <= set(BOOK.symptoms)
    assert all(beam in BEAMS_M for found in STRETCHES.values() for pair in found for beam in pair)


def test_a_slip_without_both_beams_has_no_stretch() -> None:
    timed = between(("sixty_s", "three_thirty_s"))
    assert timed(Slip(sixty_s=1.4, three_thirty_s=4.1)) == pytest.approx(2.7)
    assert timed(Slip(sixty_s=1.4)) is None
    assert timed(Slip(sixty_s=4.1, three_thirty_s=1.4)) is None


def played(quicker: float) -> tuple[Crew, Change]:
    """A-B-A-B-A by the crew's own turns, each after the hit quicker with the change."""
    crew = Crew()
    for number, now in enumerate(("", "11", "9", "11", "9")):
        if now:
            crew.do("already turned", adjuster="left rear compression", now=now, sides="both")
            crew.say("ran")
        late = 2.700 + NOISE[number] - quicker * (now == "11")
        sixty = 1.400 - NOISE[number]
        if not now:
            crew.say(["it-is-good"])
        crew.do("slip", sixty=sixty, three_thirty=sixty + late)
        crew.tell(verdict="same", symptoms=["it-is-good"])
        known = {choice.id for choice in crew.prompt.choices}
        crew.say("ok" if "ok" in known else "leave")
    return crew, list(latest_tried(crew.state))[-1]


@pytest.mark.parametrize("symptom", ["unloads-after-hit", "nose-stays-high", "spins-at-hit"])
def test_the_stretch_speaks_where_the_fault_is(symptom: str) -> None:
    crew, change = played(0.080)
    change = replace(change, symptom=symptom)
    found = stretch_verdict(crew.state, change)
    if symptom != "unloads-after-hit":
        assert found is None
        return
    assert found is not None
    assert found.words == "60-foot to 330"
    assert found.times.word == "helped"
    assert found.times.effect.mean == pytest.approx(-0.080, abs=0.015)


@pytest.mark.parametrize(
    ("first", "second", "found"),
    [
        (None, None, [("sixty_s", "three_thirty_s")]),
        (1.2, 3.0, [("sixty_s", "three_thirty_s")]),
        (2.4, 4.9, [("sixty_s", "three_thirty_s"), ("three_thirty_s", "eighth_s")]),
        (5.0, None, [("three_thirty_s", "eighth_s")]),
        (9.0, None, [("sixty_s", "three_thirty_s")]),
    ],
)
def test_a_gear_change_has_the_stretch_it_falls_in(
    first: float | None, second: float | None, found: list[tuple[str, str]]
) -> None:
    """By the car file's gear changes and the meeting's slips: 60 ft 1.40, 330 4.10, eighth 6.40."""
    crew, change = played(0.080)
    launch = Launch(first_change_at_s=first, second_change_at_s=second)
    car = crew.state.described_car.model_copy(update={"launch": launch})
    runs = tuple(
        replace(one, slip=replace(one.slip, eighth_s=6.4)) for one in crew.state.runs if one.slip
    )
    state = replace(crew.state, car=car, runs=runs)
    change = replace(change, symptom="unloads-at-gear-change")
    assert list(stretches_of(state, change)) == found
    judged = stretch_verdict(state, change)
    assert judged is not None
    assert judged.beams == found[0]
