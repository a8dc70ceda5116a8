"""Nothing that Setdown does opens a connection: an audit hook of the interpreter looks on.

Audit events of sockets: Python's own documentation, "Audit events table" (PEP 578).
"""

import subprocess
import sys
from pathlib import Path

LOOK_ON = """
import sys
FORBIDDEN = ("socket.connect", "socket.bind", "socket.getaddrinfo", "socket.sendto")

def hook(event, args):
    if event in FORBIDDEN and "AF_UNIX" not in repr(args[:1]):
        raise SystemExit(f"a connection: {event} {args!r}")

sys.addaudithook(hook)
"""
WALK = """
import asyncio
from pathlib import Path
from profiles.files import SHIPPED_CARS, load_car
from profiles.logbook import Logbook
from rules.book import shipped
from rules.launch.model import launch_model
from tui.app import SetdownApp
from tui.cli import main
from tui.desk import Desk

data = Path(sys.argv[1])
assert main(["--data", str(data), "add", str(SHIPPED_CARS / "demo.toml")]) == 0
desk = Desk(Logbook.in_memory("audit"), shipped(), model=launch_model)
desk.describe(load_car(SHIPPED_CARS / "demo.toml"))
desk.answer("meeting", "Invented")
desk.answer("session", "test")

async def day():
    app = SetdownApp(desk, settle_s=0.0)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("2", "enter", "enter", "l", "escape", "k", "escape", "question_mark")

asyncio.run(day())
assert len(desk.state.runs) == 1
assert main(["--data", str(data), "backup", str(data.parent / "b.zip")]) == 0
assert main(["--data", str(data), "where"]) == 0
assert main(["--data", str(data), "doctor"]) == 0
print("no connection")
"""


def test_a_day_and_its_backup_open_no_connection(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", LOOK_ON + WALK, str(tmp_path / "data")],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.endswith("no connection\n")
