"""The headless twin: in memory, on a log, again and again, and further."""

import json
from pathlib import Path
from typing import Any
from uuid import RFC_4122

import pytest
from drive import BOOK, DEMO, METRIC, START

from profiles.logbook import Logbook
from profiles.logfile import LogError
from rules.log.events.event import Event
from tui.commands.consult import Answers, ConsultError, as_json, as_lines, consult, read_answers
from tui.desk import Desk

ROAD: tuple[dict[str, Any], ...] = (
    {"prompt": "symptoms", "answer": ["front-drops-hard"]},
    {"prompt": "what-else", "answer": "nothing"},
    {"prompt": "stand", "answer": "big"},
    {"prompt": "inspect:hard-landing", "answer": "all ok"},
    {"prompt": "advice", "answer": "make"},
    {"prompt": "turn:left front rebound", "answer": "not-yet"},
    {"prompt": "turn:left front rebound", "answer": "done"},
    {"action": "note", "text": "Windy"},
)
FURTHER: tuple[dict[str, Any], ...] = (
    {"prompt": "turn:right front rebound", "answer": "done"},
    {"prompt": "ran", "answer": "not-yet"},
    {"prompt": "ran", "answer": "ran"},
)


def ask(
    steps: tuple[dict[str, Any], ...], log: Path | None = None, run: str = "first"
) -> tuple[Desk, list[Event]]:
    desk, events = consult(DEMO, Answers(run=run, step=steps), BOOK, log, lambda: START)
    if log:
        desk.log.close()
    return desk, events


def test_in_memory() -> None:
    desk, events = ask(ROAD)
    assert desk.prompt.id == "turn:right front rebound"
    assert events == desk.log.events()
    assert [event.seq for event in events] == list(range(1, len(events) + 1))


def test_how_bad_it_was_may_be_told_or_left_out(log_path: Path) -> None:
    """No rule reads it: a file written without it takes the same road."""
    how_bad = "how-bad-front-drops-hard"
    told = (*ROAD[:3], {"prompt": how_bad, "answer": "badly"}, *ROAD[3:])
    for steps, word in ((ROAD, "unknown"), (told, "badly")):
        desk, _ = ask(steps)
        assert desk.prompt.id == "turn:right front rebound"
        assert desk.state.runs[-1].answers[how_bad] == word
    assert ask(ROAD[:3])[0].prompt.id == how_bad
    ask(ROAD, log_path)
    assert ask(ROAD, log_path)[1] == []


def test_a_time_far_from_the_others_is_meant_where_a_file_goes_on() -> None:
    """Asked back on the screen; a file written before that question takes the same road."""
    far = (
        *ROAD,
        {"action": "slip", "run": 1, "sixty": 1.31},
        *FURTHER,
        {"prompt": "what-else", "answer": "nothing"},
        {"prompt": "verdict", "answer": "better"},
        {"prompt": "sixty-foot", "answer": "1.75"},
    )
    assert ask(far)[0].prompt.id == "sixty-foot-meant"
    kept, _ = ask((*far, {"prompt": "sixty-foot-meant", "answer": "keep"}))
    following = {"prompt": kept.prompt.id, "answer": kept.prompt.choices[0].id}
    left_out, _ = ask((*far, following))
    assert left_out.state.runs[-1].answers["sixty-foot-meant"] == 1.75
    assert left_out.state.runs[-1].answers[following["prompt"]] == following["answer"]


def test_again_on_the_same_log_adds_nothing(log_path: Path) -> None:
    first, events = ask(ROAD, log_path)
    again, none = ask(ROAD, log_path)
    assert events
    assert none == []
    assert again.state == first.state


def test_a_longer_file_adds_what_is_new(log_path: Path) -> None:
    ask(ROAD, log_path)
    further, new = ask((*ROAD, *FURTHER), log_path)
    at_once, whole = ask((*ROAD, *FURTHER))
    assert [event.body.kind for event in new] == ["turn-done", "pass-run"]
    assert further.state == at_once.state
    assert [event.id for event in new] == [event.id for event in whole][-2:]
    _, none = ask((*ROAD, *FURTHER), log_path)
    assert none == []


def test_another_run_of_answers_goes_on_where_the_log_stands(log_path: Path) -> None:
    ask(ROAD, log_path)
    desk, new = ask(FURTHER, log_path, run="second")
    assert [event.body.kind for event in new] == ["turn-done", "pass-run"]
    assert {event.device for event in new} == {"consult:second"}
    assert desk.state.meeting is not None
    assert len(desk.state.meetings) == 1


def test_the_steps_before_a_fault_are_kept(log_path: Path) -> None:
    with pytest.raises(ConsultError, match="step 3: prompt 'verdict' is not open"):
        ask((*ROAD[:2], {"prompt": "verdict", "answer": "gone"}), log_path)
    with Logbook.open(log_path, "reader", create=False) as log:
        assert len(log.state.runs[-1].answers) == 2
    desk, _ = ask(ROAD, log_path)
    assert desk.prompt.id == "turn:right front rebound"


NOT_YET = {"prompt": "turn:left front rebound", "answer": "not-yet"}


