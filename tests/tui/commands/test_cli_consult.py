"""The command `setdown consult`: what it prints, and its exit statuses."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from drive import DEMO

from profiles.files import SHIPPED_CARS
from rules.book import shipped
from tui.cli import main
from tui.commands.stop import ANSWER_FAULTS, BOOK_FAULTS, CAR_FAULTS, LOG_FAULTS, OK

Run = Callable[..., int]
DEMO_FILE = SHIPPED_CARS / "demo.toml"
METRIC_FILE = SHIPPED_CARS / "leaf-metric.toml"


def test_consult_prints_lines_or_json(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text('[[step]]\nprompt = "symptoms"\nanswer = ["tyre-shake"]\n', "utf-8")
    assert run("consult", DEMO_FILE, "--answers", answers) == OK
    assert "what else changed since the settings were noted?" in capsys.readouterr().out
    assert run("consult", DEMO_FILE, "--answers", answers, "--json") == OK
    told = json.loads(capsys.readouterr().out)
    assert told["prompt"]["id"] == "what-else"
    assert told["book"] == shipped().digest
    assert told["car"] == DEMO.id


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[[[", "not TOML"),
        ("nonsense = 1", "nonsense"),
        ("step = 3", "step"),
        ('session = "party"', "session"),
        ('[[step]]\nprompt = "no-such-prompt"\nanswer = "x"', "'no-such-prompt' is not open"),
        ('[[step]]\nprompt = "verdict"\nanswer = "gone"', "the open one is 'symptoms'"),
        ('[[step]]\nprompt = "symptoms"\nanswer = ["flat-tyre"]', "found 'flat-tyre'"),
        ('[[step]]\nprompt = "symptoms"\nanswer = true', "found True"),
        ('[[step]]\nprompt = "symptoms"', "wanted prompt and answer"),
        ('[[step]]\naction = "fly"', "fly"),
        ('[[step]]\naction = "recount"\nadjuster = "horn"\nfound = 3', "horn"),
    ],
)
def test_consult_with_answers_that_do_not_fit(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, says: str
) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text(text, "utf-8")
    assert run("consult", DEMO_FILE, "--answers", answers) == ANSWER_FAULTS
    said = capsys.readouterr()
    assert says in said.err
    assert said.out == ""


def test_consult_without_a_car_answers_or_log(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = tmp_path / "answers.toml"
    assert run("consult", DEMO_FILE, "--answers", answers) == ANSWER_FAULTS
    answers.write_bytes(b"\xff\xfe")
    assert run("consult", DEMO_FILE, "--answers", answers) == ANSWER_FAULTS
    answers.write_text('run = "r"\n', "utf-8")
    assert run("consult", tmp_path / "no.toml", "--answers", answers) == CAR_FAULTS
    log = tmp_path / "log.sqlite3"
    log.write_bytes(b"no database, but long enough to look like a file of one")
    assert run("consult", DEMO_FILE, "--answers", answers, "--log", log) == LOG_FAULTS
    assert str(log) in capsys.readouterr().err


def test_consult_takes_the_crews_own_rules_of_the_default_folder(
    run: Run, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text("", "utf-8")
    monkeypatch.setattr("profiles.paths.user_data_path", lambda *_, **__: data)
    assert main(["consult", str(DEMO_FILE), "--answers", str(answers)]) == OK
    assert not data.exists()
    (data / "real" / "rules").mkdir(parents=True)
    (data / "real" / "rules" / "mine.toml").write_text("[symptom]\nid = 3\n", "utf-8")
    assert main(["consult", str(DEMO_FILE), "--answers", str(answers)]) == BOOK_FAULTS


def test_the_log_of_another_car_is_refused(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers, log = tmp_path / "answers.toml", tmp_path / "log.sqlite3"
    answers.write_text('run = "r"\n', "utf-8")
    assert run("consult", DEMO_FILE, "--answers", answers, "--log", log) == OK
    kept = log.read_bytes()
    assert run("consult", METRIC_FILE, "--answers", answers, "--log", log) == LOG_FAULTS
    said = capsys.readouterr().err
    assert f"{log}: this is the log of the car 'demo'; found the file of 'leaf-metric'" in said
    assert log.read_bytes() == kept
