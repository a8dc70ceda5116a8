"""Every reader of a file from outside: whatever is in it, it is read or refused in one sentence."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.exports import ExportError, as_json, csv_files, read_export
from profiles.files import SHIPPED_CARS, CarFileError, load_car
from profiles.logbook import Logbook
from profiles.logfile import LogError
from profiles.paths import DataFolder
from profiles.reading import FileFaultError, read_bytes
from profiles.tables import TableFileError, read_table
from profiles.told_columns import remembered
from rules.book import BookError, shipped, with_own
from rules.book.pages import shipped_texts
from rules.book.sound import with_sound
from rules.car.adjusters import adjusters
from rules.car.dyno_tables import DynoTableError, read_rows
from rules.log.merge import MISFITS, state_of
from rules.log.state import State
from rules.paper.columns import guess
from rules.paper.import_rows import neutral, plain
from rules.paper.import_rows import read_rows as read_passes
from rules.plain_data import DEEPEST, PlainDataError, json_data, toml
from rules.question import AnswerError, Prompt, check
from tests.support.sample import examples, many
from tui.commands.consult import ConsultError, read_answers
from tui.commands.crossover import TableError
from tui.commands.crossover import read_table as read_dyno
from tui.desk import Desk

DEMO = load_car(SHIPPED_CARS / "demo.toml")
LANDING = files("rules.book").joinpath("front-drops-hard.toml").read_text("utf-8")
OWN = "[[rule]]" + LANDING.split("[[rule]]")[2].replace("drops-hard-big-stand-rebound", "own-rule")
ANSWERS = '[[step]]\nprompt = "symptoms"\nanswer = ["tyre-shake"]\n'
DYNO = "speed [mm/s],3 [N],4 [N]\n50,100,120\n250,300,330\n"
TABLE = "Date,60 ft,1/8 mph,Note\n2031-05-04,1.312,102.1,dry\n2031-05-05,1.309,102.4,;=1\n"


def _export() -> bytes:
    with Logbook.in_memory("tests") as log:
        desk = Desk(log, shipped(), clock=lambda: datetime(2031, 5, 4, 9, 0, tzinfo=UTC))
        desk.describe(DEMO)
        desk.answer("meeting", "Invented meeting")
        desk.answer("session", "test")
        desk.answer("symptoms", ("tyre-shake",))
        return as_json(log.events(), shipped())


def _rule_page(path: Path) -> None:
    text = toml_text(path)
    book, faults = with_sound({path.name: text})
    assert (book.digest == shipped().digest) == bool(faults)
    if faults:
        raise BookError(faults[path.name])


def toml_text(path: Path) -> str:
    from profiles.reading import MOST_TOML_BYTES, read_text

    return read_text(path, MOST_TOML_BYTES)


def _passes(path: Path) -> None:
    table = read_table(path)
    told = {}
    for at, name in enumerate(table.header):
        told[name] = guess(name, [row[at] for _, row in table.rows if at < len(row)])
    rows = read_passes(
        table.rows, told, State(car=DEMO), file=path.name, new_id=lambda: "x",
        at_home=lambda when: when.astimezone(),
    )  # fmt: skip
    assert all(row.imported or row.faults or row.left_out for row in rows)


def _log(path: Path) -> None:
    events = read_export(path)
    try:
        state_of(events)
    except MISFITS as error:
        raise ExportError(f"its events do not fit together ({error})") from None
    with Logbook.in_memory("reader") as log:
        log.take_in(events, None, now=datetime(2031, 5, 4, tzinfo=UTC), ids=lambda: events[0].id)
    csv_files(state_of(events), shipped())


def _columns(path: Path) -> None:
    folder = DataFolder(path.parent)
    folder.home.mkdir(exist_ok=True)
    (folder.home / "columns.json").write_bytes(path.read_bytes())
    remembered(folder, ["Date"])
    (folder.root / "device").write_bytes(path.read_bytes())
    assert len(folder.device_id()) == 32


Reader = Callable[[Path], object]
READERS: dict[str, tuple[str | bytes, Reader]] = {
    "car file": ((SHIPPED_CARS / "demo.toml").read_bytes(), load_car),
    "rule page": (OWN, _rule_page),
    "answers": (ANSWERS, lambda path: read_answers(toml_text(path), path.name)),
    "dyno table": (DYNO, read_dyno),
    "table of passes": (TABLE, _passes),
    "export": (_export(), _log),
    "columns and device": ('{"Date": ["date"]}', _columns),
}
REFUSED = (
    CarFileError, BookError, ConsultError, TableError, TableFileError, ExportError, LogError,
    FileFaultError,
)  # fmt: skip

FRAGMENTS = [
    b"1e400", b"1e99999999", b"-1e400", b"nan", b"inf", b"9" * 5000, b"0x" + b"f" * 5000,
    b"1" * 400 + b".5", b"9223372036854775808", b"-0", b"0001-01-01", b"9999-12-31T23:59:59-23:59",
    b"99999-01-01", b"24:61:61", b"[" * 3000, b"{a=" * 3000, b'{"a":' * 3000, b"a" + b".a" * 3000,
    b"\0", b"\x1b]52;c;eA==\x07", b"\xff\xfe", b"\xef\xbb\xbf", "\u202e\u2028".encode(), b'"""',
    b"'''", b"\\", b"#", b'"', b"=", b",,,,", b";=1+1", b"[[rule]]", b'when = "x"', b"all = [1]",
    b"any = {}", b"not = 3", b"true", b"[]", b"{}", b"null", b'{"no JSON number": "NaN"}',
    b"1e9 [lb]", b"-5 [N]", b"\r", b"\n\n", b"\t",
]  # fmt: skip
"""What is put into a sound file somewhere."""


