"""The sheet after an event, and the page under it: whole, plain, and nothing in it runs."""

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from rules.book import shipped
from rules.log.events.passes import Answered, SlipNoted
from rules.log.events.whole_log import LogsMerged
from rules.paper.event_sheet import event_sheet
from rules.paper.page import PrintedPage, Section, as_html, as_markdown
from rules.paper.tables import Table, by_column, change_verdict, passes_table
from rules.paper.verdict_table import verdicts_table
from rules.passes.slip import Slip
from tests.support.crew import Crew, invented_car

EVIL = "<script>alert(1)</script> | **bold** [x](javascript:1) \"'&\x1b[31m\u202e"


class Tags(HTMLParser):
    """Collects the tags of a page, their attributes and its text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.text += data


def tags_of(html: str) -> Tags:
    tags = Tags()
    tags.feed(html)
    return tags


def page(text: str) -> PrintedPage:
    return PrintedPage(
        text, (text,), (Section(text, (text,), (Table((text,), ((text,), (None,))),)),)
    )


def a_day() -> Crew:
    crew = Crew()
    crew.tell(symptoms=["front-drops-hard"], stand="small", front_travel="at-stop")
    crew.make()
    crew.say("ran")
    crew.tell(verdict="better", stand="small", front_travel="at-stop")
    crew.record([SlipNoted(run=crew.run.id, slip=Slip(sixty_s=1.312, eighth_s=6.75))])
    return crew


@given(st.text())
def test_whatever_a_text_holds_it_makes_no_tag(text: str) -> None:
    plain, with_text = tags_of(as_html(page("x"))), tags_of(as_html(page(text)))
    assert with_text.tags == plain.tags
    assert with_text.attributes == plain.attributes


def test_html_needs_nothing_else_and_runs_nothing() -> None:
    html = as_html(page(EVIL))
    tags = tags_of(html)
    assert "<script>alert(1)</script> | **bold**" in tags.text
    assert not {"script", "link", "img", "iframe", "a"} & {*tags.tags}
    assert not {"href", "src", "onload"} & {name for name, _ in tags.attributes}
    assert "default-src 'none'" in html
    assert "\x1b" not in html
    assert "\u202e" not in html
    assert "@media print" in html


def test_markdown_keeps_a_text_as_text_and_a_table_whole() -> None:
    rows = as_markdown(page(EVIL)).splitlines()
    assert "\\<script\\>" in rows[0]
    table = [row for row in rows if row.startswith("|")]
    # Cells are cut at a bar that no backslash stands before: GitHub Flavored Markdown, 4.10.
    assert {row.replace("\\|", "").count("|") for row in table} == {2}
    assert "\\*\\*bold\\*\\*" in rows[0]


def test_the_sheet_of_a_day_says_where_the_car_stands_and_what_came_of_it() -> None:
    crew = a_day()
    text = as_markdown(event_sheet(crew.state, shipped())).replace("\\", "")
    for words in (
        "# Invented car: event sheet",
        "Baseline in force: Car file",
        "In the log: 2 passes, 1 change; imported as history: 0 passes",
        "2 off the baseline.",
        "| left front high-speed compression | 12 from full soft | +3 (firmer) |  |",
        "front high-speed compression, both sides: 3 clicks firmer: better.",
        "60-foot [s] | eighth [s]",
        "| 1.312 | 6.750 |",
        "was better: go further.",
        "Front drops hard",
        "Engine off, stands and chocks",
        'Nothing found is not "safe".',
    ):
        assert words in text, words


def test_a_sheet_without_passes_and_one_with_a_count_in_dispute() -> None:
    crew = Crew()
    crew.record([LogsMerged(ours=(), theirs=(), counts={"left front rebound": (6, 8)})])
    text = as_markdown(event_sheet(crew.state, shipped())).replace("\\", "")
    assert "To be counted by hand first: left front rebound." in text
    assert "None yet." in text
    assert "Nothing was changed." in text


def test_us_words_and_units() -> None:
    crew = Crew(invented_car(units="us"))
    crew.do("already turned", adjuster="left front rebound", now="7", sides="both")
    text = as_markdown(event_sheet(crew.state, shipped()))
    assert "front extension, both sides: 2 clicks looser" in text.replace("\\", "")
    assert "eighth speed [mph]" in passes_table(crew.state).header
    assert "tyre" not in text


def test_the_verdict_says_what_it_is_worth() -> None:
    crew = a_day()
    assert change_verdict(crew.state, crew.last) == "better"
    (row,) = by_column(verdicts_table(crew.state, shipped()))
    assert (row["crew's word"], row["60-foot says"]) == ("better", "")
    assert row["decision"] == "go further"
    crew.do("recount", adjuster="left front high-speed compression", found="8")
    assert (
        change_verdict(crew.state, crew.state.changes[0]) == "better, but in doubt after a recount"
    )


def test_a_60_foot_that_was_answered_stands_in_the_table() -> None:
    crew = a_day()
    crew.record([Answered(run=crew.state.runs[0].id, prompt="sixty-foot", value=1.41)])
    table = passes_table(crew.state)
    at = table.header.index("60-foot [s]")
    assert [row[at] for row in table.rows] == [1.41, 1.312]


def test_the_clock_stands_beside_the_crews_word_and_in_the_table() -> None:
    crew = Crew()
    for sixty in (1.431, 1.440, 1.452):
        crew.do("slip", run="new", sixty=sixty)
        crew.tell(symptoms=["it-is-good"])
        crew.say("ok")
    crew.do("already turned", adjuster="left front rebound", now="7", sides="both")
    crew.say("ran")
    crew.do("slip", sixty=1.418)
    (row,) = by_column(verdicts_table(crew.state, shipped()))
    assert str(row["60-foot says"]).startswith("Cannot tell")
    low, mean, high = (row[f"effect{end} [s]"] for end in (", low", "", ", high"))
    assert isinstance(low, float)
    assert isinstance(mean, float)
    assert isinstance(high, float)
    assert low < mean < 0.0 < high
    assert (row["order of passes"], row["worth having from [s]"]) == ("A-A-A-B", 0.01)
    text = as_markdown(event_sheet(crew.state, shipped())).replace("\\", "")
    assert "; 60-foot: cannot tell" in text
