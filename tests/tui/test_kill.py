"""Killed at any moment, the program loses no answer it has shown as taken."""

import os
import random
import re
import select
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from drive import BOOK, choice_keys, make_desk
from test_parity import normal

from profiles.logbook import Logbook
from rules.asked import Topic
from rules.question import Prompt
from tui.desk import Desk
from tui.lines import spoken

fcntl = pytest.importorskip("fcntl", reason="a pseudo-terminal needs it")
pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

PATIENCE_S = 20.0
# Answers shown as taken in one run of the program, before the one in which it is killed.
AT_MOST_SHOWN = 2
ON_ONE_ROW = 24
"""Letters of a question that stand on one row beside the car."""
APP = Path(__file__).with_name("killed_app.py")
BYTES = {"enter": b"\r"}


@dataclass(frozen=True)
class Step:
    """Keys that make one commit, what the screen then shows, and the log's length after it."""

    keys: tuple[str, ...]
    shows: str
    events: int


def keys_of(prompt: Prompt, day: random.Random) -> tuple[str, ...]:
    """Return the keys with which this day's crew answers."""
    ids = [choice.id for choice in prompt.choices]
    if prompt.id == "meeting":
        return (*"Killed day", "enter")
    if prompt.id == "sixty-foot":
        return (*"1.31", "enter")
    if prompt.id == "symptoms":
        named = day.choice(["front-drops-hard", "spins-at-hit", "front-carries", "tyre-shake"])
        return (*choice_keys(ids.index(named), 0, len(ids)), "enter")
    if prompt.id == "what-else":
        return ("enter",)
    fixed = {"ran": "ran", "verdict": day.choice(["better", "gone", "same"])}
    if prompt.id.startswith("turn:"):
        return choice("done", prompt)
    if prompt.id in fixed:
        return choice(fixed[prompt.id], prompt)
    if prompt.id == "advice":
        first = next(id_ for id_ in ids if id_ in ("make", "inspect", "ok", "control"))
        return choice(first, prompt)
    return (str(day.randint(1, min(8, len(ids)))),)


def choice(id_: str, prompt: Prompt) -> tuple[str, ...]:
    ids = [one.id for one in prompt.choices]
    at = ids.index(id_)
    return tuple(choice_keys(at, 0, len(ids), prompt.choices[at].key))


def given(prompt: Prompt, keys: tuple[str, ...]) -> object:
    """Return what these keys answer, for the day without a screen."""
    typed = "".join(key for key in keys if key != "enter")
    if prompt.kind in ("text", "number"):
        return typed
    if prompt.id == "what-else":
        return ("nothing",)
    *nines, last = [key for key in keys if key != "enter"]
    if own := [one.id for one in prompt.choices if one.key == last]:
        return own[0]
    chosen = prompt.choices[len(nines) * 8 + int(last) - 1].id
    return (chosen,) if prompt.kind == "many" else chosen


def a_day(commits: int) -> tuple[Desk, list[Step]]:
    """Play a day without a screen, and write down the keys for it."""
    day = random.Random(20310504)
    desk = make_desk(meeting="")
    steps: list[Step] = []
    while len(steps) < commits:
        prompt = desk.prompt
        if prompt.kind == "tick":
            untouched = [
                (str(number), one.id)
                for number, one in enumerate(prompt.choices, 1)
                if (prompt.id[8:], prompt.reason, one.id) not in desk.state.ticks
            ]
            key, item = untouched[0]
            desk.answer(prompt.id, {item: "ok"})
            keys: tuple[str, ...] = (key, "enter") if len(untouched) == 1 else (key,)
        else:
            keys = keys_of(prompt, day)
            desk.answer(prompt.id, given(prompt, keys))  # type: ignore[arg-type]
        steps.append(Step(keys, shown_for(desk, prompt), desk.state.events))
    return desk, steps


def shown_for(desk: Desk, before: Prompt) -> str:
    """Return what the screen shows only once the answer to `before` is taken."""
    now = desk.prompt
    if now.id == before.id and now.kind == "tick":
        ticked = [n for n, item in enumerate(now.choices, 1) if is_ticked(desk, now, item.id)]
        return f"{ticked[-1]}  ■ ok"
    return on_the_screen(desk)


def on_the_screen(desk: Desk) -> str:
    """Return some words of the open question, or of the first choice of an advice, on one row."""
    now = desk.prompt
    said = now.choices[0].label if now.topic == Topic.ADVICE else now.question
    return re.sub(r"^Pass \d+: ", "", spoken(desk.state, said))[:ON_ONE_ROW]


