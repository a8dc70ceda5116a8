"""A time slip as a list of questions: one field after the other, in the order of the slip.

What is strange about a number is asked back beside the questions that follow, by letters: whose
eyes are on the slip types on. What still waits at the end is a question of its own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache

from pydantic import TypeAdapter

from rules.passes import slip as slips
from rules.passes.marks import Mark
from rules.passes.slip import AskBack, Lane, Own, Slip, SlipField, questions
from rules.question import Choice, Given, Prompt, check
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

    def typed(self, value: float, system: System) -> str:
        """Return a number in SI as the digits it is typed with."""
        return self.of.digits.text(value / self.size(system))

    def told(self, value: float, system: System) -> str:
        """Return a number in SI as it stands on a slip."""
        return self.of.digits.shown(self.typed(value, system))


BY_KEY = {key: SlipLine(key, one) for key, one in slips.FIELDS.items()}
DIAL_IN = BY_KEY["dial_in_s"]
FIELDS = tuple(one for one in BY_KEY.values() if one is not DIAL_IN)
MARKS: tuple[Mark, ...] = ("lifted", "aborted", "spun", "red light")
LANES: tuple[Lane, ...] = ("left", "right")


@cache
def _slip() -> TypeAdapter[Slip]:
    """Return what reads a slip; building it takes long, and the first question needs none."""
    return TypeAdapter(Slip)


_SPOILT = (Choice("lifted", "lifted", key="l"), Choice("spun", "spun", key="s"))
# Choices of the questions after the numbers, and of what is asked back.
DIAL, RECORD = "dial-in", "record"
TAKE, KEEP, AGAIN = "take", "keep", "again"
HINT = "Digits only, three decimals of a time: 1432 is 1.432. Enter: not on the slip."
HINT_SPILLED = "A digit too many of {label} is left out: {shown} stands. Go on here."
HINT_MARKS = "Digits mark. Enter records it; Enter alone: a clean pass."


@dataclass(frozen=True)
class Entry:
    """A slip as far as it is typed. `at` is the field, or the page of marks after the last.

    `kept` are the fields that the crew meant as they are; `own` is what the setting ran before.
    `asking` says that the end found a question that still waits; `sent`, that it is ready to be
    recorded; `spilled`, of which field a digit too many has just been left out. `stood` is what the
    open field held, and whether it was kept, before anything was typed in it.
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
    sent: bool = False
    spilled: str = ""
    stood: tuple[str, bool] | None = None

    @property
    def on_marks(self) -> bool:
        """Whether the numbers are behind: the page of marks is open, or the dial-in from it."""
        return self.at >= len(FIELDS)

    @property
    def field(self) -> SlipLine | None:
        """The field that takes digits now, if any."""
        if self.asking or (self.on_marks and not self.dialling):
            return None
        return DIAL_IN if self.on_marks else FIELDS[self.at]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to record."""
        return not numbers(self) and not self.marks

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
        key: one.typed(value, system)
        for key, one in BY_KEY.items()
        if (value := getattr(slip, key)) is not None
    }
    kept = frozenset(one.field for one in questions(slip, own))
    marks = tuple(one for one in MARKS if one in slip.marks)
    return Entry(system, typed, marks=marks, lane=slip.lane or lane, kept=kept, own=own)


def numbers(entry: Entry) -> dict[str, float]:
    """Return every number typed, by the field of the slip, in the crew's units."""
    found = {key: one.of.digits.number(entry.typed.get(key, "")) for key, one in BY_KEY.items()}
    return {key: value for key, value in found.items() if value is not None}


def made_slip(
    given: Mapping[str, float], system: System, marks: Iterable[Mark], lane: Lane | None = None
) -> Slip:
    """Return the slip of numbers in the crew's units."""
    si = {key: value * BY_KEY[key].size(system) for key, value in given.items()}
    return _slip().validate_python({**si, "marks": frozenset(marks), "lane": lane})


def slip_of(entry: Entry) -> Slip:
    """Return the slip as typed so far."""
    return made_slip(numbers(entry), entry.system, entry.marks, entry.lane)


