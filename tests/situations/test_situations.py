"""What the program answers, held against a careful crew chief, with every answer tried.

Expectations are common practice, no source: they come from the trade's table of symptoms and from
its three safety lists, and not from the rule book.
"""

from collections import Counter
from dataclasses import replace

import pytest

from rules.book import shipped
from rules.car.adjusters import Turn, adjusters
from rules.car.checks import cross_faults
from tests.situations.all_of_them import SITUATIONS
from tests.situations.judge import judge
from tests.situations.known import KNOWN
from tests.situations.words import (
    KINDS,
    Outcome,
    Pass,
    Situation,
    fits,
    touches,
)

ONE_IN = 15
"""The situations of the default run; the sweep has the rest."""

PLAIN = {*KINDS, "stuck", "to see", "early order", "any turn", "any knob"}


def _marked(number: int, case: Situation) -> object:
    marks = [pytest.mark.xfail(reason=KNOWN[case.name], strict=False)] if case.name in KNOWN else []
    if number % ONE_IN:
        marks.append(pytest.mark.sweep)
    return pytest.param(case, id=case.name, marks=marks)


@pytest.mark.parametrize("case", [_marked(*one) for one in enumerate(SITUATIONS)])
def test_a_careful_crew_chief_has_nothing_against_it(case: Situation) -> None:
    assert judge(case).faults == [], f"{case.why}; wanted {case.accepts}"


def test_every_symptom_has_its_situations() -> None:
    told: Counter[str] = Counter()
    for case in SITUATIONS:
        for step in (*case.history, case.seen):
            if isinstance(step, Pass):
                told.update(step.said.get("symptoms", ()))
    assert set(shipped().symptoms) - set(told) == set()


def test_names_are_said_once_and_known_faults_name_one() -> None:
    names = Counter(case.name for case in SITUATIONS)
    assert [name for name, times in names.items() if times > 1] == []
    assert set(KNOWN) <= set(names)


def test_the_cars_have_no_faults() -> None:
    assert [
        (case.name, cross_faults(case.car)) for case in SITUATIONS if cross_faults(case.car)
    ] == []


def test_every_lever_that_is_named_can_be_told() -> None:
    one = next(iter(adjusters(SITUATIONS[0].car).values()))
    turned = Outcome("turn", "", (Turn(adjuster=one.id, before=one.low, after=one.high),))
    for case in SITUATIONS:
        for words in (*case.accepts, *case.unknown, *case.forbids):
            if words not in PLAIN:
                fits(words, turned, {one.id: one})


@pytest.mark.long
def test_what_is_forbidden_is_found_on_some_way() -> None:
    case = next(one for one in SITUATIONS if one.name == "small stand, at the stop")
    assert judge(case).faults == []
    for forbidden in ("front high compression softer", "launch rpm less"):
        assert judge(replace(case, forbids=(forbidden,))).forbidden
    assert not judge(replace(case, accepts=("leave",))).truth_right
    assert not judge(replace(case, unknown=("leave",))).unknown_right


def test_words_are_read_as_they_are_meant() -> None:
    case = next(one for one in SITUATIONS if "counted from full hard" in one.name)
    fitted = adjusters(case.car)
    firmer = Outcome(
        "turn",
        "",
        tuple(
            Turn(adjuster=f"{side} front compression", before=3, after=1)
            for side in ("left", "right")
        ),
    )
    assert fits("front compression firmer <=2", firmer, fitted)
    assert fits("front high compression firmer", firmer, fitted)
    assert not fits("front compression firmer <=1", firmer, fitted)
    assert not touches("front compression softer", firmer, fitted)
    assert touches("front knob any", firmer, fitted)
    assert not touches("rear knob any", firmer, fitted)
    assert not fits("leave", firmer, fitted)
