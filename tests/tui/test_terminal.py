"""The installed program in a real terminal multiplexer. The screen is polled, never waited for."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from rich.text import Text
from test_contrast import ENOUGH, GLASS, contrast

pytest.importorskip("termios", reason="there is no multiplexer without it")

pytestmark = [
    pytest.mark.terminal,
    pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed"),
]

PATIENCE_S = 60.0
KEY_S = 2.0
IGNORED_S = 10.0
"""After which a key that shows nothing was ignored; a busy machine takes seconds for one."""
POLL_S = 0.1
SETTLE_S = 0.5
COMMAND = f"{sys.executable} -m tui.cli"
ROOT = Path(__file__).parents[2]


class Terminal:
    """One pane of 80 by 24 on a server of its own."""

    def __init__(self, folder: Path) -> None:
        self.socket = ""
        self.starts = 0
        self.data = folder / "data"
        self.folder = folder

    def tmux(self, *args: str) -> str:
        command = ["tmux", "-S", self.socket, "-f", "/dev/null", *args]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    def start(self, command: str, **env: str) -> None:
        """Run a command in a shell in a new pane."""
        self.starts += 1  # A server that is still going away cannot be asked again.
        self.socket = str(self.folder / f"tmux {self.starts}")
        size = ["-x", "80", "-y", "24"]
        given = {"PYTHONPATH": str(ROOT), "TERM": "screen-256color", **env}
        words = " ".join(f"{key}={value}" for key, value in given.items())
        unset = " ".join(f"-u {name}" for name in ("NO_COLOR", "COLUMNS", "LINES"))
        self.tmux("new-session", "-d", "-s", "pit", *size, f"exec env {unset} {words} {command}")

    def demo(self, **env: str) -> None:
        self.start(f"{COMMAND} --data {self.data} demo", **env)

    def text(self) -> str:
        return self.tmux("capture-pane", "-p", "-t", "pit")

    def wait_for(self, text: str, seconds: float = PATIENCE_S) -> str:
        end = time.monotonic() + seconds
        while text not in (seen := self.text()):
            if time.monotonic() > end:
                raise AssertionError(f"{text!r} never came:\n{seen}")
            time.sleep(POLL_S)
        return seen

    def settled(self) -> str:
        """Return what stands on the screen once it stands still."""
        seen = self.text()
        while True:
            time.sleep(POLL_S)
            before, seen = seen, self.text()
            if seen == before:
                return seen

    def press(self, key: str, shows: str, ignored_s: float = KEY_S) -> str:
        """Press a key until the screen shows what it leads to: a settling screen ignores it."""
        end = time.monotonic() + PATIENCE_S
        while True:
            self.tmux("send-keys", "-t", "pit", key)
            try:
                return self.wait_for(shows, ignored_s)
            except AssertionError:
                if time.monotonic() > end:
                    raise

    def tick(self, key: str, shows: str) -> str:
        """Press a key that would undo itself: again only once it was ignored for long."""
        self.settled()
        return self.press(key, shows, IGNORED_S)

    def pid(self) -> int:
        return int(self.tmux("display-message", "-p", "-t", "pit", "#{pane_pid}"))

    def is_running(self) -> bool:
        command = ["tmux", "-S", self.socket, "has-session", "-t", "pit"]
        return subprocess.run(command, capture_output=True, check=False).returncode == 0

    def wait_for_the_end(self) -> None:
        end = time.monotonic() + PATIENCE_S
        while self.is_running():
            assert time.monotonic() < end, self.text()
            time.sleep(POLL_S)


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    one = Terminal(tmp_path)
    yield one
    if one.is_running():
        one.tmux("kill-session", "-t", "pit")


def to_advice(terminal: Terminal) -> str:
    terminal.wait_for("what did the car do?")
    terminal.press("2", "2  ■")
    terminal.press("Enter", "what else changed")
    terminal.press("Enter", "how high did the front tires")
    terminal.press("3", "how hard did the front come")
    terminal.press("2", "After a hard landing")
    seen = terminal.settled()
    items = [row.split("□")[0].strip() for row in seen.splitlines() if "□" in row]
    for number in items[:-1]:
        terminal.tick(number, f"{number}  ■ ok")
    terminal.tick(items[-1], "Enter closes the list.")
    return terminal.press("Enter", "Make it")


def test_a_whole_session(terminal: Terminal) -> None:
    terminal.demo()
    assert "Invented door car · Invented event · test" in terminal.wait_for("pass 1 next")
    advised = to_advice(terminal)
    assert "LAUNCH RPM" in advised
    assert "RPM LESS" in advised
    terminal.press("1", "0 of 1 done")
    terminal.press("2", "The change is made. Next: a pass.")
    terminal.press("8", "what else changed")
    terminal.press("Enter", "and now?")
    terminal.press("1", "what else did the car do?")
    terminal.press("Enter", "60-foot time of this pass?")
    terminal.tmux("send-keys", "-t", "pit", "1.312")
    terminal.wait_for("1.312")
    time.sleep(SETTLE_S)  # Enter is no answer while the question is new.
    # Once: what is worked out here has a default, which a second Enter would take.
    terminal.tmux("send-keys", "-t", "pit", "Enter")
    terminal.wait_for("KEEP IT")
    terminal.press("n", "Anything worth keeping.")
    terminal.tmux("send-keys", "-t", "pit", "-l", "Good one")
    terminal.wait_for("Good one")
    terminal.press("Enter", "Recorded: the note.")
    assert "Good one" in terminal.press("l", "The log: 2 passes")
    terminal.press("Escape", "Understood")
    terminal.press("1", "what did the car do?")
    terminal.tmux("send-keys", "-t", "pit", "q")
    terminal.wait_for_the_end()


@pytest.mark.sweep
def test_made_small_and_large_again(terminal: Terminal) -> None:
    terminal.demo()
    terminal.wait_for("what did the car do?")
    terminal.press("3", "3  ■")
    terminal.tmux("resize-window", "-t", "pit", "-x", "40", "-y", "12")
    terminal.wait_for("too small")
    terminal.tmux("send-keys", "-t", "pit", "Enter")
    terminal.tmux("resize-window", "-t", "pit", "-x", "80", "-y", "24")
    terminal.wait_for("3  ■")
    terminal.press("Enter", "what else changed")


@pytest.mark.sweep
def test_killed_and_picked_up_at_the_same_question(terminal: Terminal) -> None:
    terminal.demo()
    terminal.wait_for("what did the car do?")
    terminal.press("2", "2  ■")
    terminal.press("Enter", "what else changed")
    terminal.press("Enter", "how high did the front tires")
    os.kill(terminal.pid(), signal.SIGKILL)
    terminal.wait_for_the_end()
    terminal.demo()
    seen = terminal.wait_for("Picked up at: Pass 1: how high did the front tires get?")
    assert seen.count("how high did the front tires") == 2
    assert "pass 1" in seen.splitlines()[0]


@pytest.mark.parametrize(
    ("number", "command", "shows"),
    [
        (signal.SIGTERM, "demo", "what did the car do?"),
        pytest.param(signal.SIGHUP, "demo", "what did the car do?", marks=pytest.mark.sweep),
        pytest.param(signal.SIGTERM, "", "Which car?", marks=pytest.mark.sweep),
    ],
)
def test_a_signal_leaves_the_shell_sane(
    terminal: Terminal, number: signal.Signals, command: str, shows: str
) -> None:
    script = terminal.folder / "shell.sh"
    script.write_text(
        "stty -a >before\n"
        f"{COMMAND} --data {terminal.data} {command} & echo $! >pid; fg >/dev/null\n"
        "echo status $?\nstty -a >after\necho shell is back\n"
        "read answer\necho got $answer\nread end\n",
        encoding="utf-8",
    )
    terminal.start(f"sh -c 'cd {terminal.folder} && exec bash -m shell.sh'")
    terminal.wait_for(shows)
    os.kill(int((terminal.folder / "pid").read_text("ascii")), number)
    assert "status 0" in terminal.wait_for("shell is back")
    before = (terminal.folder / "before").read_text("utf-8")
    assert (terminal.folder / "after").read_text("utf-8") == before
    assert terminal.tmux("display-message", "-p", "-t", "pit", "#{alternate_on}").strip() == "0"
    assert terminal.tmux("display-message", "-p", "-t", "pit", "#{cursor_flag}").strip() == "1"
    terminal.tmux("send-keys", "-t", "pit", "-l", "typed")
    terminal.tmux("send-keys", "-t", "pit", "Enter")
    terminal.wait_for("got typed")


@pytest.mark.parametrize(
    "env",
    [
        {"NO_COLOR": "1", "COLORTERM": "truecolor"},
        *(
            pytest.param(env, marks=pytest.mark.sweep)
            for env in (
                {"NO_COLOR": "1"},
                {"TERM": "linux"},
                {"COLORTERM": "truecolor"},
                {"TERM": "linux", "NO_COLOR": "1"},
                {"TERM": "xterm"},
            )
        ),
    ],
    ids=lambda env: " ".join(f"{key}={value}" for key, value in env.items()),
)
def test_readable_whatever_the_terminal_can_do(terminal: Terminal, env: dict[str, str]) -> None:
    terminal.demo(**env)
    terminal.wait_for("what did the car do?")
    terminal.press("Down", "1  _" if env.get("TERM") == "linux" else "1  □")
    drawn = Text.from_ansi(terminal.tmux("capture-pane", "-e", "-p", "-t", "pit"))
    texts = 0
    for span in drawn.spans:
        words = drawn.plain[span.start : span.end].strip()
        if not words or isinstance(span.style, str):
            continue
        texts += 1
        style = span.style
        assert not style.dim
        front, back = style.color, style.bgcolor
        if front is None or back is None:
            assert front is back, f"{words!r} has only one of its two colours"
            continue
        one, other = front.get_truecolor(), back.get_truecolor()
        if tuple(one) == GLASS and set(words) <= set("▄▀█"):
            continue
        assert contrast(tuple(one), tuple(other)) >= min(ENOUGH, 7.0), words
    assert texts > 3
