"""Keys of a slip without a screen: what the question widget makes of each of them."""

from rules.passes.slip_entry import Entry, answered, gone_back, prompt_of, with_line
from rules.question import UNKNOWN, AnswerError


def press(entry: Entry, key: str) -> Entry:
    """Return the entry after a digit, ".", "-", a letter, "enter", "backspace", "up" or "down"."""
    try:
        return _pressed(entry, key)
    except AnswerError:
        return entry


def _pressed(entry: Entry, key: str) -> Entry:
    prompt = prompt_of(entry)
    letters = (one.id for one in (*prompt.beside, *prompt.choices) if one.key == key)
    if letter := next(letters, None):
        return answered(entry, letter)
    if key in ("backspace", "up") and (key == "up" or not prompt.line):
        return gone_back(entry) or entry
    if prompt.digits is None:
        if key.isdecimal() and not prompt.asks_back:
            fit = prompt.choices[int(key) - 1 : int(key)] if key != "0" else ()
            return answered(entry, fit[0].id) if fit and not fit[0].key else entry
        return answered(entry, prompt.default or "") if key == "enter" else entry
    if key in ("enter", "down"):
        return answered(entry, prompt.line or UNKNOWN)
    if key == "backspace":
        return with_line(entry, prompt.line[:-1])
    line = prompt.digits.after(prompt.line, key) if key in "0123456789.,-" else prompt.line
    full = line != prompt.line and prompt.digits.is_full(line)
    return answered(with_line(entry, line), line) if full else with_line(entry, line)
