"""What to do after a pass, as trade practice has it: common practice, no source."""

from dataclasses import replace
from itertools import product
from math import nan

import pytest

from rules.evidence.belief import Belief
from rules.evidence.decide import Outcome, decide
from rules.evidence.designs import design_of
from rules.evidence.interactions import INTERACTIONS, SAME_DAMPER, flagged, interacting
from rules.evidence.measured import BeforeAfter
from rules.evidence.passes_needed import PassesNeeded
from rules.evidence.verdict import Verdict, Word

NOTHING = Belief((1.0,), (0.0,), (0.002,))


def timed(word: Word, quicker: float, sd: float = 0.030) -> Verdict:
    return Verdict(
        word=word,
        effect=Belief((1.0,), (0.0,), (sd,)),
        quicker=quicker,
        worth_having=quicker / 2,
        worth_s=0.010,
        design=design_of("ABA"),
        drift_ruled_out=False,
        scatter_s=0.012,
        drift=NOTHING,
    )


HELPED, HURT = timed("helped", 0.99), timed("hurt", 0.01)
UNSURE, LIKELY_WORSE = timed("cannot tell", 0.55), timed("cannot tell", 0.25)
NO_MATTER = timed("cannot tell", 0.5, sd=0.002)
ONE_MORE = PassesNeeded(("A",), 0.6)
HOPELESS = PassesNeeded(("A", "B") * 3, 0.1)
SCRAPE = BeforeAfter("scrape marks", 0.001, 0.0005, 0.006, 0.0005, "less", 0.001, safety=True)
RING_WORSE = BeforeAfter("front ring", 40.0, 1.0, 55.0, 1.0, "less", 3.0)
RING_BETTER = replace(RING_WORSE, after=25.0)


@pytest.mark.parametrize(
    ("outcome", "action"),
    [
        (Outcome(HELPED, symptom="gone"), "keep"),
        (Outcome(UNSURE, symptom="gone"), "keep"),
        (Outcome(HURT, symptom="gone"), "half back"),
        (Outcome(HURT, symptom="gone", one_step=True), "keep"),
        (Outcome(HURT, symptom="gone", for_safety=True), "keep"),
        (Outcome(UNSURE, symptom="better"), "go further"),
        (Outcome(UNSURE, symptom="better", room=False), "keep"),
        (Outcome(HURT, symptom="better"), "put back"),
        (Outcome(HURT, symptom="better", for_safety=True), "go further"),
        (Outcome(HELPED, symptom="worse"), "put back"),
        (Outcome(UNSURE, symptom="worse", helped_before=True), "half back"),
        (Outcome(UNSURE, symptom="worse", helped_before=True, one_step=True), "put back"),
        (Outcome(UNSURE, symptom="other"), "half back"),
        (Outcome(UNSURE, symptom="other", one_step=True), "put back"),
        (Outcome(HELPED, symptom="same"), "go further"),
        (Outcome(HELPED, symptom="same", room=False), "keep"),
        (Outcome(HELPED), "keep"),
        (Outcome(HURT), "put back"),
        (Outcome(HURT, helped_before=True), "half back"),
        (Outcome(LIKELY_WORSE, ONE_MORE), "put back"),
        (Outcome(NO_MATTER, ONE_MORE), "put back"),
        (Outcome(UNSURE, ONE_MORE), "repeat"),
        (Outcome(UNSURE, ONE_MORE, passes_left=0), "put back"),
        (Outcome(UNSURE, HOPELESS), "put back"),
        (Outcome(symptom="same"), "put back"),
        (Outcome(), "repeat"),
        (Outcome(measured=(RING_BETTER,)), "go further"),
        (Outcome(measured=(RING_WORSE,)), "put back"),
        (Outcome(symptom="better", measured=(RING_WORSE,)), "repeat"),
        (Outcome(symptom="worse", measured=(RING_BETTER,)), "repeat"),
    ],
)
def test_what_to_do(outcome: Outcome, action: str) -> None:
    found = decide(outcome)
    assert found.action == action
    assert found.reason.isascii()
    assert found.reason.endswith((".", "?"))


def test_safety_outranks_time_and_is_never_a_pass_to_see() -> None:
    for verdict, symptom, for_safety, room in product(
        (None, HELPED, HURT, UNSURE),
        (None, "gone", "better", "same", "worse", "other"),
        (False, True),
        (False, True),
    ):
        outcome = Outcome(verdict, ONE_MORE, symptom, for_safety, "The front bottomed", room=room)  # type: ignore[arg-type]
        found = decide(outcome)
        assert found.action != "repeat"
        assert any("Inspect" in one for one in found.cautions)
        if not (for_safety and symptom in ("gone", "better")):
            assert found.action == "put back"
        assert decide(replace(outcome, measured=(SCRAPE,))).action == "put back"


def test_a_change_that_eased_the_danger_is_not_undone() -> None:
    eased = Outcome(HURT, symptom="better", for_safety=True, safety="The front bottomed")
    assert decide(eased).action == "go further"
    assert decide(replace(eased, room=False)).action == "keep"


def test_more_scrape_is_a_danger() -> None:
    found = decide(Outcome(HELPED, symptom="gone", measured=(SCRAPE,)))
    assert found.action == "put back"
    assert "scrape marks got worse" in found.reason


@pytest.mark.parametrize(
    ("after", "give", "says"),
    [
        (30.0, 1.0, "better"),
        (50.0, 1.0, "worse"),
        (40.2, 1.0, "same"),
        (39.0, 0.2, "same"),
        (36.0, 8.0, "cannot tell"),
    ],
)
def test_what_a_measurement_says(after: float, give: float, says: str) -> None:
    ring = BeforeAfter("front ring", 40.0, give, after, give, "less", 3.0)
    assert ring.says == says
    mirrored = BeforeAfter("front ring", -40.0, give, -after, give, "more", 3.0)
    assert mirrored.says == says


def test_a_wrong_measurement_is_refused() -> None:
    with pytest.raises(ValueError, match="front ring after"):
        replace(RING_WORSE, after=nan)
    with pytest.raises(ValueError, match="front ring before_give: found 0; wanted above 0"):
        replace(RING_WORSE, before_give=0.0)


def test_interacting_levers_are_flagged() -> None:
    assert [one.why for one in interacting(["front rebound", "launch"])] == [
        "thrust lifts the front, rebound slows it"
    ]
    high_low = interacting(["rear low-speed compression", "rear high-speed rebound"])
    assert [one.why for one in high_low] == [SAME_DAMPER]
    assert interacting(["front rebound", "rear compression"]) == []
    assert interacting(["launch", "launch"]) == []
    assert flagged([]) == ""
    assert "Credit neither alone" in flagged(interacting(["launch", "rear tyre pressure"]))
    pairs = [frozenset((one.one, one.other)) for one in INTERACTIONS]
    assert len(set(pairs)) == len(pairs)
