"""What the launch has learnt: shown in one screen, begun afresh by a confirmed key, and back."""

import re

import pytest
from drive import Rig, make_desk, to_advice

from rules.advice.earlier_passes import sightings, teaching
from rules.book import shipped
from rules.launch.learnt_car import LearntCar, LeverLearnt, LineLearnt
from rules.launch.proposed_change import Range
from rules.log.events.advice import LearntAfresh
from tui.pages.learnt import learnt_lines


@pytest.mark.long
async def test_it_is_looked_at_begun_afresh_and_taken_back(rig: Rig) -> None:
    await to_advice(rig, "front-carries", stand="small", carry="long", bars="clear")
    await rig.choose("leave")
    assert len(teaching(rig.state)) == 1
    rig.events()
    await rig.keys("u")
    assert "What the launch has learnt" in rig.text
    assert "Learnt from 1 pass" in rig.text
    assert "of 10" in rig.text
    assert len(rig.rows) <= 24
    await rig.keys("u", "enter")
    assert "it goes on with what it has learnt" in rig.text
    assert rig.events() == []
    await rig.keys("u", "u")
    await rig.choose("afresh")
    assert [body for body in rig.events() if body.kind == "learnt-afresh"] == [LearntAfresh()]
    assert teaching(rig.state) == ()
    run = rig.state.runs[-1]
    assert sightings(rig.state, run) == ()
    assert run.answers["symptoms"]
    await rig.keys("u")
    assert "No pass has taught it anything yet" in rig.text
    assert "Begun afresh after pass 1" in rig.text
    await rig.keys("u")
    await rig.choose("take back")
    assert rig.events() == [LearntAfresh(taken_back=True)]
    assert len(teaching(rig.state)) == 1


def test_the_fullest_account_is_one_screen_in_either_wording() -> None:
    """Every lever of the demonstration car, and as many of the crew's lines as are told."""
    state = make_desk().state
    levers = [one for one in state.fitted.values() if not one.place.startswith("right")]
    found = LearntCar(
        passes=12,
        cars=112,
        levers=tuple(
            LeverLearnt(one.id, ("weak", "strong", "as usual")[place % 3], 0.83, place % 4 > 0)
            for place, one in enumerate(levers)
        ),
        lift=Range(low=0.1234, middle=0.3, high=1.2345),
        stands=(0.1, 0.4, 0.3, 0.2),
        lines=tuple(LineLearnt(one, "earlier", 0.9) for one in sorted(shipped().symptoms)),
    )
    lines = learnt_lines(state, shipped(), found, 78)
    assert len(lines) <= 22
    assert max(map(len, lines)) <= 78
    assert not re.search(r"[{}|]", "\n".join(lines))
