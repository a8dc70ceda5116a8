"""The text of a table in a file that the crew picked or whose path it typed."""

from pathlib import Path

from profiles.reading import MOST_DYNO_BYTES, FileFaultError, read_text
from rules.question import AnswerError
from tui.visible import visible


def table_text(path: str) -> str:
    """Return the text of a file, within the limits of a dyno table.

    Raises:
        AnswerError: if it cannot be read.
    """
    # A path dropped into a terminal comes in quotes.
    file = Path(path.strip().strip("'\""))
    try:
        return read_text(file.expanduser(), MOST_DYNO_BYTES)
    except (FileFaultError, RuntimeError) as error:
        raise AnswerError(f"{visible(file.name, 40)}: {error}") from None
