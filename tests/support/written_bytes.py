"""Everything that is written of the golden logs, a longer log and the book, by its digest.

`python -m tests.support.written_bytes FOLDER` writes it in a folder and prints a line for each.
"""

import sys
from hashlib import blake2b
from pathlib import Path
from shutil import copyfile

from profiles.exports import as_json, csv_files
from profiles.files import SHIPPED_CARS, load_car
from profiles.kept_book import kept_book
from profiles.logbook import Logbook
from profiles.logfile import connect
from profiles.snapshot import Snapshot, save, snapshot_file
from profiles.worked_out import worked_out
from rules.car.model import Car
from rules.growing_sequence import LENGTH
from rules.log.log_format import written_body
from tests.support.big_log import DEMO, big_log, write_log

GOLDEN = Path(__file__).parents[1] / "golden"


def write_all(folder: Path) -> None:
    """Write snapshots, exports, the parts of the book and a car that was read."""
    book = kept_book(folder)
    for part in (book.symptoms, book.rules, book.prompts, book.inspections, book.kept_names):
        assert part
    for car in sorted(SHIPPED_CARS.glob("*.toml")):
        worked_out(folder / f".{car.name}.read", b"", Car, lambda path=car: load_car(path))
    for log in sorted(GOLDEN.glob("log-*.sqlite3")):
        copyfile(log, folder / log.name)
    # Long enough for a part that lies by itself in the snapshot.
    events = list(big_log(LENGTH + 1, load_car(DEMO)))
    write_log(folder / "long.sqlite3", events)
    (folder / "long.bodies").write_text("\n".join(map(written_body, events)), encoding="utf-8")
    for log in sorted(folder.glob("*.sqlite3")):
        with Logbook.open(log, "tests", create=False) as opened:
            state, events = opened.state, opened.events()
        (folder / f"{log.stem}.json").write_bytes(as_json(events, book))
        for name, table in csv_files(state, book).items():
            (folder / f"{log.stem}-{name}").write_bytes(table)
        connection = connect(log, "ro")
        save(snapshot_file(log), connection, Snapshot(state, 1, False))
        connection.close()


def main() -> None:
    """Print by name the digest of all that is written, but the logs themselves."""
    folder = Path(sys.argv[1])
    write_all(folder)
    for path in sorted(folder.iterdir()):
        if path.suffix != ".sqlite3":
            print(path.name, blake2b(path.read_bytes(), digest_size=8).hexdigest())


if __name__ == "__main__":
    main()
