"""A time slip typed with digits alone: one field after the other, in the order of the slip.

The decimal point is implied: three decimals in a time, two in a speed, so 1432 is 1.432 s.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from pydantic import TypeAdapter

from rules.passes import slip as slips
from rules.passes.slip import AskBack, Lane, Mark, Own, Slip, SlipField, questions
from rules.units import System


@dataclass(frozen=True)
class SlipLine:
    """One line of a slip as it is typed: `key` is the field of the slip, `of` what it is."""

    key: str
    of: SlipField

    @property
    def label(self) -> str:
        """Its words on the slip."""
        return self.of.line

    def unit(self, system: System) -> str:
        """Return the printed unit."""
        return self.of.unit(system)

    def size(self, system: System) -> float:
        """Return the crew's unit in SI."""
        return self.of.size(system)

    def number(self, typed: str) -> float | None:
        """Return what was typed as a number of the crew's unit; None where it is none yet."""
        if not typed.strip("-."):
            return None
        value = float(typed)
        return value if "." in typed else round(value / 10**self.of.decimals, self.of.decimals)

    def text(self, value: float) -> str:
        """Return a number of the crew's unit as digits of this field."""
        sign = "-" if value < 0 else ""
        return f"{sign}{round(abs(value) * 10**self.of.decimals):0{self.of.decimals + 1}d}"

    def shown(self, typed: str) -> str:
        """Return what was typed with its decimal point."""
        value = self.number(typed)
        return typed if value is None else f"{value:.{self.of.decimals}f}"

    def is_full(self, typed: str) -> bool:
        """Tell whether no further digit can belong to the number."""
        plain = typed.lstrip("-")
        if "." in plain:
            return len(plain.partition(".")[2]) >= self.of.decimals
        return len(plain) >= self.of.digits + (plain[:1] in self.of.longer if plain else False)


BY_KEY = {key: SlipLine(key, one) for key, one in slips.FIELDS.items()}
DIAL_IN = BY_KEY["dial_in_s"]
FIELDS = tuple(one for one in BY_KEY.values() if one is not DIAL_IN)
MARKS: tuple[Mark, ...] = ("lifted", "aborted", "spun", "red light")
MARK_LETTERS: dict[str, Mark] = {"l": "lifted", "s": "spun"}
LANES: tuple[Lane, ...] = ("left", "right")
_SLIP: TypeAdapter[Slip] = TypeAdapter(Slip)
LEFT_KEY, DIAL_KEY = len(MARKS) + 1, len(MARKS) + 3


@dataclass(frozen=True)
class Entry:
    """A slip as far as it is typed. `at` is the field, or the page of marks after the last.

    `kept` are the fields that the crew meant as they are; `own` is what the setting ran before.
    `asking` says that Enter at the end found a question that still waits; `over`, that the next
    digit replaces what stands in the field; `sent`, that it is ready to be recorded.
    """

    system: System
    typed: Mapping[str, str] = field(default_factory=dict)
    at: int = 0
    marks: tuple[Mark, ...] = ()
    lane: Lane | None = None
    dialling: bool = False
    kept: frozenset[str] = frozenset()
    own: Mapping[str, Own] = field(default_factory=dict)
    asking: bool = False
    over: bool = False
    sent: bool = False
    said: str = ""

    @property
    def on_marks(self) -> bool:
        """Whether the page of marks is open."""
        return self.at >= len(FIELDS)

    @property
    def field(self) -> SlipLine:
        """The field that takes digits now."""
        return DIAL_IN if self.on_marks else FIELDS[self.at]

    @property
    def question(self) -> AskBack | None:
        """What waits to be answered about the numbers left behind; the digits typed go on."""
        left = {one.key for one in FIELDS[: self.at]}
        if self.on_marks and not self.dialling:
            left.add(DIAL_IN.key)
        given = {key: value for key, value in numbers(self).items() if key in left}
        slip = made_slip(given, self.system, self.marks)
        return next((one for one in questions(slip, self.own) if one.field not in self.kept), None)


