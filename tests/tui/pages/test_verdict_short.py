"""The verdict in few words: the decision on its plate, nine lines, nothing for a statistician."""

import re

import pytest

from rules.advice.change_evidence import latest_tried, verdict_of
from rules.advice.decision import follow_up
from rules.book import shipped
from tests.support.crew import Crew
from tests.tui.pages.test_verdict_page import judged, put_back
from tui.drawn.short_advice import MOST_LINES
from tui.pages.verdict_short import CLOCK_LINES, HEADS, short_verdict

BOOK = shipped()
WIDTH = 78
LEARNED = re.compile(
    r"drift|scatter|proven|A-B|nine in ten|p-value|chances? in|confiden|signific|interval|%", re.I
)
DRAWN = re.compile(r"^[─▒█■□]")
CASES = {
    "helped": judged("gone", 1.390),
    "costs": judged("better", 1.500),
    "same": judged("same", 1.431),
    "worse": judged("worse", 1.440),
    "put back": put_back(),
}


def rows(crew: Crew) -> list[str]:
    known = verdict_of(crew.state, BOOK, next(latest_tried(crew.state)))
    return short_verdict(crew.state, known, BOOK, WIDTH).plain.splitlines()


@pytest.mark.parametrize("name", CASES)
def test_it_is_nine_lines_at_most_and_fits(name: str) -> None:
    told = rows(CASES[name])
    assert max(map(len, told)) <= WIDTH
    text = [row for row in told if not DRAWN.match(row) and not row.startswith((" ", "!"))]
    assert len(text) <= MOST_LINES - CLOCK_LINES + 1
    assert len(told) <= 20


@pytest.mark.parametrize("name", CASES)
def test_no_sentence_needs_a_statistician(name: str) -> None:
    assert not LEARNED.search("\n".join(rows(CASES[name])))


@pytest.mark.parametrize("name", CASES)
def test_the_plate_says_the_decision_that_the_advice_takes(name: str) -> None:
    crew = CASES[name]
    decided = follow_up(crew.state, BOOK, next(latest_tried(crew.state)))
    wanted = HEADS[decided.act][0] if decided else "PUT BACK ALREADY"
    assert rows(crew)[0].strip().startswith(wanted)


def test_the_way_back_shows_no_figures_that_could_be_read_as_the_turn_to_make() -> None:
    told = "\n".join(rows(CASES["costs"]))
    assert "PUT IT BACK" in told
    assert "It was: " in told
    assert "━━" not in told.split("Why")[0]
    assert "KEEP IT" in rows(CASES["helped"])[0]
    assert any("→" in row or "━" in row for row in rows(CASES["helped"])[:4])


def test_chances_are_so_many_in_ten_and_the_range_has_its_numbers() -> None:
    told = "\n".join(rows(CASES["same"]))
    assert re.search(r"[■□]{10} (\d+ in \d+|less than 1 in 10) (quicker|slower)", told)
    assert re.search(r"0\.\d{3} s (quicker|slower) to 0\.\d{3} s (quicker|slower)", told)
