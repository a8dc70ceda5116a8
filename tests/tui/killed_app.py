"""The real application on a log, without waiting for a bouncing key: for a driver to kill."""

import sys
from pathlib import Path

from profiles.files import SHIPPED_CARS, load_car
from profiles.logbook import Logbook
from rules.book import shipped
from tui.app import SetdownApp
from tui.desk import Desk

if __name__ == "__main__":
    with Logbook.open(Path(sys.argv[1]), "killed") as log:
        desk = Desk(log, shipped())
        desk.describe(load_car(SHIPPED_CARS / "demo.toml"))
        SetdownApp(desk, settle_s=0).run(mouse=False)
