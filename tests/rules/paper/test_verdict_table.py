"""What came of each change, as it leaves the program: the numbers of its page, and no gate passed.

What a danger or an open advice means for a decision is common practice, no source.
"""

from datetime import timedelta
from typing import Any

import pytest

import rules.paper.verdict_table
from rules.advice.safety.gates import open_blocks
from rules.log.events.meeting import NoteAdded
from rules.log.events.passes import PassImported, SlipNoted
from rules.log.merge import state_of
from rules.log.state import State
from rules.paper.event_sheet import event_sheet
from rules.paper.tables import by_column
from rules.paper.verdict_table import verdicts_table
from rules.passes.slip import Slip
from tests.rules.advice.test_change_evidence import BOOK, decided, judged, known, own_turn
from tests.rules.advice.test_change_evidence import with_an_advised_change as with_a_change
from tests.rules.advice.test_verdict_dangers import after_a_hard_landing, with_a_danger_later
from tests.rules.log.test_merge import Laptop
from tests.support.crew import Crew


def rows_of(state: State) -> list[dict[str, Any]]:
    return [dict(row) for row in by_column(verdicts_table(state, BOOK))]


def section(state: State, title: str) -> str:
    (found,) = [one for one in event_sheet(state, BOOK).sections if one.title == title]
    cells = [str(cell) for table in found.tables for row in table.rows for cell in row]
    return "\n".join((*found.lines, *cells))


def test_the_table_holds_the_numbers_of_the_verdict_and_no_others() -> None:
    crew = with_a_change(1.431, 1.440, 1.452)
    judged(crew, 1.418, "better")
    told, (row,) = known(crew), rows_of(crew.state)
    assert told.times is not None
    low, high = told.times.effect.range
    wanted = [told.times.effect.mean, low, high]
    got = [row["effect [s]"], row["effect, low [s]"], row["effect, high [s]"]]
    assert got == pytest.approx(wanted, abs=5e-5)
    assert row["chance quicker"] == pytest.approx(told.times.quicker, abs=5e-4)
    assert row["worth having from [s]"] == told.worth_s
    assert row["order of passes"] == "A-A-A-B"
    assert row["crew's word"] == "better"


def test_an_a_b_alone_is_called_so_beside_the_crews_word() -> None:
    crew = with_a_change(1.440)
    judged(crew, 1.418, "better")
    for title in ("Every change and its verdict", "What each knob did"):
        told = section(crew.state, title)
        assert "better; 60-foot: cannot tell" in told, title
        assert "(A-B alone)" in told, title


def test_each_change_is_judged_once_for_a_sheet_and_once_for_a_table(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    crew = Crew()
    for now in ("11", "12"):
        crew.good_pass(1.43)
        own_turn(crew, now)
        judged(crew, 1.42, symptoms=["it-is-good"])
        crew.say("ok")
    asked: list[str] = []
    verdict_of = rules.paper.verdict_table.verdict_of

    def counted(state: State, book: Any, change: Any) -> Any:
        asked.append(change.id)
        return verdict_of(state, book, change)

    monkeypatch.setattr(rules.paper.verdict_table, "verdict_of", counted)
    event_sheet(crew.state, BOOK)
    assert asked == [change.id for change in crew.state.changes]
    verdicts_table(crew.state, BOOK)
    assert asked == 2 * [change.id for change in crew.state.changes]


def test_what_blocks_the_car_comes_before_what_to_try_next() -> None:
    crew = with_a_danger_later()
    first, *rest = section(crew.state, "What to try next time").splitlines()
    assert open_blocks(crew.state, BOOK)
    assert first.startswith("Inspect first: ")
    assert any("put back" in line and "Inspect before the next pass" in line for line in rest)
    (row,) = rows_of(crew.state)
    assert row["decision"] == "put back"
    assert "Inspect before the next pass" in row["reason"]


def test_the_list_that_is_ticked_changes_nothing_of_what_was_decided() -> None:
    crew = with_a_danger_later()
    before = decided(crew)
    crew.tell()
    assert not open_blocks(crew.state, BOOK)
    assert crew.advice.kind == before.act == decided(crew).act == "put back"
    assert rows_of(crew.state)[0]["decision"] == "put back"


def test_an_open_advice_that_does_something_else_goes_before_the_change() -> None:
    crew = after_a_hard_landing()
    judged(crew, 1.432, "same", stand="small", front_travel="short-harsh")
    first = f"The advice on pass 3 goes first: {crew.advice.title}."
    assert (decided(crew).act, decided(crew).reason) == (None, first)
    row = rows_of(crew.state)[-1]
    assert row["decision"] == ""
    assert row["reason"].startswith("The advice on pass 3 goes first: ")
    sheet = section(crew.state, "What to try next time")
    assert "was same. The advice on pass 3 goes first: " in sheet
    assert "put back" not in sheet


def test_an_open_advice_that_does_what_was_decided_leaves_the_decision() -> None:
    crew = with_a_change(1.430, 1.432)
    judged(crew, 1.46, "worse", symptoms=["spins-at-hit"])
    assert crew.advice.kind == "put back"
    assert rows_of(crew.state)[0]["decision"] == "put back"


def test_a_merged_log_tells_the_same_of_a_change_from_either_side() -> None:
    crew = with_a_change(1.431, 1.440)
    judged(crew, 1.418, "better")
    pit, tower = Laptop(crew, "pit"), Laptop(crew, "tower", ahead_s=60)
    pit.record([NoteAdded(text="here")])
    tower.record([SlipNoted(run=crew.run.id, slip=Slip(sixty_s=1.424))])
    pit.take_in(tower)
    tower.take_in(pit)
    assert pit.state.runs[-1].sixty_s == 1.424
    assert rows_of(pit.state) == rows_of(tower.state)
    assert rows_of(pit.state)[0]["effect [s]"] > rows_of(crew.state)[0]["effect [s]"]


def test_imported_passes_say_how_the_car_scatters_and_nothing_of_a_change() -> None:
    """Their setting is the crew's word, which tells no counts; a wild history widens the range."""
    crew = with_a_change(1.431, 1.440)
    judged(crew, 1.418, "better")
    before = rows_of(crew.state)[0]
    crew.record(
        PassImported(
            imported=f"k{n}",
            when=crew.clock - timedelta(days=n // 6),
            slip=Slip(sixty_s=1.2 + 0.06 * (n % 2) + 0.01 * (n % 3)),
            setting="Car file" if n % 2 else "",
        )
        for n in range(24)
    )
    after = rows_of(crew.state)[0]
    for column in ("passes", "order of passes", "crew's word", "worth having from [s]"):
        assert after[column] == before[column]
    low, high = "effect, low [s]", "effect, high [s]"
    assert after[high] - after[low] > before[high] - before[low]
    assert abs(after["effect [s]"]) < abs(before["effect [s]"])
    assert rows_of(state_of(crew.log))[0] == after
