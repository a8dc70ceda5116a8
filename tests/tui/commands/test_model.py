"""`setdown whatif`: the proposal on the command line, the pages or JSON out."""

import json
from pathlib import Path

import pytest
from drive import METRIC, make_desk
from roads import answers

from profiles.files import SHIPPED_CARS
from rules.launch.mechanics import launch_many
from tui.cli import main
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE

DEMO = str(SHIPPED_CARS / "demo.toml")
FIRMER = ("left front rebound=11", "right front rebound=11")


def test_the_pages_one_under_the_other(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["whatif", DEMO, "--set", *FIRMER]) == OK
    out = capsys.readouterr().out
    for text in (
        "front tire lift, in",
        "front, into bump",
        "EXTENSION: lb at the wheels; in/s",
        "FRONT HEIGHT, in; seconds from the hit",
        "REAR TIRE LOAD, lb; seconds from the hit",
        "Not modelled: wheel slip",
        "wheelie bars",
        "Guessed:",
    ):
        assert text in out
    assert max(map(len, out.splitlines())) <= 78
    assert out.isascii()
    assert out.replace("\n", "").isprintable()


def test_json_holds_three_sets_of_settings(capsys: pytest.CaptureFixture[str]) -> None:
    args = ["whatif", DEMO, "--today", "left rear rebound=8", "--set", FIRMER[0], "--json"]
    assert main(args) == OK
    found = json.loads(capsys.readouterr().out)
    assert found["car"] == "demo"
    assert found["knob"] == "left front rebound"
    by = found["settings"]
    assert [by[name]["left rear rebound"] for name in ("baseline", "today", "proposed")] == [
        9,
        8,
        8,
    ]
    assert [by[name]["left front rebound"] for name in ("today", "proposed")] == [8, 11]
    assert {"low", "middle", "high"} <= found["travel"][0]["used"]["proposed"].keys()


def test_nothing_proposed_is_the_car_as_it_stands(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["whatif", DEMO]) == OK
    assert "No knob is moved" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("left front rebound", "wanted KNOB=N"),
        ("left front reb=3", "the knob one of: left front rebound"),
        ("left front rebound=19", "whole clicks, 0 to 18"),
        ("left front rebound=2.5", "whole clicks, 0 to 18"),
        ("left front rebound=", "wanted KNOB=N"),
        ("rear tyre pressure=nan", "rear tyre pressure: found 'nan'"),
        ("\x1b[31m=3", "wanted KNOB=N"),
    ],
)
def test_a_setting_the_car_does_not_have(
    capsys: pytest.CaptureFixture[str], asked: str, said: str
) -> None:
    assert main(["whatif", DEMO, "--set", asked]) == USAGE
    told = capsys.readouterr().err
    assert said in told
    assert "\x1b" not in told


def test_a_car_file_with_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["whatif", str(tmp_path / "none.toml")]) == CAR_FAULTS
    assert "wanted a file to read" in capsys.readouterr().err


def test_a_car_with_a_name_only(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(
        'setdown_car = 1\nid = "bare"\nname = "Invented, name only"\nunits = "us"\n',
        encoding="utf-8",
    )
    assert main(["whatif", str(path)]) == OK
    assert "does not say masses.total and geometry.wheelbase" in capsys.readouterr().out
    assert main(["whatif", str(path), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["missing"] == ["masses.total", "geometry.wheelbase"]


@pytest.mark.long
def test_a_log_gives_the_counts_and_what_its_passes_showed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "log.sqlite3"
    desk = make_desk(path)
    answers(("front-drops-hard",), ("nothing",), "big", "plainly", "all ok")(desk)
    answers("make", "done", "done")(desk)
    now = dict(desk.state.settings)
    desk.log.close()
    before = path.read_bytes()
    assert main(["whatif", DEMO, "--log", str(path), "--set", FIRMER[0], "--json"]) == OK
    found = json.loads(capsys.readouterr().out)
    assert found["settings"]["today"] == pytest.approx(now)
    assert found["settings"]["baseline"]["left front rebound"] != now["left front rebound"]
    assert found["passes"] == 1
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["log.sqlite3"]
    assert main(["whatif", DEMO, "--log", str(path)]) == OK
    assert "cars like this one that did what 1 pass showed" in " ".join(
        capsys.readouterr().out.split()
    )


def test_a_log_that_is_not_this_cars(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "log.sqlite3"
    assert main(["whatif", DEMO, "--log", str(path)]) == LOG_FAULTS
    make_desk(path, car=METRIC).log.close()
    capsys.readouterr()
    assert main(["whatif", DEMO, "--log", str(path)]) == LOG_FAULTS
    assert "found the log of 'leaf-metric'" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("command", "asked"),
    [
        ("whatif", "rules.launch.what_if.what_if"),
        ("numbers", "rules.launch.car_numbers.car_numbers"),
    ],
)
def test_numbers_that_no_launch_can_have_are_a_fault_of_the_file(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, command: str, asked: str
) -> None:
    def refuse(*_: object, **__: object) -> None:
        launch_many([{"ms": -1.0}, {"ms": -2.0}])

    monkeypatch.setattr(asked, refuse)
    assert main([command, DEMO]) == CAR_FAULTS
    told = capsys.readouterr().err.strip()
    assert "demo.toml: no launch of it: car 1: " in told
    assert "car 2" not in told


def test_forces_and_speeds_at_their_bounds_launch(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = ["speed [mm/s], 0 [N], 18 [N]", "50, 60000, 90000", "20000, 150000, 200000"]
    text = Path(DEMO).read_text(encoding="utf-8")
    text = text.replace('controls = "rebound"', f'controls = "rebound"\nrebound_dyno = {rows}', 1)
    path = tmp_path / "stiff.toml"
    path.write_text(text, encoding="utf-8")
    assert main(["whatif", str(path), "--set", FIRMER[0]]) == OK
    assert "front tire lift" in capsys.readouterr().out
