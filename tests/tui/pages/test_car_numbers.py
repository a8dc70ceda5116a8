"""The numbers of the car: on the what-if screen beside a turn, and as `setdown numbers`."""

import json
import threading
from itertools import product
from pathlib import Path

import pytest
from drive import DEMO, METRIC, Rig, at_the_screen, make_desk

import rules.launch.car_numbers
from profiles.files import SHIPPED_CARS
from rules.car.adjusters import Settings
from rules.car.model import Car
from rules.launch.car_numbers import CarNumbers, car_numbers
from rules.launch.proposed_change import Seen
from tests.support.once import once
from tests.support.sample import sampled
from tui.cli import main
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE
from tui.pages.car_numbers import shown, unit_of
from tui.screens.what_if import WORKING

DEMO_FILE = str(SHIPPED_CARS / "demo.toml")
METRIC_FILE = str(SHIPPED_CARS / "leaf-metric.toml")
BARE = (
    'setdown_car = 1\nid = "bare"\nname = "Invented, name only"\n'
    'units = "us"\nrear_suspension = "other"\n'
)


async def test_a_page_for_each_group_and_nothing_is_recorded(rig: Rig) -> None:
    await rig.keys("f", "1", "7")
    assert "WHAT IF, not recorded" in rig.text
    assert "load moved at peak g" in rig.text
    assert "front wheel rate, each side  142 lb/in         measured" in rig.text
    assert "proposed" not in rig.text
    await rig.keys("8")
    assert "front extension   measure front shock curve" in rig.text
    await rig.keys("9")
    assert "landing travel there is" in rig.text
    assert "Not modelled: wheel slip" in rig.text
    assert rig.message.startswith("Not in it: ")
    await rig.keys("escape")
    assert rig.events() == []


async def test_today_beside_the_proposal(rig: Rig) -> None:
    await rig.keys("f", "2", *["plus"] * 3, "9")
    head = next(row for row in rig.rows if row.split() == ["today", "proposed"])
    needed = next(row for row in rig.rows if "landing travel needed" in row)
    assert head
    assert needed.count(" in ") == 2


async def test_they_follow_the_count(rig: Rig) -> None:
    await rig.keys("f", "2", "8")
    (alone,) = (row for row in rig.rows if row.split()[:2] == ["front", "compression"])
    await rig.keys("plus", "plus", "plus")
    row = next(row for row in rig.rows if row.split()[:2] == ["front", "compression"])
    assert row.split()[2:5] == alone.split()[2:5]
    assert [float(one) for one in row.split()[5:8:2]] > [float(one) for one in row.split()[2:5:2]]
    assert row.split()[8:] == alone.split()[5:], "the ends of the knobs stay where they are"


