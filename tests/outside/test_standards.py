"""What leaves the program, and what it reads, against the standards it names.

RFC 9562 (2024), sections 4 and 5: where the version and the variant stand in a UUID. RFC 3339
(2002), section 5.6: times, a profile of ISO 8601. RFC 8259 (2017), section 6: JSON has no NaN and
no infinity. TOML 1.0.0 (2021): several spellings of one value. All from memory: the texts were not
opened here.
"""

import json
import re
import sqlite3
from datetime import UTC, datetime
from pathlib import Path
from typing import NoReturn
from uuid import UUID

import pytest

from profiles.files import SHIPPED_CARS, load_car, read_car
from profiles.logbook import Logbook
from rules.book import shipped
from tui.commands.consult import Answers, as_json, consult
from tui.desk import Desk

DEMO = SHIPPED_CARS / "demo.toml"
NOW = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
STEPS = tuple(
    {"prompt": prompt, "answer": answer}
    for prompt, answer in (
        ("symptoms", ["front-drops-hard"]),
        ("what-else", "nothing"),
        ("stand", "small"),
        ("front-travel", "at-stop"),
    )
)

RFC_3339 = re.compile(
    r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])"
    r"T([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d+)?(Z|[+-]([01]\d|2[0-3]):[0-5]\d)"
)


def version_and_variant(key: UUID) -> tuple[int, int]:
    """Read the four bits 48 to 51 and the two bits 64 and 65, counted from the first."""
    return key.int >> (127 - 51) & 0b1111, key.int >> (127 - 65) & 0b11


def test_events_of_a_crew_carry_random_uuids() -> None:
    desk = Desk(Logbook.in_memory("device"), shipped())
    desk.describe(load_car(DEMO))
    desk.answer("meeting", "Invented meeting")
    keys = [event.id for event in desk.log.events()]
    assert {version_and_variant(key) for key in keys} == {(4, 0b10)}
    assert len(set(keys)) == len(keys) >= 3


def test_events_of_a_file_of_answers_carry_uuids_made_by_a_rule_of_our_own() -> None:
    """Version 8 leaves all other bits to whoever makes it; a retry makes the same ones."""
    answers = Answers(run="standards", step=STEPS)
    first, again = (consult(load_car(DEMO), answers, shipped()) for _ in range(2))
    keys = [event.id for event in first[1]]
    assert {version_and_variant(key) for key in keys} == {(8, 0b10)}
    assert keys == [event.id for event in again[1]]


def test_times_in_the_log_are_written_with_their_offset(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    desk, _ = consult(load_car(DEMO), Answers(run="r", step=STEPS), shipped(), path, lambda: NOW)
    desk.log.close()
    log = sqlite3.connect(path)
    times = [row[0] for row in log.execute("SELECT at FROM events")]
    log.close()
    assert times
    assert [time for time in times if not RFC_3339.fullmatch(time)] == []
    assert {datetime.fromisoformat(time) for time in times} == {NOW}


def test_json_has_only_numbers_that_json_has() -> None:
    def refuse(constant: str) -> NoReturn:
        raise AssertionError(f"{constant} is not JSON")

    desk, events = consult(load_car(DEMO), Answers(step=STEPS), shipped())
    told = json.loads(as_json(desk, events), parse_constant=refuse)
    assert told["prompt"]["id"] == "inspect:hard-landing"


SPELLINGS = [
    ("total = 3200", "total = 3_200"),
    ("total = 3200", "total = +3200"),
    ("total = 3200", "total = 0xC80"),
    ("total = 3200", "total = 3.2e3"),
    ("total = 3200", '"total" = 3200'),
    ('units = "us"', "units = 'us'"),
    ('units = "us"', 'units = "\\u0075s"'),
    ('units = "us"', 'units = """\nus"""'),
    ("[masses]", "[ masses ]"),
    ("\n", "\r\n"),
]


@pytest.mark.parametrize(("plain", "spelt"), SPELLINGS)
def test_a_car_file_reads_alike_however_its_values_are_spelt(plain: str, spelt: str) -> None:
    text = DEMO.read_text("utf-8")
    assert plain in text
    read = read_car(text.replace(plain, spelt).encode(), "spelt.toml")
    assert read == load_car(DEMO)
