"""What a car file said before its last edit."""

from typing import NamedTuple

from rules.car.model import Car


class FileBefore(NamedTuple):
    """The car as the file before the last edit has it, or why there is none to go back to."""

    car: Car | None = None
    why_not: str = "there is no file before this one"


NO_FILE = FileBefore(why_not="no car file is kept here")