def is_ticked(desk: Desk, prompt: Prompt, item: str) -> bool:
    return (prompt.id[8:], prompt.reason, item) in desk.state.ticks


class Life:
    """One run of the program in a pseudo-terminal, from its start to its kill."""

    def __init__(self, log: Path) -> None:
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.process = subprocess.Popen(
            [sys.executable, str(APP), str(log)],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            env={
                "PATH": os.environ["PATH"],
                "TERM": "xterm-256color",
                "PYTHONPATH": str(APP.parents[2]),
            },
        )
        os.close(slave)
        self.output = ""

    @property
    def shown(self) -> str:
        """What was written, without the codes for place and colour."""
        return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", self.output)

    def read(self, seconds: float) -> bool:
        """Take in what is written within a time; tell whether there was anything."""
        ready, _, _ = select.select([self.master], [], [], seconds)
        if ready:
            try:
                self.output += os.read(self.master, 65536).decode("utf-8", "replace")
            except OSError:  # The program has closed its end.
                return False
        return bool(ready)

    def wait_for(self, text: str) -> None:
        end = time.monotonic() + PATIENCE_S
        while text not in self.shown and text not in self.output:
            assert time.monotonic() < end, f"{text!r} never came: {self.output[-2000:]!r}"
            self.read(0.2)

    def press(self, keys: tuple[str, ...]) -> None:
        self.output = ""
        os.write(self.master, b"".join(BYTES.get(key, key.encode()) for key in keys))

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        os.close(self.master)


@contextmanager
def life(log: Path) -> Iterator[Life]:
    one = Life(log)
    try:
        yield one
    finally:
        if one.process.poll() is None:
            one.kill()


def stored(log: Path) -> Desk:
    """Open the log as another program would, and read all of it."""
    return Desk(Logbook.open(log, "reader", create=False), BOOK)


@pytest.mark.parametrize("kills", [2, pytest.param(25, marks=pytest.mark.sweep)])
def test_killed_at_any_moment_nothing_shown_is_lost(log_path: Path, kills: int) -> None:
    undisturbed, steps = a_day(kills * (AT_MOST_SHOWN + 1))
    lengths = [2, *(step.events for step in steps)]
    chance = random.Random(50)
    at, half_way, shown_after = 0, 0, 0.1
    question = "Which event is this?"
    for number in range(kills):
        with life(log_path) as one:
            one.wait_for(question)
            if at:
                one.wait_for("Picked up at: ")
            for _ in range(chance.randint(0, AT_MOST_SHOWN)):
                pressed = time.monotonic()
                one.press(steps[at].keys)
                one.wait_for(steps[at].shows)
                shown_after = time.monotonic() - pressed
                at += 1
            one.press(steps[at].keys)
            moment = time.monotonic() + chance.uniform(0, shown_after)
            while (left := moment - time.monotonic()) > 0:
                one.read(left)
            was_shown = steps[at].shows in one.shown
            one.kill()
        desk = stored(log_path)
        assert desk.state.events in (lengths[at], lengths[at + 1]), f"kill {number}"
        taken = desk.state.events == lengths[at + 1]
        assert taken or not was_shown, f"kill {number}: shown as taken, and lost"
        half_way += not taken
        at += taken
        question = on_the_screen(desk)
        desk.log.close()
    if kills > 10:
        assert 0 < half_way < kills, "the kills fell all on one side of the commit"
    with life(log_path) as one:
        one.wait_for(question)
        while at < len(steps):
            one.press(steps[at].keys)
            one.wait_for(steps[at].shows)
            at += 1
    desk = stored(log_path)
    assert normal(desk.log.events()) == normal(undisturbed.log.events())
    assert desk.prompt.question == undisturbed.prompt.question
    assert desk.state.settings == undisturbed.state.settings
    desk.log.close()


@pytest.mark.parametrize(
    "number", [signal.SIGTERM, pytest.param(signal.SIGHUP, marks=pytest.mark.sweep)]
)
def test_a_polite_signal_ends_it_at_once_and_keeps_everything(
    log_path: Path, number: signal.Signals
) -> None:
    _, steps = a_day(3)
    with life(log_path) as one:
        one.wait_for("Which event is this?")
        for step in steps:
            one.press(step.keys)
            one.wait_for(step.shows)
        one.process.send_signal(number)
        one.wait_for("\x1b[?1049l")
        end = time.monotonic() + PATIENCE_S
        while one.process.poll() is None and time.monotonic() < end:
            one.read(0.05)
        assert one.process.returncode == 0
    desk = stored(log_path)
    assert desk.state.events == steps[-1].events
    desk.log.close()