@pytest.mark.long
async def test_they_are_worked_out_only_when_asked_for_and_off_the_loop(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate, asked = threading.Event(), []

    def slow(car: Car, settings: Settings, seen: tuple[Seen, ...] = ()) -> CarNumbers:
        asked.append(dict(settings))
        assert threading.current_thread() is not threading.main_thread()
        assert gate.wait(30)
        found: CarNumbers = once(car_numbers)(car, settings, seen)
        return found

    monkeypatch.setattr(rules.launch.car_numbers, "car_numbers", slow)
    await rig.keys("f", "1", "plus", "2")
    assert asked == []
    await rig.pilot.press("7")
    await rig.pilot.pause()
    assert rig.message == WORKING
    await rig.pilot.press("1")
    await rig.pilot.pause()
    assert "FRONT HEIGHT, in" in rig.text
    gate.set()
    await rig.worked()
    await rig.keys("8", "9")
    assert len(asked) == 2, "today and proposed, once for all three pages"
    assert rig.message.startswith("Not in it: ")


async def test_a_bare_car_is_told_what_to_measure() -> None:
    nothing = DEMO.masses.model_copy(update=dict.fromkeys(DEMO.masses.fields))
    async with at_the_screen(make_desk(car=DEMO.model_copy(update={"masses": nothing}))) as rig:
        await rig.keys("f", "1", "7")
        assert "load moved at peak g         measure total mass" in rig.text
        assert "front wheel rate, each side  142 lb/in" in rig.text
        await rig.keys("9")
        assert "touchdown speed              measure total mass" in rig.text


@pytest.mark.parametrize(
    ("size", "car"), sampled(product([(60, 20), (80, 24), (120, 40)], [DEMO, METRIC]), 6)
)
async def test_every_page_is_whole(size: tuple[int, int], car: Car) -> None:
    async with at_the_screen(make_desk(car=car), size=size) as rig:
        await rig.keys("f", "1", "plus")
        for digit, last in (
            ("7", "rear ride frequency"),
            ("8", "rear compression"),
            ("9", "nose settled, down the track"),
        ):
            await rig.keys(digit)
            assert len(rig.text.split("\n")) == size[1]
            assert max(map(len, rig.rows)) <= size[0]
            assert "leave" in rig.rows[-1]
            await rig.keys("end")
            assert last in str(rig.app.screen.query_one("#lines").render())
            assert str(rig.app.screen.query_one("#lines").render()).isascii()


def test_the_command_prints_every_group(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["numbers", DEMO_FILE]) == OK
    out = capsys.readouterr().out
    for text in (
        "front wheel rate, each side  142 lb/in         measured",
        "front compression 0.18 to 0.35 0.07 to 0.15 0.50 to 0.94 guessed",
        "Damping ratio at 2 in/s at the wheels; 1 is critical.",
        "full soft    full hard",
        "landing travel there is      5.2 in            measured",
        "Went over or beyond the model, no numbers:",
        "Not modelled: wheel slip",
        "front shock curve",
    ):
        assert text in out or text in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 78
    assert out.isascii()


def test_metric_says_metric(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["numbers", METRIC_FILE]) == OK
    out = capsys.readouterr().out
    assert "landing travel there is      160 mm" in out
    assert "load moved at peak g         measure peak g off the line" in out
    assert " N/mm " in out
    assert " lb" not in out


def test_json_in_si_at_other_counts(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["numbers", DEMO_FILE, "--at", "left front rebound=11", "--json"]) == OK
    found = json.loads(capsys.readouterr().out)
    assert (found["format"], found["car"]) == (1, "demo")
    assert found["settings"]["left front rebound"] == 11
    assert found["settings"]["right front rebound"] == 8
    rate = next(one for one in found["numbers"] if one["name"] == "rear wheel rate, each side")
    assert rate["known"] == "measured"
    assert rate["range"]["low"] <= rate["on_paper"] <= rate["range"]["high"]


def test_a_bare_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(BARE, encoding="utf-8")
    assert main(["numbers", str(path)]) == OK
    out = capsys.readouterr().out
    assert "load moved at peak g         measure total mass +3" in out
    assert "front wheel rate, each side  measure front spring rate" in out
    assert "ground clearance" in out
    assert main(["numbers", str(path), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["missing"] == ["masses.total", "geometry.wheelbase"]


def test_what_the_command_refuses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["numbers", DEMO_FILE, "--at", "left front rebound=19"]) == USAGE
    assert "whole clicks, 0 to 18" in capsys.readouterr().err
    assert main(["numbers", str(tmp_path / "none.toml")]) == CAR_FAULTS
    assert main(["numbers", DEMO_FILE, "--log", str(tmp_path / "none.db")]) == LOG_FAULTS


def test_a_log_gives_the_counts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "log.sqlite3"
    make_desk(path).log.close()
    assert main(["numbers", DEMO_FILE, "--log", str(path), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["settings"]["left front rebound"] == 8


@pytest.mark.parametrize(
    ("value", "kind", "us", "metric"),
    [
        # NIST SP 811, appendix B.8: foot pound-force 1.355818 J, inch 25.4 mm, foot 0.3048 m.
        (1355.818, "energy", "1000 ft lb", "1356 J"),
        (0.0254, "length", "1.0 in", "25 mm"),
        (304.8, "distance", "1000 ft", "305 m"),
        (17_512.68, "rate", "100 lb/in", "17.5 N/mm"),
        (2.7, "g", "2.70 g", "2.70 g"),
        (1.59155, "frequency", "1.59 Hz", "1.59 Hz"),
        (110.5, "percent", "110 %", "110 %"),
        (-0.0001, "length", "0.0 in", "0 mm"),
    ],
)
def test_units(value: float, kind: str, us: str, metric: str) -> None:
    for system, told in (("us", us), ("metric", metric)):
        name = unit_of(kind, system)[0]  # type: ignore[arg-type]
        assert f"{shown(value, kind, system)} {name}" == told  # type: ignore[arg-type]
