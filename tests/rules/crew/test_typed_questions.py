"""What is asked and chosen is typed inside; the public names are written and read in one place."""

from pathlib import Path

import pytest

import rules
from rules.asked import (
    AdviceChoice,
    PairChoice,
    PutRightChoice,
    SettleChoice,
    Topic,
    TurnChoice,
    parted,
    public_id,
)
from rules.question import Choice, Prompt

ROOT = Path(rules.__file__).parent.parent


@pytest.mark.parametrize("topic", Topic)
@pytest.mark.parametrize("subject", ["", "front-left-rebound", "hard-landing"])
def test_a_public_name_is_read_as_it_was_written(topic: Topic, subject: str) -> None:
    prompt = Prompt(topic, "?", subject=subject)
    assert type(prompt.id) is str
    assert parted(prompt.id) == (topic, subject)
    assert prompt.id == public_id(topic, subject)


def test_public_names_stay_as_answer_files_and_logs_hold_them() -> None:
    assert public_id(Topic.TURN, "front-left-rebound") == "turn:front-left-rebound"
    assert public_id(Topic.PUT_RIGHT, "rear-preload") == "put-right:rear-preload"
    assert [str(one) for one in Topic] == [
        "meeting",
        "session",
        "other-damper",
        "other-baseline",
        "recount",
        "pair",
        "put-right",
        "inspect",
        "turn",
        "part",
        "reached",
        "reach",
        "settle",
        "ran",
        "working-out",
        "advice",
        "read-only",
    ]
    assert [str(one) for one in AdviceChoice] == [
        "make",
        "made",
        "leave",
        "inspect",
        "control",
        "skip control",
        "skip measure",
        "ok",
        "find out",
        "nobody knows",
    ]
    assert [str(one) for one in TurnChoice] == [
        "not-yet",
        "done",
        "stops early",
        "cannot reach",
        "not done",
    ]
    assert [str(one) for one in SettleChoice] == ["try again", "leave off", "put back", "even out"]
    assert [str(one) for one in PairChoice] == ["put right", "keep", "later"]
    assert [str(one) for one in PutRightChoice] == ["put right", "treat"]


def test_a_choice_that_says_more_comes_to_the_choice_it_means() -> None:
    prompt = Prompt(
        Topic.SETTLE,
        "?",
        choices=(
            Choice(SettleChoice.PUT_BACK, "Put back", "only knowing"),
            Choice("put back, knowing", "The same, knowing that", means=SettleChoice.PUT_BACK),
        ),
    )
    assert SettleChoice(prompt.meant("put back, knowing")) is SettleChoice.PUT_BACK
    assert prompt.meant("put back") == "put back"


def test_no_other_module_takes_a_public_name_apart() -> None:
    rooms = ("rules/crew", "rules/advice", "rules/log", "tui")
    files = [path for room in rooms for path in (ROOT / room).rglob("*.py")]
    assert len(files) > 100
    apart = [path.name for path in files if 'partition(":")' in path.read_text("utf-8")]
    assert apart == []
