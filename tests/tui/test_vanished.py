"""A terminal that vanishes without a signal ends the program, and a crash says so by its status."""

import os
import select
import signal
import sys
import time
from pathlib import Path

import pytest
from drive import make_desk

from tui.app import SetdownApp
from tui.commands.stop import PROGRAM, Stop
from tui.leaving import terminal_is_there

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there are no such terminals")
START = "import sys; from tui.cli import main; sys.exit(main(sys.argv[1:]))"


@pytest.mark.long
def test_a_vanished_terminal_ends_it(tmp_path: Path) -> None:
    """The screen's process is no leader of its session, so that closing it sends no signal."""
    import pty

    status = tmp_path / "status"
    leader, terminal = pty.fork()
    if leader == 0:
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
        child = os.fork()
        if child == 0:
            signal.signal(signal.SIGHUP, signal.SIG_DFL)
            os.environ["TERM"] = "xterm-256color"
            data = str(tmp_path / "data")
            os.execv(sys.executable, [sys.executable, "-c", START, "--data", data, "demo"])
        _, ended = os.waitpid(child, 0)
        status.write_text(str(os.waitstatus_to_exitcode(ended)))
        os._exit(0)
    try:
        painted = b""
        while b"What" not in painted and b"what" not in painted:
            assert select.select([terminal], [], [], 60.0)[0]
            painted += os.read(terminal, 65536)
    finally:
        os.close(terminal)
    until = time.monotonic() + 60.0
    while not status.exists() or not status.read_text():
        assert time.monotonic() < until, "it still runs"
        time.sleep(0.1)
    os.waitpid(leader, 0)
    assert status.read_text() == "0"


def test_keys_that_come_from_no_terminal_are_known(monkeypatch: pytest.MonkeyPatch) -> None:
    with Path(os.devnull).open() as nothing:
        monkeypatch.setattr(sys, "__stdin__", nothing)
        assert not terminal_is_there()


def test_a_screen_that_crashed_ends_with_the_programs_own_status(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = SetdownApp(make_desk())
    monkeypatch.setattr(app, "run", lambda: setattr(app, "_return_code", 1))
    with pytest.raises(Stop, match="all that was answered is kept") as stop:
        app.until_left()
    assert stop.value.status == PROGRAM
