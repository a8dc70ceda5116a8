"""Out and in again: the JSON of a log gives the same state, its tables are read by our import."""

import csv
import json
from io import StringIO
from itertools import count
from math import inf, nan
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.exports import NO_NUMBER, ExportError, as_json, csv_files, read_json, write_files
from profiles.tables import read_table
from rules.book import shipped
from rules.log.events.passes import Answered, ConditionsNoted, Measured, PassImported, SlipNoted
from rules.log.merge import state_of
from rules.paper.columns import guess, mapping_faults
from rules.paper.import_rows import read_rows
from rules.passes.slip import Slip
from tests.rules.log.test_clicks import MOVES, OFFSET_CAR, take
from tests.support.crew import Crew, invented_car
from tests.support.sample import examples

SLIP = Slip(
    reaction_s=-0.012,
    sixty_s=1.312,
    eighth_s=6.75,
    eighth_speed_m_s=46.0,
    lane="right",
    marks=frozenset({"spun", "red light"}),
)


def a_log(setting: str = "=1+1") -> Crew:
    crew = Crew(OFFSET_CAR)
    crew.say(["front-bounces"])
    crew.record(
        [
            SlipNoted(run=crew.run.id, slip=SLIP),
            PassImported(
                imported="k",
                when=crew.clock,
                slip=Slip(sixty_s=1.32, eighth_s=6.8),
                conditions=ConditionsNoted(run="k", units="metric", air_temperature=30.5),
                setting=setting,
                file="@old.csv",
                row=2,
            ),
        ]
    )
    return crew


@examples(10, 40)
@given(st.lists(MOVES, max_size=25))
def test_the_export_of_a_log_gives_the_same_state(moves: list[Any]) -> None:
    crew = Crew(OFFSET_CAR)
    for move in moves:
        take(crew, move)
    again = read_json(as_json(crew.log, shipped()), "x")
    assert again == crew.log
    assert state_of(again) == crew.state


def test_slips_and_imports_survive_the_export() -> None:
    crew = a_log()
    assert state_of(read_json(as_json(crew.log, shipped()), "x")) == crew.state


def test_an_export_tells_readers_what_it_adds_up_to() -> None:
    whole = json.loads(as_json(a_log().log, shipped()))
    assert (whole["program"], whole["format"], whole["car"]) == ("setdown", 1, "invented")
    assert whole["derived"]["passes"][0]["60-foot [s]"] == 1.312
    assert {"id", "device", "seq", "at", "body"} == whole["events"][0].keys()


def no_constant(found: str) -> float:
    raise AssertionError(f"{found} is no JSON number")


@pytest.mark.parametrize("number", [inf, -inf])
def test_a_number_that_json_lacks_is_strict_json_and_reads_back_equal(number: float) -> None:
    # RFC 8259, section 6: numeric values such as Infinity and NaN are not permitted.
    crew = a_log()
    measured = Measured(run=crew.run.id, what="lift", value=0.1, give=number, inputs={"a": 1.0})
    answered = Answered(run=crew.run.id, prompt="sixty-foot", value=number)
    crew.record([measured, answered])
    data = as_json(crew.log, shipped())
    json.loads(data, parse_constant=no_constant)
    again = read_json(data, "x")
    assert again == crew.log
    assert state_of(again) == crew.state


def test_what_is_not_a_number_is_strict_json_too() -> None:
    crew = a_log()
    crew.record([Measured(run=crew.run.id, what="lift", value=nan, give=0.0, inputs={})])
    data = as_json(crew.log, shipped())
    json.loads(data, parse_constant=no_constant)
    (body,) = [event.body for event in read_json(data, "x") if event.body.kind == "measured"]
    assert body.value != body.value


def test_an_export_with_bare_constants_is_still_read() -> None:
    crew = a_log()
    crew.record([Measured(run=crew.run.id, what="lift", value=inf, give=0.0, inputs={})])
    whole = json.loads(as_json(crew.log, shipped()))
    whole["events"][-1]["body"]["value"] = inf
    data = json.dumps(whole).encode()
    assert b"Infinity," in data
    assert read_json(data, "x") == crew.log


@pytest.mark.parametrize("odd", ["infinite", 3, None, ["Infinity"]])
def test_a_damaged_stand_in_of_a_number_is_refused_by_name(odd: object) -> None:
    crew = a_log()
    crew.record([Measured(run=crew.run.id, what="lift", value=inf, give=0.0, inputs={})])
    whole = json.loads(as_json(crew.log, shipped()))
    whole["events"][-1]["body"]["value"] = {NO_NUMBER: odd}
    with pytest.raises(ExportError, match=rf"event {len(crew.log)}: body"):
        read_json(json.dumps(whole).encode(), "x")


def spoil(**changes: Any) -> bytes:
    whole = json.loads(as_json(a_log().log, shipped()))
    for key, value in changes.items():
        if key == "event":
            whole["events"][1] |= value
        else:
            whole[key] = value
    return json.dumps(whole).encode()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b"\xff{}", "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b"{}", "found no export of Setdown"),
        (b"[]", "found no export of Setdown"),
        (spoil(format=2), "format: found 2; wanted 1"),
        (spoil(events=3), "events: found none"),
        (spoil(event={"id": "x"}), "event 2: id"),
        (spoil(event={"at": "2031-05-04T10:00:00"}), "event 2: at: found no time zone"),
        (spoil(event={"body": {"kind": "Flown"}}), "event 2: body"),
        (
            spoil(event={"id": json.loads(as_json(a_log().log, shipped()))["events"][0]["id"]}),
            "one id twice",
        ),
    ],
)
def test_a_damaged_export_is_refused_by_name(data: bytes, says: str) -> None:
    with pytest.raises(ExportError, match=says) as caught:
        read_json(data, "some.json")
    assert str(caught.value).startswith("some.json: ")