def begun(
    system: System,
    slip: Slip | None = None,
    lane: Lane | None = None,
    own: Mapping[str, Own] | None = None,
) -> Entry:
    """Return an empty entry, or one that starts from a slip in the log."""
    own = own or {}
    if slip is None:
        return Entry(system, lane=lane, own=own)
    typed = {
        key: one.text(value / one.size(system))
        for key, one in BY_KEY.items()
        if (value := getattr(slip, key)) is not None
    }
    kept = frozenset(one.field for one in questions(slip, own))
    marks = tuple(one for one in MARKS if one in slip.marks)
    return Entry(system, typed, marks=marks, lane=slip.lane or lane, kept=kept, own=own)


def numbers(entry: Entry) -> dict[str, float]:
    """Return every number typed, by the field of the slip, in the crew's units."""
    found = {key: one.number(entry.typed.get(key, "")) for key, one in BY_KEY.items()}
    return {key: value for key, value in found.items() if value is not None}


def made_slip(
    given: Mapping[str, float], system: System, marks: Iterable[Mark], lane: Lane | None = None
) -> Slip:
    """Return the slip of numbers in the crew's units."""
    si = {key: value * BY_KEY[key].size(system) for key, value in given.items()}
    return _SLIP.validate_python({**si, "marks": frozenset(marks), "lane": lane})


def slip_of(entry: Entry) -> Slip:
    """Return the slip as typed so far."""
    return made_slip(numbers(entry), entry.system, entry.marks, entry.lane)


def press(entry: Entry, key: str) -> Entry:
    """Return the entry after one key: a digit, ".", "-", "enter", "backspace", "up" or "down".

    A question takes the letters of `answers`. A digit is never one of them: whose eyes are on the
    slip types on.
    """
    entry = replace(entry, said="")
    asked = entry.question
    answer = _answer(entry, asked, key) if asked is not None else None
    if answer is not None:
        return replace(answer, asking=answer.asking and answer.question is not None)
    if entry.asking:
        digit = "A digit answers nothing here: Enter types it again."
        return replace(entry, said=digit if key in "0123456789" else "")
    if entry.on_marks and not entry.dialling:
        return _on_marks(entry, key)
    match key:
        case "enter" | "down":
            return _leave_field(entry)
        case "backspace":
            return _erase(entry)
        case "up":
            return replace(entry, at=max(0, entry.at - 1), dialling=False, over=False)
        case _ if len(key) == 1 and key in "0123456789.-":
            return _type(entry, key)
    return entry


def _type(entry: Entry, key: str) -> Entry:
    one = entry.field
    typed = entry.typed.get(one.key, "")
    if entry.over or one.is_full(typed):
        typed = ""
    misplaced = (key == "." and "." in typed) or (key == "-" and (typed or one.key != "reaction_s"))
    if misplaced:
        return entry
    typed += key
    kept = entry.kept - {one.key}
    entry = replace(entry, typed={**entry.typed, one.key: typed}, kept=kept, over=False)
    return _leave_field(entry) if one.is_full(typed) else entry


def _erase(entry: Entry) -> Entry:
    one = entry.field
    typed = entry.typed.get(one.key, "")
    if typed:
        kept = entry.kept - {one.key}
        return replace(entry, typed={**entry.typed, one.key: typed[:-1]}, kept=kept, over=False)
    if entry.dialling:
        return replace(entry, dialling=False)
    return replace(entry, at=max(0, entry.at - 1))


def _leave_field(entry: Entry) -> Entry:
    if entry.dialling:
        return replace(entry, dialling=False, over=False)
    return replace(entry, at=entry.at + 1, over=False)


def answers(asked: AskBack, system: System) -> dict[str, str]:
    """Return the letters that answer a question, with their words."""
    one, found = BY_KEY[asked.field], {}
    if asked.offer is not None:
        found["t"] = f"take {_shown(one, asked.offer, system)}"
    if not asked.impossible:
        found["k"] = f"keep {_shown(one, asked.found, system)}"
    return found | (MARK_LETTERS if asked.spoilt else {})