def prompt_of(entry: Entry) -> Prompt:
    """Return the question that is open; what waits to be answered goes along beside it."""
    one, asked = entry.field, entry.question
    if entry.asking and asked is not None:
        return replace(asked_back(asked, entry.system), about="slip")
    beside = answers(asked, entry.system) if asked else ()
    told = asked_text(asked, entry.system) if asked else ""
    if one is None:
        return Prompt(
            "marks",
            "Marks, lane, dial-in",
            choices=mark_choices(entry),
            hint=told or HINT_MARKS,
            default=RECORD,
            about="slip",
            beside=beside,
        )
    return Prompt(
        one.of.name,
        one.label,
        "number",
        hint=told or _spilled_hint(entry) or HINT,
        unit=one.unit(entry.system),
        optional=True,
        about="slip",
        digits=one.of.digits,
        line=entry.typed.get(one.key, ""),
        beside=beside,
    )


def mark_choices(entry: Entry) -> tuple[Choice, ...]:
    """Return what can be said after the numbers, as it stands."""
    dial = DIAL_IN.of.digits.shown(entry.typed.get(DIAL_IN.key, ""))
    why_not = "nothing was typed" if entry.is_empty else ""
    return (
        *(Choice(one, f"{_ticked(one in entry.marks)} {one.capitalize()}") for one in MARKS),
        *(Choice(one, f"{_ticked(one == entry.lane)} {one.capitalize()} lane") for one in LANES),
        Choice(DIAL, f"    Dial-in {dial:>9} s"),
        Choice(RECORD, "Record it", why_not, key="r"),
    )


def _ticked(is_so: bool) -> str:
    return "[x]" if is_so else "[ ]"


def asked_back(asked: AskBack, system: System) -> Prompt:
    """Ask what was meant by a strange number, as a question of its own."""
    found = (*answers(asked, system), Choice(AGAIN, "type it again", key="a"))
    return Prompt(
        "asked back",
        why_text(asked, system),
        choices=tuple(replace(one, label=one.label.capitalize()) for one in found),
        default=AGAIN,
    )


def answers(asked: AskBack, system: System) -> tuple[Choice, ...]:
    """Return what answers a question, by letters."""
    one, found = BY_KEY[asked.field], []
    if asked.offer is not None:
        found.append(Choice(TAKE, f"it is {one.told(asked.offer, system)}", key="t"))
    if not asked.impossible:
        found.append(Choice(KEEP, f"{one.told(asked.found, system)} is right", key="k"))
    return (*found, *(_SPOILT if asked.spoilt else ()))


def answered(entry: Entry, value: Given) -> Entry:
    """Return the entry with its open question answered, or with what is asked back beside it.

    Raises:
        AnswerError: the answer fits neither.
    """
    said, asked, one = check(prompt_of(entry), value), entry.question, entry.field
    if asked is not None and said == TAKE and asked.offer is not None:
        entry = replace(entry, typed=_with_offer(entry, asked, asked.offer))
    elif asked is not None and said == KEEP:
        entry = replace(entry, kept=entry.kept | {asked.field})
    elif asked is not None and said == AGAIN:
        return _at(entry, asked.field)
    elif said == RECORD:
        return replace(entry, asking=asked is not None, sent=asked is None)
    elif said == DIAL:
        return replace(entry, dialling=True)
    elif mark := next((one for one in MARKS if one == said), None):
        named = {*entry.marks} ^ {mark}
        entry = replace(entry, marks=tuple(one for one in MARKS if one in named))
    elif lane := next((one for one in LANES if one == said), None):
        return replace(entry, lane=None if lane == entry.lane else lane)
    elif one is not None and is_spilled(entry, one, value):
        return replace(_as_it_stood(entry), spilled=FIELDS[entry.at - 1].key)
    elif one is not None:
        number = one.of.digits.text(said) if isinstance(said, float) else ""
        entry = with_line(entry, value if number and isinstance(value, str) else number)
        return replace(entry, dialling=False, at=entry.at + (not entry.dialling), stood=None)
    return replace(entry, asking=entry.asking and entry.question is not None)


def with_line(entry: Entry, line: str) -> Entry:
    """Return the entry with what is typed in its open field so far; what changed is asked anew."""
    one = entry.field
    if one is None or line == entry.typed.get(one.key, ""):
        return entry
    return replace(
        entry,
        typed={**entry.typed, one.key: line},
        kept=entry.kept - {one.key},
        spilled="",
        stood=entry.stood or (entry.typed.get(one.key, ""), one.key in entry.kept),
    )


