"""Nothing heavy is imported before it is needed; that the rooms stay apart, import-linter says."""

import subprocess
import sys
from pathlib import Path

import pytest

from tui.loading import LATER

ROOT = Path(__file__).parents[2]


def loaded_by(module: str) -> set[str]:
    """Return what importing one module or several brings in, in a fresh interpreter."""
    code = (
        f"import sys; before = set(sys.modules); import {module}; print(*set(sys.modules) - before)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return set(done.stdout.split())


def test_the_command_line_starts_light() -> None:
    loaded = loaded_by("tui.cli")
    heavy = {"textual", "pydantic", "numpy", "rich", "sqlite3", "tomllib", "scipy"}
    assert heavy & {name.partition(".")[0] for name in loaded} == set()


FIRST_PAINT = """
import asyncio, sys
import tui.loading
tui.loading.load_later = lambda: None
sys.path.insert(0, {tests!r})
from pathlib import Path
from drive import at_the_screen, make_desk
from profiles.files import load_car

async def paint():
    async with at_the_screen(make_desk(car=load_car(Path({car!r})))) as rig:
        assert "what did the car do?" in rig.text, rig.text
        print(*sys.modules)

asyncio.run(paint())
"""
DYNO = 'compression_dyno = ["speed [mm/s], 0 [N], 12 [N]", "50, 90, 210", "250, 220, 640"]\n'


@pytest.mark.parametrize("curve", ["dyno", pytest.param("points", marks=pytest.mark.sweep)])
def test_the_first_paint_needs_no_array_library(curve: str, tmp_path: Path) -> None:
    text = (ROOT / "profiles/cars/demo.toml").read_text(encoding="utf-8")
    if curve == "dyno":
        head, knob, tail = text.partition('id = "high-speed compression"')
        assert knob
        tail, points, rest = tail.partition("[dampers.knobs.compression_points]")
        text = head + knob + tail.rstrip() + "\n" + DYNO + points + rest
    car = tmp_path / "demo.toml"
    car.write_text(text, encoding="utf-8")
    code = FIRST_PAINT.format(tests=str(ROOT / "tests/tui"), car=str(car))
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr
    loaded = set(done.stdout.split())
    assert {"numpy", "scipy"} & loaded == set()
    screens = {name for name in loaded if name.startswith("tui.screens.")}
    first = ("frame", "pit", "pit_keys", "questions", "small")
    assert screens - {f"tui.screens.{name}" for name in first} == set()


def test_the_first_screen_is_loaded_without_what_checks_files() -> None:
    """Building its models takes a third of a start."""
    loaded = loaded_by("tui.app, tui.opening, profiles.opened_log, rules.launch.model")
    assert "pydantic" not in loaded
    later = {"rules.log.advice", "rules.log.folds.fold", "rules.book.schema"}
    assert later & loaded == set()
    assert not {name for name in loaded if name.startswith("rules.log.events")}


def test_what_is_loaded_behind_the_first_question_is_there_and_light() -> None:
    loaded = loaded_by("tui.loading; tui.loading.load_later()")
    assert set(LATER) <= loaded
    assert "numpy" not in loaded


def test_the_headless_twin_needs_no_screen() -> None:
    assert "textual" not in {name.partition(".")[0] for name in loaded_by("tui.commands.consult")}
