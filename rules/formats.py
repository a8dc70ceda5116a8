"""The files that a crew keeps, each with the number of its format; 1 where the file has none.

A number goes up when a key comes, goes or changes its meaning: an older program then refuses the
file in one sentence, and a step here makes an older file one of today.
"""

from collections.abc import Callable, Mapping, MutableMapping
from typing import Any, NamedTuple


class Format(NamedTuple):
    """What a file is called, the key that holds its number, and the number of today.

    as_it_stands: an older file is read so, because nothing in it means something else today.
    """

    name: str
    key: str
    number: int = 1
    as_it_stands: bool = False

    def of(self, raw: Mapping[str, Any]) -> int:
        """Return the number of a file.

        Raises:
            FormatError: if there cannot be such a file, or a newer program wrote it.
        """
        found = raw.get(self.key, 1)
        if isinstance(found, bool) or not isinstance(found, int) or found < 1:
            raise FormatError(self, repr(found)[:20], str(self.number))
        if found > self.number:
            wanted = f"{self.number}: a newer Setdown wrote this {self.name}; update this one first"
            raise FormatError(self, str(found), wanted)
        return found


class FormatError(ValueError):
    """A file cannot be read because of its format: what was found, and what is wanted."""

    def __init__(self, one: Format, found: str, wanted: str) -> None:
        super().__init__(f"{one.key}: found {found}; wanted {wanted}")
        self.where, self.found, self.wanted = one.key, found, wanted


Step = Callable[[MutableMapping[str, Any]], None]


def _more_keys(_: MutableMapping[str, Any]) -> None:
    """Leave a file as it is: what came can all be left out, and then means as before."""


STEPS: dict[tuple[str, int], Step] = {
    **{("setdown_car", number): _more_keys for number in (1, 2, 3, 4)},
    ("setdown_rules", 1): _more_keys,
}
"""By the key of a format and its number: what makes a file one of the next number, in place."""


def brought_up(data: MutableMapping[str, Any], form: Format) -> None:
    """Make the data of a file that of today's format, in place.

    Raises:
        FormatError: if there cannot be such a file, or a newer program wrote it.
    """
    for number in range(form.of(data), form.number):
        STEPS[form.key, number](data)
        data[form.key] = number + 1


def told(fault: Mapping[str, Any]) -> str:
    """Return what pydantic found wrong; of an unknown key, that a newer program may know it."""
    unknown = fault["type"] == "extra_forbidden"
    return "a key that this Setdown does not know" if unknown else str(fault["msg"])


CAR_FORMAT = Format("car file", "setdown_car", 5)
RULE_FORMAT = Format("rule page", "setdown_rules", 2, as_it_stands=True)
ANSWERS_FORMAT = Format("answers file", "setdown_answers")
EXPORT_FORMAT = Format("export", "format")