@pytest.mark.parametrize(
    ("number", "changed", "named"),
    [
        (3, {"prompt": "stand", "answer": "small"}, 3),
        (8, {"action": "note", "text": "Calm"}, 8),
        (7, NOT_YET, 7),
        (6, {"prompt": "turn:left front rebound", "answer": "cannot reach"}, 7),
    ],
)
def test_a_changed_answer_of_a_step_the_log_holds_is_refused(
    log_path: Path, number: int, changed: dict[str, Any], named: int
) -> None:
    ask(ROAD, log_path)
    kept = log_path.read_bytes()
    steps = (*ROAD[: number - 1], changed, *ROAD[number:], *FURTHER)
    with pytest.raises(ConsultError, match=f"^step {named}: the log holds this step of the run"):
        ask(steps, log_path)
    assert log_path.read_bytes() == kept


def test_a_shorter_file_and_a_changed_end_without_events_are_no_change(log_path: Path) -> None:
    whole, _ = ask(ROAD, log_path)
    shorter, none = ask(ROAD[:5], log_path)
    assert (none, shorter.state) == ([], whole.state)
    _, none = ask((*ROAD, {"prompt": "turn:right front rebound", "answer": "not-yet"}), log_path)
    assert none == []


def test_an_edited_car_file_goes_on_with_the_same_answers(log_path: Path) -> None:
    ask(ROAD, log_path)
    edited = DEMO.model_copy(update={"name": "Repainted"})
    desk, events = consult(
        edited, Answers(run="first", step=(*ROAD, *FURTHER)), BOOK, log_path, lambda: START
    )
    assert [event.body.kind for event in events] == ["car-described", "turn-done", "pass-run"]
    desk.log.close()


def test_meeting_and_session_count_only_where_none_is_open(log_path: Path) -> None:
    ask(ROAD[:1], log_path)
    later = Answers(run="second", meeting="Another", session="eliminations")
    desk, events = consult(DEMO, later, BOOK, log_path, lambda: START)
    assert events == []
    assert desk.state.session == "test"
    desk.log.close()


def test_another_cars_log_is_left_as_it_is(log_path: Path) -> None:
    ask(ROAD[:1], log_path)
    with pytest.raises(LogError, match="this is the log of the car 'demo'"):
        consult(METRIC, Answers(run="second"), BOOK, log_path)
    with Logbook.open(log_path, "reader", create=False) as log:
        assert log.state.car == DEMO


def test_event_ids_are_uuids_of_the_programs_own_kind() -> None:
    _, events = ask(ROAD)
    assert {(event.id.version, event.id.variant) for event in events} == {(8, RFC_4122)}


def test_a_log_needs_a_run_by_name(log_path: Path) -> None:
    with pytest.raises(ConsultError, match="wanted a name"):
        ask(ROAD, log_path, run="")
    assert not log_path.exists()


def test_every_fault_of_a_file_is_told_at_once() -> None:
    with pytest.raises(ConsultError) as faults:
        read_answers('session = "party"\nmeeting = ""\nspeed = 3\n', "my.toml")
    told = str(faults.value).splitlines()
    assert len(told) == 3
    assert all(line.startswith("my.toml: ") for line in told)


def test_the_fields_of_the_json_are_stable() -> None:
    desk, events = ask(ROAD)
    told = json.loads(as_json(desk, events))
    assert list(told) == [
        "format", "version", "book", "car", "meeting", "session", "passes", "conditions",
        "slip", "verdict", "unresolved", "prompt", "advice", "settings", "events",
    ]  # fmt: skip
    assert told["format"] == 1
    assert list(told["prompt"]) == ["id", "kind", "question", "choices", "unknown"]
    assert list(told["advice"]) == [
        "kind", "title", "rule", "upward", "turns", "undoes", "inspection", "cause", "why",
        "expect", "look_for", "put_back_if", "minutes", "tools", "cautions", "label", "lines",
        "symptom", "order_reason", "alternatives", "expected",
    ]  # fmt: skip
    assert list(told["advice"]["turns"][0]) == ["adjuster", "from", "to", "from_text", "to_text"]
    assert list(told["settings"]["left front rebound"]) == ["value", "text", "net"]
    assert told["settings"]["left front rebound"] == {
        "value": 11, "text": "11", "net": "+3 (tighter)"
    }  # fmt: skip
    assert told["passes"] == 1
    assert told["unresolved"] == "1 change half made"
    assert told["events"][0]["kind"] == "car-described"


def test_the_lines_say_the_advice_whole() -> None:
    desk, _ = ask(ROAD[:4])
    told = as_lines(desk)
    assert "FRONT EXTENSION, BOTH SIDES: 3 CLICKS TIGHTER" in told
    assert "Counts    both 8 -> 11, counted from full soft; net +3 (tighter)" in told
    assert "  make: Make it: show the work order" in told
    assert "Off baseline: nothing" in told
    desk, _ = ask(ROAD[:1])
    assert "Enter alone: nothing else." in as_lines(desk)
    desk, _ = ask(ROAD)
    assert "Off baseline: left front extension +3 (tighter)" in as_lines(desk)


def test_a_disabled_choice_says_why_in_the_lines_and_is_left_out_of_the_json() -> None:
    road = (("symptoms", ["spins-at-hit"]), ("what-else", ["burnout"]))
    desk, events = ask(tuple({"prompt": key, "answer": given} for key, given in road))
    assert "skip control: Go on without it (not now: not in eliminations" in as_lines(desk)
    assert json.loads(as_json(desk, events))["prompt"]["choices"] == ["control"]


def test_metric_wording() -> None:
    answers = Answers(step=({"prompt": "symptoms", "answer": ["spins-at-hit"]},))
    desk, _ = consult(METRIC, answers, BOOK)
    assert "Tyre pressure" in as_lines(desk)
