"""Baselines are superseded and never lost: an older one can be the one in force again."""

import pytest

from rules.crew.actions import ReturnToBaseline
from rules.crew.baselines import NOT_CLEARED
from rules.crew.forms import FORMS
from rules.log.events.car import BaselineDeclared, CarDescribed
from rules.question import ActionError, Prompt
from tests.support.crew import Crew, invented_car


def evening() -> Crew:
    crew = Crew()
    crew.do("already turned", adjuster="left rear rebound", now="12")
    crew.do("declare baseline", name="Evening")
    return crew


def test_an_older_baseline_comes_back_in_force_and_the_car_is_put_back_to_it() -> None:
    crew = evening()
    assert crew.off == {}
    crew.do("return to baseline", baseline="Car file")
    assert crew.off == {"left rear rebound": 3, "right rear rebound": 3}
    crew.put_back()
    assert crew.state.settings["left rear rebound"] == 9
    assert [b.name for b in crew.state.baselines] == ["Car file", "Evening", "Car file"]
    crew.do("return to baseline", baseline="Evening")
    assert crew.off == {"left rear rebound": -3, "right rear rebound": -3}


@pytest.mark.parametrize("name", ["Evening", "Morning", ""])
def test_a_baseline_that_is_not_an_older_one_is_refused(name: str) -> None:
    crew = evening()
    with pytest.raises(ActionError, match="wanted Car file"):
        crew.do("return to baseline", baseline=name)
    with pytest.raises(ActionError, match="wanted none: there is no older one"):
        Crew().do("return to baseline", baseline=name)


def test_a_work_order_is_finished_first() -> None:
    crew = evening()
    crew.do("undo last change")
    with pytest.raises(ActionError, match="is not finished"):
        crew.do("return to baseline", baseline="Car file")


def test_what_was_noted_beside_an_older_baseline_and_what_is_open_now_stand_with_it() -> None:
    crew = Crew()
    noted = {"left front tyre": "28 psi", NOT_CLEARED: "An old reason."}
    settings = dict(crew.state.settings)
    crew.record([BaselineDeclared(baseline="noon", name="Noon", settings=settings, facts=noted)])
    crew.do("declare baseline", name="Evening")
    crew.do("report damage", found="fluid")
    crew.do("return to baseline", baseline="Noon")
    assert crew.state.baseline is not None
    facts = crew.state.baseline.facts
    assert facts["left front tyre"] == "28 psi"
    assert facts[NOT_CLEARED].startswith("Reported: ")


def test_what_an_older_baseline_does_not_know_keeps_its_goal() -> None:
    crew = Crew(invented_car(front=()))
    crew.do("declare baseline", name="Evening")
    crew.record([CarDescribed(car=invented_car())])
    crew.do("return to baseline", baseline="Car file")
    assert crew.state.baseline is not None
    assert crew.state.baseline.settings["left front rebound"] == 9


def test_the_form_offers_older_baselines_where_there_are_any() -> None:
    crew = evening()
    step = FORMS["declare baseline"](crew.state, crew.book, {})
    assert isinstance(step, Prompt)
    assert [choice.label for choice in step.choices] == ["The settings of now", "Back to Car file"]
    chosen = {step.id: step.choices[1].id}
    back = FORMS["declare baseline"](crew.state, crew.book, chosen)
    assert back == ReturnToBaseline(baseline="Car file")
    named = FORMS["declare baseline"](crew.state, crew.book, {step.id: "new"})
    assert isinstance(named, Prompt)
    assert named.kind == "text"