def _answer(entry: Entry, asked: AskBack, key: str) -> Entry | None:
    """Return the entry with a question answered; None where the key is no answer to it."""
    can = answers(asked, entry.system)
    nothing_typed = entry.asking or not entry.typed.get(entry.field.key, "")
    at_rest = nothing_typed or (entry.on_marks and not entry.dialling)
    match key:
        case "t" if key in can and asked.offer is not None:
            return replace(entry, typed=_with_offer(entry, asked, asked.offer))
        case "k" if key in can:
            return replace(entry, kept=entry.kept | {asked.field})
        case _ if key in MARK_LETTERS and key in can:
            named = {*entry.marks, MARK_LETTERS[key]}
            return replace(entry, marks=tuple(one for one in MARKS if one in named))
        case "backspace" if at_rest:
            return replace(_at(entry, asked.field), typed={**entry.typed, asked.field: ""})
        case "enter" if entry.asking:
            return replace(_at(entry, asked.field), over=True)
    return None


def _at(entry: Entry, key: str) -> Entry:
    """Return the entry at one of its fields."""
    keys = [one.key for one in FIELDS]
    at = keys.index(key) if key in keys else len(FIELDS)
    return replace(entry, at=at, dialling=at == len(FIELDS), asking=False)


def _with_offer(entry: Entry, asked: AskBack, offer: float) -> dict[str, str]:
    """Return what is typed with the offer taken; a number that stood elsewhere changes places."""
    one, typed = BY_KEY[asked.field], dict(entry.typed)
    offered = one.text(offer / one.size(entry.system))
    for other in FIELDS:
        if other.key != one.key and typed.get(other.key) == offered:
            typed[other.key] = typed[one.key]
    return {**typed, one.key: offered}


def _on_marks(entry: Entry, key: str) -> Entry:
    if key == "enter":
        return _send(entry)
    if key in ("backspace", "up"):
        return replace(entry, at=len(FIELDS) - 1)
    digit = int(key) if key.isdecimal() else 0
    if 1 <= digit <= len(MARKS):
        mark = MARKS[digit - 1]
        named = {*entry.marks} ^ {mark}
        return replace(entry, marks=tuple(one for one in MARKS if one in named))
    if LEFT_KEY <= digit < DIAL_KEY:
        lane = LANES[digit - LEFT_KEY]
        return replace(entry, lane=None if lane == entry.lane else lane)
    return replace(entry, dialling=True) if digit == DIAL_KEY else entry


def _send(entry: Entry) -> Entry:
    if not numbers(entry) and not entry.marks:
        return replace(entry, said="Nothing was typed: digits for a time, or a mark.")
    waits = entry.question is not None
    return replace(entry, asking=waits, sent=not waits)


def told(slip: Slip, system: System) -> str:
    """Say a slip in the crew's units: 60 ft 1.432 s, Eighth 6.512 s, ...; then its marks."""
    values = {key: getattr(slip, key) for key in BY_KEY}
    parts = [
        f"{one.label} {_shown(one, values[key], system)} {one.unit(system)}"
        for key, one in BY_KEY.items()
        if values[key] is not None
    ]
    parts += [f"{slip.lane} lane"] if slip.lane else []
    return ", ".join([*parts, *(one for one in MARKS if one in slip.marks)])


def asked_text(asked: AskBack, system: System, *, asking: bool = False) -> str:
    """Say a question with its answers, in the crew's units; `asking` where Enter is one of them."""
    told = [f"{key} {words}" for key, words in answers(asked, system).items()]
    why = why_text(asked, system)
    end = "" if why.endswith("?") else "."
    again = "Enter type again" if asking else "Backspace type again"
    return f"{why}{end} {', '.join([*told, again])}."


def why_text(asked: AskBack, system: System) -> str:
    """Say what is strange about a number, in the crew's units."""
    one = BY_KEY[asked.field]
    known = one.of
    heads = (f"{known.label} {asked.found:.3f} is", f"{known.label} {asked.found:g}")
    head = next((one.removesuffix(" is") for one in heads if asked.why.startswith(one)), None)
    if head is None:
        return f"{one.label} {_shown(one, asked.found, system)}: {asked.why}"
    tail = asked.why.removeprefix(head)
    if tail.startswith(": usual"):
        low, high = (f"{end / one.size(system):.3g}" for end in known.usual)
        tail = f": usual is {low} to {high} {one.unit(system)}"
    return f"{one.label} {_shown(one, asked.found, system)}{tail}"


def _shown(one: SlipLine, value: float, system: System) -> str:
    return one.shown(one.text(value / one.size(system)))
