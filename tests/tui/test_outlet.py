"""Text from outside never leaves raw: every way in, every command's stdout and stderr."""

import re
import sys
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.harmless import harmless
from tests.support.hostile import STEERING, WAYS, is_harmless, prepared
from tests.support.sample import examples
from tui.cli import main
from tui.outlet import outlet

ROOT = Path(__file__).parents[2]
TEXTS = st.lists(
    st.one_of(st.sampled_from(STEERING), st.characters(exclude_categories=["Cs"])), max_size=12
).map("".join)


def told(arguments: list[str], work: Path) -> tuple[int, str]:
    """Run a command in this process; return its status and all it said."""
    out, err = StringIO(), StringIO()
    with (
        pytest.MonkeyPatch.context() as patched,
        patch.object(sys, "stdout", out),
        patch.object(sys, "stderr", err),
    ):
        patched.setattr("tui.cli.at_a_terminal", lambda: True)
        patched.setattr("tui.app.SetdownApp.run", lambda app, **_: None)
        patched.chdir(work)
        try:
            status = main(arguments)
        except SystemExit as left:
            status = int(str(left.code))
    return status, out.getvalue() + err.getvalue()


@pytest.mark.parametrize("name", WAYS)
def test_no_way_out_is_raw(name: str, tmp_path: Path) -> None:
    status, said = told(prepared(tmp_path, name, f"x{''.join(STEERING)}y"), tmp_path)
    assert said
    assert is_harmless(said), said
    assert status != 1


@given(name=st.sampled_from(sorted(WAYS)), text=TEXTS.filter(bool))
@examples(20, 1500)
def test_no_drawn_text_leaves_raw(
    name: str, text: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    work = tmp_path_factory.mktemp("drawn")
    _, said = told(prepared(work, name, text), work)
    assert is_harmless(said), (name, said)


@given(text=st.text())
def test_what_is_written_out_is_harmless_and_stays_so(text: str) -> None:
    assert is_harmless(harmless(text))
    assert harmless(harmless(text)) == harmless(text)
    assert harmless(text).count("\n") == text.count("\n")


def test_an_error_of_the_program_is_reported_through_the_door() -> None:
    """A report of the interpreter quotes what was read, and leaves by the same door."""
    err = StringIO()
    with patch.object(sys, "stderr", err), patch.object(sys, "excepthook", sys.excepthook):
        try:
            with outlet():
                raise KeyError("x") from ValueError(STEERING[0])
        except KeyError as error:
            sys.excepthook(type(error), error, error.__traceback__)
    assert "KeyError" in err.getvalue()
    assert is_harmless(err.getvalue())


def _calls() -> Iterator[tuple[str, set[str]]]:
    """Return the names that each module calls."""
    for room in ("rules", "profiles", "tui"):
        for path in sorted((ROOT / room).rglob("*.py")):
            text = path.read_text("utf-8")
            called = {*CALL.findall(text), *READ.findall(text)}
            yield path.relative_to(ROOT).as_posix(), called


def test_nothing_writes_past_the_door() -> None:
    """No module takes the streams behind the door, and none but commands prints."""
    past = {"os.write", "sys.stdout.write", "sys.stderr.write"}
    for name, called in _calls():
        assert not called & past, name
        assert not any(".__std" in one for one in called), name
        if "print" in called:
            assert name == "tui/cli.py" or name.startswith("tui/commands/"), name


def test_every_file_is_read_through_the_door() -> None:
    """Text of TOML and JSON is read in one module, and files from outside in another."""
    readers = {"tomllib.loads", "tomllib.load", "json.loads", "json.load"}
    for name, called in _calls():
        assert not called & readers - PARSES.get(name, set()), name
        raw = {one for one in called if one.startswith(".read_")}
        assert name in READ_WHAT_IS_OURS or not raw, (name, raw)


CALL = re.compile(r"(?<![\w.])((?:\w+\.)*\w+)\(")
READ = re.compile(r"\.read_(?:text|bytes)(?=\()")
PARSES = {
    "rules/plain_data.py": {"tomllib.loads", "json.loads"},
    # A log's own lines, whose fields have limits of their own.
    "rules/log/log_format.py": {"json.loads"},
    # What this program wrote beside the log, read where its digest holds, and else thrown away.
    "profiles/snapshot.py": {"json.loads"},
    "profiles/state_text.py": {"json.loads"},
}
READ_WHAT_IS_OURS = {
    "rules/book/pages.py",  # The shipped pages.
    "profiles/backup.py",  # Bytes that are copied and never looked into.
    "profiles/salvage.py",  # A damaged log, of any size: its rows are found by their own heads.
    "profiles/files.py",  # The kept file, compared with what is to be kept.
    "profiles/drafts.py",  # The same of a draft.
    "profiles/practice.py",  # The shipped car, which a practice day is drawn around.
}
