"""What the documents list is what there is."""

import re
from pathlib import Path
from typing import get_args

import pytest

from rules.crew.forms import FORMS
from rules.log.advice import AdviceKind
from rules.log.events.base import EventBody
from rules.log.log_format import KINDS
from tui.keys import KEYS

ROOT = Path(__file__).parents[2]
JSON = (ROOT / "docs" / "json.md").read_text("utf-8")
READ_ME = (ROOT / "README.md").read_text("utf-8")
COMMANDS = (ROOT / "docs" / "commands.md").read_text("utf-8")
DOCUMENTS = [*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")]


def rows_of(header: str) -> dict[str, str]:
    """Return the rows of the table with this header, second cell by first."""
    table = JSON.split(header)[1].split("\n\n")[0].splitlines()
    cells = [row.strip("|").split(" | ", 1) for row in table if row.startswith("| `")]
    return {first.strip(" `"): second.strip() for first, second in cells}


def test_every_kind_of_event_is_listed() -> None:
    assert list(rows_of("| `kind` of an event |")) == list(KINDS)
    assert {*KINDS, "unread"} == {
        one.model_fields["kind"].default for one in EventBody.__subclasses__()
    }


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_an_event_is_listed(kind: str) -> None:
    row = re.sub(r" \([^)]*\)", "", rows_of("| `kind` of an event |")[kind])
    assert re.findall(r"`(\w+)`", row) == [
        field.alias or key for key, field in KINDS[kind].model_fields.items() if key != "kind"
    ]


def test_every_kind_of_advice_is_listed() -> None:
    row = rows_of("| field | meaning |")["advice"]
    listed = re.search(r"`kind` \(([^)]*)\)", row)
    assert listed is not None
    assert listed[1].split(", ") == list(get_args(AdviceKind))


def test_the_read_me_names_every_key() -> None:
    told = READ_ME.split("## The first hour with your own car")[0]
    assert [
        key.key for key in KEYS if f"`{key.key.replace('question_mark', '?')}`" not in told
    ] == []


def test_the_commands_name_every_action() -> None:
    told = COMMANDS.split("action = ")[1].split("```")[0].replace("#", "")
    told = " ".join(told.split())
    assert [name for name in FORMS if name not in told and name != "put back"] == []
    assert "put back to baseline" in told


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda one: one.name)
def test_every_path_that_a_document_names_is_there(document: Path) -> None:
    said = document.read_text("utf-8")
    named = re.findall(r"`((?:rules|profiles|tui|tests|docs)/[\w/.-]*)`", said)
    assert [path for path in named if not (ROOT / path).exists()] == []
