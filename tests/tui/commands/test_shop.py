"""The commands around the shop: a new car, the shop's menu, the baseline card, faulty edits."""

from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.files import SHIPPED_CARS
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.rounds import answered, closed, filling, open_field
from tests.rules.crew.sheets.test_new_car import WEIGHT_WHEELBASE_KNOBS
from tests.support.shop import dont_know
from tui.app import SetdownApp
from tui.commands.stop import CAR_FAULTS, LOG_FAULTS, OK, USAGE
from tui.pick import PickApp
from tui.screens.new_car import NewCarApp

Run = Callable[..., int]
pytestmark = pytest.mark.usefixtures("a_terminal")
DEMO_FILE = SHIPPED_CARS / "demo.toml"


@pytest.fixture
def described(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a new car be described to its end, without a screen."""

    def describe(app: NewCarApp, **_: object) -> None:
        hand = dict(WEIGHT_WHEELBASE_KNOBS)
        desk = app.desk
        while (one := open_field(NEW_CAR, filling(NEW_CAR, desk.state))) is not None:
            value = hand.get(one.key, dont_know(one))
            desk.record(answered(NEW_CAR, desk.state, one.key, value))
        desk.record(closed(NEW_CAR, desk.state, desk.names))

    monkeypatch.setattr(NewCarApp, "run", describe)


def test_new_without_a_file_describes_a_car_and_opens_it(
    run: Run, data: Path, opened: list[SetdownApp], described: None
) -> None:
    assert run("new") == OK
    assert opened[0].desk.car.name == "Invented coupe"
    assert opened[0].desk.prompt.id == "meeting"
    assert run("cars") == OK
    assert (data / "real" / "cars" / "invented-coupe" / "car.toml").is_file()


def test_a_half_described_car_is_offered_again(
    run: Run, data: Path, opened: list[SetdownApp], monkeypatch: pytest.MonkeyPatch
) -> None:
    def begin(app: NewCarApp, **_: object) -> None:
        app.desk.record(answered(NEW_CAR, app.desk.state, "name", "Half a coupe"))

    offered = []

    def picked(app: PickApp, **_: object) -> None:
        offered.append(app.draft)

    monkeypatch.setattr(NewCarApp, "run", begin)
    monkeypatch.setattr(PickApp, "run", picked)
    assert run("new") == OK
    run("add", DEMO_FILE)
    assert run() == OK
    assert offered == ["Half a coupe"]
    assert opened == []


def test_shop_opens_the_shop(run: Run, opened: list[SetdownApp]) -> None:
    assert run("shop") == CAR_FAULTS
    run("add", DEMO_FILE)
    assert run("shop") == OK
    assert run("shop", "demo") == OK
    assert run("shop", "other") == CAR_FAULTS
    assert [app.shop for app in opened] == [True, True]


def test_the_baseline_card(
    run: Run, tmp_path: Path, opened: list[SetdownApp], capsys: pytest.CaptureFixture[str]
) -> None:
    run("add", DEMO_FILE)
    md, html = tmp_path / "card.md", tmp_path / "card.html"
    assert run("card", "demo", "--md", md) == LOG_FAULTS
    run("open", "demo")
    assert run("card", "demo") == USAGE
    assert run("card", "demo", "--md", md, "--html", html) == OK
    text = md.read_text("utf-8")
    assert "# Baseline: Car file" in text
    assert "| extension | 8 clicks | from full soft | 0 to 18 clicks |  |" in text
    assert "INVENTED" in text
    assert "<table>" in html.read_text("utf-8")
    assert run("card", "demo", "--md", md / "card.md") == LOG_FAULTS
    assert "cannot be written" in capsys.readouterr().err


def test_a_card_that_is_there_is_replaced_by_order_alone(
    run: Run, tmp_path: Path, opened: list[SetdownApp], capsys: pytest.CaptureFixture[str]
) -> None:
    run("add", DEMO_FILE)
    run("open", "demo")
    md, html = tmp_path / "card.md", tmp_path / "card.html"
    html.write_text("the crew's own")
    assert run("card", "demo", "--md", md, "--html", html) == LOG_FAULTS
    assert "is there already" in capsys.readouterr().err
    assert (md.exists(), html.read_text()) == (False, "the crew's own")
    assert run("card", "demo", "--html", html, "--force") == OK
    assert "<table>" in html.read_text("utf-8")


def test_a_sheet_of_the_shop_to_print(
    run: Run, tmp_path: Path, opened: list[SetdownApp], capsys: pytest.CaptureFixture[str]
) -> None:
    run("add", DEMO_FILE)
    md = tmp_path / "survey.md"
    sheet = ("card", "demo", "--sheet", "travel survey", "--md", md)
    assert run(*sheet, "--blank") == OK
    assert "Front shock: how long is it at ride height? Eye to eye" in md.read_text("utf-8")
    assert run(*sheet) == LOG_FAULTS
    assert "nothing is filled in yet" in capsys.readouterr().err
    assert run("card", "demo", "--sheet", "survey", "--md", md) == USAGE
    assert "wanted one of: edit, scales" in capsys.readouterr().err
    assert run("card", "demo", "--blank", "--md", md) == USAGE
    run("open", "demo")
    assert run(*sheet, "--blank", "--force") == OK


def test_a_faulty_hand_edit_opens_the_last_good_car(
    run: Run, data: Path, opened: list[SetdownApp]
) -> None:
    run("add", DEMO_FILE)
    run("open", "demo")
    (data / "real" / "cars" / "demo" / "car.toml").write_text("[[[", encoding="utf-8")
    assert run("open", "demo") == OK
    assert opened[1].pages[0][0] == "The car file has faults"
    assert opened[1].desk.car.id == "demo"
