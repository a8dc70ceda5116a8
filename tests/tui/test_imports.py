"""Nothing heavy is imported before it is needed, and the rooms stay apart."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def loaded_by(module: str) -> set[str]:
    """Return the modules that importing this one brings in, in a fresh interpreter."""
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


@pytest.mark.parametrize(
    "module", ["rules", "rules.session", "rules.actions", "rules.forms", "rules.book.examples"]
)
def test_rules_know_no_other_room(module: str) -> None:
    rooms = {name.partition(".")[0] for name in loaded_by(module)}
    assert not {"tui", "profiles", "textual", "rich", "sqlite3"} & rooms


def test_profiles_know_no_screen() -> None:
    rooms = {name.partition(".")[0] for name in loaded_by("profiles.logbook")}
    assert not {"tui", "textual"} & rooms


def test_the_headless_twin_needs_no_screen() -> None:
    assert "textual" not in {name.partition(".")[0] for name in loaded_by("tui.consult")}