@st.composite
def spoilt(draw: st.DrawFn, sound: bytes) -> bytes:
    """Return a sound file with some places cut out, written over, or doubled."""
    data = sound
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(data)))
        end = min(len(data), at + draw(st.integers(0, 12)))
        data = data[:at] + draw(st.sampled_from(FRAGMENTS) | st.binary(max_size=6)) + data[end:]
    return data


@pytest.mark.parametrize("name", READERS)
@given(st.data())
@examples(40, many(300, 3000))
def test_a_spoilt_file_is_read_or_refused(
    name: str, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    sound, read = READERS[name]
    content = data.draw(spoilt(sound if isinstance(sound, bytes) else sound.encode()))
    path = tmp_path_factory.mktemp("spoilt") / "file.x"
    path.write_bytes(content)
    said = refusal(read, path)
    assert said is None or (said.strip() and len(said) < 20_000)


def refusal(read: Reader, path: Path) -> str | None:
    """Return in which words a file is refused; None where it is read."""
    try:
        read(path)
    except REFUSED as error:
        return str(error)
    return None


@pytest.mark.parametrize("fragment", FRAGMENTS, ids=lambda one: repr(one[:12]))
@pytest.mark.parametrize("name", READERS)
def test_a_file_of_nothing_else(name: str, fragment: bytes, tmp_path: Path) -> None:
    for at, content in enumerate((fragment, b"a = " + fragment, b'{"a": ' + fragment + b"}")):
        path = tmp_path / f"{at}.x"
        path.write_bytes(content)
        refusal(READERS[name][1], path)


SLIPS = [
    ("a condition in words", "order = 1", 'order = 1\nwhen = "tyre-hit over"'),
    ("a number for a condition", "order = 1", "order = 1\nwhen = { all = [1] }"),
    ("a number in any", "order = 1", "order = 1\nwhen = { any = [1, 2] }"),
    ("a list for a condition", "order = 1", "order = 1\nwhen = [1]"),
    ("a list under not", "order = 1", "order = 1\nwhen = { not = [[]] }"),
    ("5,000 digits", "order = 1", "order = " + "9" * 5000),
    ("hexadecimal without end", "order = 1", "order = 0x" + "f" * 5000),
    ("nested too deep", "order = 1", "order = 1\nwhen = " + "[" * 500),
    ("nots without end", "order = 1", "order = 1\nwhen = " + "{not=" * 99 + "1" + "}" * 99),
    ("a key without end", "order = 1", "order = 1\na" + ".a" * 200_000 + " = 1"),
    ("infinite", "order = 1", "order = inf"),
    ("a date", "order = 1", "order = 2031-05-04"),
    ("out of all bounds", "order = 1", "order = 1e400"),
]


def _page(old: str, new: str) -> str:
    import re

    return re.sub(r"(?m)^(order = \d+|when = .*)$", "", OWN, count=2).replace(
        "[[rule]]", "[[rule]]\n" + new.replace(old, "order = 1", 1) if old in new else
        "[[rule]]\n" + new, 1
    )  # fmt: skip


@pytest.mark.parametrize(("old", "new"), [slip[1:] for slip in SLIPS], ids=[s[0] for s in SLIPS])
def test_a_page_with_a_fault_is_left_out_and_named(old: str, new: str) -> None:
    """The other pages stand, whatever the slip; the page is named with what is wrong."""
    bad = _page(old, new)
    book, faults = with_sound({"bad.toml": bad, "good.toml": OWN})
    assert list(faults) == ["bad.toml"]
    assert faults["bad.toml"].startswith("bad.toml: ")
    assert "own-rule" in book.rules
    with pytest.raises(BookError, match=r"bad\.toml"):
        with_own({"bad.toml": bad})


def test_pages_that_lean_on_one_another_stand_or_fall_together() -> None:
    prompt = (
        '[[prompt]]\nid = "own-prompt"\nquestion = "Invented question?"\nmeasure = "Look."\n'
        'choices = [{ id = "yes", label = "Yes, so" }, { id = "no", label = "No, not so" }]\n'
    )
    ask = OWN.replace("[[rule]]", '[[rule]]\nwhen = { fact = "own-prompt", is = ["yes"] }', 1)
    leaning = "\n".join(
        row for row in ask.splitlines() if not row.startswith("when =") or "own-prompt" in row
    )
    both, faults = with_sound({"a.toml": leaning, "b.toml": prompt})
    assert not faults
    assert {"own-rule", "own-prompt"} <= {*both.rules, *both.prompts}
    book, faults = with_sound({"a.toml": leaning})
    assert "own-prompt" in faults["a.toml"]
    assert book.digest == shipped().digest
    _, faults = with_sound({"a.toml": leaning, "b.toml": prompt, "c.toml": "nonsense = 1"})
    assert list(faults) == ["c.toml"]


@pytest.mark.parametrize("deep", [DEEPEST // 2, DEEPEST - 2])
def test_what_is_nested_within_reason_is_read(deep: int) -> None:
    assert toml("a = " + "[" * deep + "]" * deep)
    assert json_data('{"a": ' + "[" * deep + "]" * deep + "}")


@pytest.mark.parametrize(
    "text", ["a = [", 'a = "\\x"', "a = 1e400", "a = nan", "[a]\n[a]", "a." * 70 + "a = 1"]
)
def test_a_refusal_names_place_found_and_wanted(text: str) -> None:
    with pytest.raises(PlainDataError) as refused:
        toml(text)
    fault = refused.value.fault
    assert all((fault.where, fault.found, fault.wanted))


def test_what_came_with_the_program_is_within_the_limits() -> None:
    for text in shipped_texts().values():
        assert toml(text) == toml(text, ours=True)


def test_brackets_and_digits_within_texts_are_no_depth() -> None:
    text = "[" * 200 + "9" * 200 + ".a" * 200
    for written in (f'a = "{text}"', f"a = '{text}'", f'a = """{text}"""', f"a = 1 # {text}"):
        assert toml(written)


@pytest.mark.parametrize(
    "typed", ["1e400", "1e99999999", "-1e400", "nan", "inf", "9" * 5000, "1/0"]
)
def test_a_typed_number_beyond_all_bounds_is_refused_at_once(typed: str) -> None:
    for adjuster in adjusters(DEMO).values():
        with pytest.raises(ValueError, match="wanted"):
            adjuster.parse(typed)
    with pytest.raises(AnswerError, match="wanted"):
        check(Prompt("n", "How many?", kind="number"), typed)


def test_a_head_counts_no_more_than_a_knob() -> None:
    with pytest.raises(DynoTableError, match="wanted a count, at most"):
        read_rows("speed [in/s],1 [lb],1e9 [lb]\n2,20,30\n10,50,60\n")


def test_a_date_of_thousands_of_digits_is_a_fault_of_its_row(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text(f"Date,60 ft\n{'9' * 5000}-05-04,1.312\n1/2/{'9' * 5000},1.3\n", "utf-8")
    _passes(path)


def test_no_more_of_a_file_is_read_than_its_limit(tmp_path: Path) -> None:
    path = tmp_path / "large"
    path.write_bytes(b"x" * 101)
    assert len(read_bytes(path, 101)) == 101
    for most in (0, 100):
        with pytest.raises(FileFaultError, match="wanted a smaller one"):
            read_bytes(path, most)


@given(st.text(alphabet=";,\t\n\r'\" =+-@x1\uff1d"))
@examples(200, 5000)
def test_no_cell_begins_a_formula_wherever_it_is_cut(text: str) -> None:
    """Cut at a semicolon, a tab or a line's end, as a spreadsheet of another place would."""
    written = neutral(text)
    assert plain(written) == text
    for mark in ";\t\n\r":
        for part in written.split(mark)[1:]:
            assert not part.strip().strip('"').strip().startswith(("=", "+", "-", "@", "\uff1d"))


def test_a_sequence_number_leaves_room_to_count_on(tmp_path: Path) -> None:
    whole = json.loads(_export())
    whole["events"][0]["seq"] = 2**62
    path = tmp_path / "e.json"
    path.write_text(json.dumps(whole), "utf-8")
    assert "seq: found 4611686018427387904; wanted at most" in str(refusal(read_export, path))
