"""A car file that is no car is a fault in words; nothing of a library reaches the terminal."""

import warnings
from pathlib import Path

import pytest

from profiles.files import SHIPPED_CARS, load_car
from rules.car.adjusters import starts
from rules.car.checks import cross_faults
from rules.car.model import Car
from rules.launch.car_numbers import car_numbers
from rules.launch.what_if import what_if
from tests.support.sample import sampled
from tui.cli import main
from tui.commands.stop import CAR_FAULTS, OK

DEMO_FILE = SHIPPED_CARS / "demo.toml"
DEMO = load_car(DEMO_FILE)


def edited(tmp_path: Path, *pairs: tuple[str, str]) -> str:
    text = DEMO_FILE.read_text("utf-8")
    for old, new in pairs:
        assert text.count(old) >= 1
        text = text.replace(old, new, 1)
    path = tmp_path / "odd.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


NO_CORNERS = [
    ("left_front = 850", "# left_front ="), ("right_front = 830", "# right_front ="),
    ("left_rear = 770", "# left_rear ="), ("right_rear = 750", "# right_rear ="),
]  # fmt: skip


@pytest.mark.parametrize("command", ["check", "numbers", "whatif"])
def test_a_total_below_the_unsprung_masses_is_a_fault_and_no_traceback(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """130 and 330 lb unsprung on a car of 320 lb."""
    path = edited(tmp_path, ("total = 3200", "total = 320"), *NO_CORNERS)
    assert main([command, path]) == CAR_FAULTS
    told = capsys.readouterr()
    assert "masses.total" in told.err + told.out
    assert "more than the unsprung masses weigh, 460 lb" in told.err + told.out


@pytest.mark.parametrize(
    ("droop", "status"), [("3.0", OK), ("2.9", OK), ("3.5", OK), ("2.5", CAR_FAULTS)]
)
def test_a_limiter_longer_than_the_droop_is_a_fault(
    droop: str, status: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The limiter of 3.0 in; a tape may be off by 5 mm, half an inch it is not."""
    path = edited(tmp_path, ("droop_travel = 3.0", f"droop_travel = {droop}"))
    assert main(["check", path]) == status
    told = capsys.readouterr()
    if status != OK:
        assert "lever front travel limiter.start" in told.err + told.out
        assert "at most front.droop_travel, 2.5 in" in told.err + told.out


ODD = [
    ("launch", "peak_g", 6.0), ("launch", "peak_g", 0.1), ("geometry", "cg_height", 2.0),
    ("geometry", "wheelbase", 0.6), ("front", "tyre_rate", 500.0), ("front", "bump_travel", 0.001),
    ("launch", "power", 5000.0), ("launch", "grip", 0.2), ("masses", "pitch_inertia", 20.0),
]  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize(("table", "key", "value"), sampled(ODD, 4))
def test_no_warning_of_a_library_on_odd_cars(table: str, key: str, value: float) -> None:
    plain = DEMO.model_dump(by_alias=True)
    plain[table][key] = value
    car = Car.model_validate(plain)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        car_numbers(car, starts(car))
        what_if(car, starts(car), starts(car))


def test_a_car_without_a_total_is_never_lighter_than_its_unsprung_masses() -> None:
    plain = DEMO.model_dump(by_alias=True)
    plain["masses"] |= dict.fromkeys(("total", "left_front", "left_rear"), None)
    plain["masses"]["rear_unsprung"] = 1400.0
    car = Car.model_validate(plain)
    assert not [fault for fault in cross_faults(car) if fault.where == "masses.total"]
    assert car_numbers(car, starts(car)).missing == ("masses.total",)