def _as_it_stood(entry: Entry) -> Entry:
    """Return the entry with its open field as it was before anything was typed in it."""
    one, stood = entry.field, entry.stood
    if one is None or stood is None:
        return entry
    line, was_kept = stood
    kept = entry.kept | {one.key} if was_kept else entry.kept
    return replace(entry, typed={**entry.typed, one.key: line}, kept=kept, stood=None)


def is_spilled(entry: Entry, one: SlipLine, value: Given) -> bool:
    """Tell whether a line that is entered is the last decimal of the number before it.

    A number that was whole went on by itself, so a fourth decimal lands alone in the next field,
    where no number of one digit is possible.
    """
    if not (isinstance(value, str) and len(value) == 1 and value.isdecimal()):
        return False
    if entry.dialling or not 0 < entry.at < len(FIELDS):
        return False
    before = FIELDS[entry.at - 1]
    number = one.of.digits.number(value)
    low, _ = one.of.possible
    too_small = number is not None and number * one.size(entry.system) < low
    return too_small and before.of.digits.is_full(entry.typed.get(before.key, ""))


def _spilled_hint(entry: Entry) -> str:
    if not entry.spilled:
        return ""
    one = BY_KEY[entry.spilled]
    shown = one.of.digits.shown(entry.typed[one.key])
    return HINT_SPILLED.format(label=one.label, shown=shown)


def gone_back(entry: Entry) -> Entry | None:
    """Return the entry at the question before; at what is asked back, where the line is empty."""
    asked, one = entry.question, entry.field
    if asked is not None and not (one and entry.typed.get(one.key, "")):
        return with_line(_at(entry, asked.field), "")
    if entry.dialling:
        return replace(entry, dialling=False, stood=None)
    return replace(entry, at=entry.at - 1, stood=None) if entry.at else None


def _at(entry: Entry, key: str) -> Entry:
    """Return the entry at one of its fields."""
    keys = [one.key for one in FIELDS]
    at = keys.index(key) if key in keys else len(FIELDS)
    return replace(entry, at=at, dialling=at == len(FIELDS), asking=False, stood=None)


def _with_offer(entry: Entry, asked: AskBack, offer: float) -> dict[str, str]:
    """Return what is typed with the offer taken; a number that stood elsewhere changes places."""
    one, typed = BY_KEY[asked.field], dict(entry.typed)
    offered = one.of.digits.number(one.typed(offer, entry.system))
    for other in FIELDS:
        alike = other.key != one.key and other.of.quantity is one.of.quantity
        if alike and other.of.digits.number(typed.get(other.key, "")) == offered:
            typed[other.key] = typed[one.key]
    return {**typed, one.key: one.typed(offer, entry.system)}


def told(slip: Slip, system: System) -> str:
    """Say a slip in the crew's units: 60 ft 1.432 s, Eighth 6.512 s, ...; then its marks."""
    values = {key: getattr(slip, key) for key in BY_KEY}
    parts = [
        f"{one.label} {one.told(values[key], system)} {one.unit(system)}"
        for key, one in BY_KEY.items()
        if values[key] is not None
    ]
    parts += [f"{slip.lane} lane"] if slip.lane else []
    return ", ".join([*parts, *(one for one in MARKS if one in slip.marks)])


def asked_text(asked: AskBack, system: System) -> str:
    """Say what is asked back with its answers, in the crew's units."""
    told = [f"{one.key}: {one.label}" for one in answers(asked, system)]
    why = why_text(asked, system)
    end = "" if why.endswith("?") else "."
    return f"{why}{end} {', '.join([*told, 'Backspace: again'])}."


def why_text(asked: AskBack, system: System) -> str:
    """Say what is strange about a number, in the crew's units."""
    one = BY_KEY[asked.field]
    known = one.of
    heads = (f"{known.label} {asked.found:.3f} is", f"{known.label} {asked.found:g}")
    head = next((one.removesuffix(" is") for one in heads if asked.why.startswith(one)), None)
    if head is None:
        return f"{one.label} {one.told(asked.found, system)}: {asked.why}"
    tail = asked.why.removeprefix(head)
    if tail.startswith(": usual"):
        low, high = (f"{end / one.size(system):.3g}" for end in known.usual)
        tail = f": usual is {low} to {high} {one.unit(system)}"
    return f"{one.label} {one.told(asked.found, system)}{tail}"