def test_all_of_the_air_is_read_back_and_which_pressure_it_was(tmp_path: Path) -> None:
    crew = Crew()
    crew.do("slip", run="new", sixty=1.4)
    air = {"air_temperature": 30.5, "dew_point": 12.0, "pressure": 1013.0, "elevation": 366.0}
    crew.do("conditions", **air, pressure_kind="sea-level barometer")
    write_files(
        {tmp_path / k: v for k, v in csv_files(state_of(crew.log), shipped()).items()}, force=False
    )
    table = read_table(tmp_path / "passes.csv")
    told = {
        name: guess(name, [cells[n] for _, cells in table.rows])
        for n, name in enumerate(table.header)
    }
    (row,) = read_rows(
        table.rows,
        told,
        state_of(crew.log[:3]),
        file="passes.csv",
        new_id=lambda: "n",
        at_home=lambda when: when,
    )
    assert row.imported is not None
    noted = row.imported.conditions
    assert noted is not None
    assert noted.model_dump(include={*air}) == air
    assert noted.pressure_kind == "sea-level barometer"


@pytest.mark.parametrize("units", ["us", "metric"])
def test_an_export_comes_back_without_a_fault_though_a_pass_had_no_slip(
    tmp_path: Path, units: str
) -> None:
    crew = Crew(invented_car(units=units))
    for sixty in (None, 1.4):
        crew.say(["it-is-good"])
        if sixty is not None:
            crew.do("slip", sixty=sixty)
        crew.tell()
        crew.say("ok")
    write_files(
        {tmp_path / k: v for k, v in csv_files(state_of(crew.log), shipped()).items()}, force=False
    )
    table = read_table(tmp_path / "passes.csv")
    at = {name: [cells[n] for _, cells in table.rows] for n, name in enumerate(table.header)}
    told = {name: guess(name, at[name]) for name in table.header}
    assert mapping_faults(told) == []
    rows = read_rows(
        table.rows,
        told,
        state_of(crew.log[:3]),
        file="passes.csv",
        new_id=lambda: "n",
        at_home=lambda when: when,
    )
    assert [(row.left_out, row.faults) for row in rows] == [("no times: left out", ()), ("", ())]


def test_the_passes_are_read_back_by_our_own_import(tmp_path: Path) -> None:
    crew = a_log()
    write_files(
        {tmp_path / k: v for k, v in csv_files(state_of(crew.log), shipped()).items()}, force=False
    )
    table = read_table(tmp_path / "passes.csv")
    at = {name: [cells[n] for _, cells in table.rows] for n, name in enumerate(table.header)}
    told = {name: guess(name, at[name]) for name in table.header}
    numbers = count()
    rows = read_rows(
        table.rows,
        told,
        state_of(crew.log[:3]),
        file="passes.csv",
        new_id=lambda: f"n{next(numbers)}",
        at_home=lambda when: when,
    )
    first, second = (row.imported for row in rows)
    assert first is not None
    assert second is not None
    assert first.slip.numbers() == pytest.approx(SLIP.numbers(), abs=2e-3)
    assert (first.slip.lane, first.slip.marks) == ("right", SLIP.marks)
    assert (second.setting, second.when) == ("=1+1", crew.state.imported[0].when)
    assert second.conditions is not None
    assert second.conditions.air_temperature == 30.5
    known = read_rows(
        table.rows,
        told,
        crew.state,
        file="passes.csv",
        new_id=lambda: f"n{next(numbers)}",
        at_home=lambda when: when,
    )
    assert [row.same_as for row in known] == ["pass 1", "row 2 of @old.csv, imported before"]


def test_no_cell_of_a_table_runs_and_numbers_are_numbers() -> None:
    files = csv_files(state_of(a_log('=HYPERLINK("x")').log), shipped())
    rows = list(csv.reader(StringIO(files["passes.csv"].decode("utf-8-sig"))))
    cells = [cell for row in rows for cell in row]
    assert "-0.012" in cells
    assert '\'=HYPERLINK("x")' in cells
    assert "'@old.csv, row 2" in cells
    runs = [c for c in cells if c.startswith(("=", "+", "-", "@", "\t", "\r")) and c != "-0.012"]
    assert runs == []


def test_what_is_there_is_replaced_only_when_forced(tmp_path: Path) -> None:
    new, old = tmp_path / "sub" / "a.csv", tmp_path / "b.csv"
    old.write_text("precious", "utf-8")
    with pytest.raises(ExportError, match=r"b\.csv: is there already"):
        write_files({new: b"1", old: b"2"}, force=False)
    assert not new.exists()
    assert old.read_text("utf-8") == "precious"
    write_files({new: b"1", old: b"2"}, force=True)
    assert (new.read_bytes(), old.read_bytes()) == (b"1", b"2")
    with pytest.raises(ExportError, match="cannot be written"):
        write_files({old / "c.csv": b""}, force=False)
