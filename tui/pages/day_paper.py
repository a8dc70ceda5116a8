"""The day on paper: its pictures in plain characters, every pass, and where the time is."""

from rules.book import Book
from rules.log.state import State
from tui.drawn.plain_plot import plain_plot
from tui.lines import spoken
from tui.pages.day import day_lines, split_lines
from tui.pages.day_drawings import responses
from tui.pages.day_pictures import sixty_picture
from tui.visible import visible

WIDTH, HEIGHT = 78, 20
SIGNS = str.maketrans({"○": "o", "●": "*", "×": "x", "−": "-", "→": ">"})
KEY = "o before the last change, * since, x not counted, . 9 in 10 without it"


def day_paper(state: State, book: Book) -> list[str]:
    """Return the day as lines that any printer takes."""
    meeting = state.meeting.name if state.meeting else "no event yet"
    car = state.described_car.name
    rows = [visible(f"{car}, {meeting}"), ""]
    picture = sixty_picture(state)
    if picture is not None:
        rows += [*plain_plot(picture, WIDTH, HEIGHT), KEY, *_changes(state), ""]
    rows += [*responses(state, WIDTH), "", *day_lines(state, book, WIDTH), ""]
    return [row.translate(SIGNS) for row in (*rows, *split_lines(state, WIDTH))]


def _changes(state: State) -> list[str]:
    picture = sixty_picture(state)
    uprights = picture.uprights if picture else ()
    return [spoken(state, f"| before pass {one.x + 0.5:g}: {one.words}") for one in uprights]
