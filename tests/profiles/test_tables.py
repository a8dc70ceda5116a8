"""Tables as other programs write them: every dialect read, every fault named."""

from pathlib import Path

import pytest

from profiles.paths import DataFolder
from profiles.tables import TableFileError, read_table
from profiles.told_columns import remember, remembered
from rules.paper.columns import column

ROWS = [["2031-05-04", "1,312"], ["2031-05-05", "1,320"]]


def write(folder: Path, data: str | bytes) -> Path:
    path = folder / "invented.csv"
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def text(delimiter: str, end: str = "\n") -> str:
    number = '"{}"' if delimiter == "," else "{}"
    rows = [["Day", "60 ft"], *([day, number.format(time)] for day, time in ROWS)]
    return end.join(delimiter.join(row) for row in rows) + end


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_every_dialect_is_read(tmp_path: Path, delimiter: str, end: str, encoding: str) -> None:
    table = read_table(write(tmp_path, text(delimiter, end).encode(encoding)))
    assert table.header == ("Day", "60 ft")
    assert [cells for _, cells in table.rows] == ROWS
    assert table.delimiter == delimiter


def test_quotes_western_letters_blank_rows_and_columns_of_one_name(tmp_path: Path) -> None:
    data = 'Day,"Who, ""where""",,Day\n\n"a\nb",\xe9,1,2\n ,,\n'.encode("cp1252")
    table = read_table(write(tmp_path, data))
    assert table.header == ("Day", 'Who, "where"', "column 3", "Day (2. of this name)")
    assert table.rows == [(4, ["a\nb", "\xe9", "1", "2"])]


def test_a_thousand_columns_and_ten_thousand_rows(tmp_path: Path) -> None:
    wide = ",".join(f"c{n}" for n in range(1000))
    table = read_table(write(tmp_path, f"{wide}\n{wide}\n"))
    assert len(table.header) == 1000
    assert table.delimiter == ","
    long = read_table(write(tmp_path, "a;b\n" + "1;2\n" * 10_000))
    assert len(long.rows) == 10_000


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "found an empty file"),
        (b"\xef\xbb\xbf \n", "found an empty file"),
        (b"Day,60 ft\n", "found a header and no rows"),
        (b'Day,60 ft\n"2031', "line 2: not a table"),
        (b'Day,60 ft\n"a"b,1\n', "line 2: not a table"),
        (b"a,b\n" + b"x" * 200_000 + b",1\n", "line 2: not a table"),
        (b"a,b\n\0\1\2,3\n", "bytes that are no text"),
        (b"\xff\xfea", "bytes that are no text"),
    ],
)
def test_what_is_no_table_is_refused_by_name(tmp_path: Path, data: bytes, says: str) -> None:
    path = write(tmp_path, data)
    with pytest.raises(TableFileError, match=says) as caught:
        read_table(path)
    assert str(path) in str(caught.value)


def test_what_is_no_file(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(TableFileError, match="cannot be read"):
            read_table(path)


def test_what_columns_hold_is_kept_by_their_header(folder: DataFolder) -> None:
    told = {"Day": column("date in d/m/y"), "Crew": None, "Top": column("quarter speed in km/h")}
    assert remembered(folder, list(told)) is None
    remember(folder, told)
    assert remembered(folder, list(told)) == told
    assert remembered(folder, ["Day"]) is None
    path = folder.home / "columns.json"
    for spoilt in ("[", "[]", '{"Day": 3}', '{"Day": ["nonsense"]}'):
        path.write_text(spoilt, "utf-8")
        assert remembered(folder, ["Day"]) is None
    remember(folder, told)
    assert remembered(folder, list(told)) == told
