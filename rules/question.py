"""One question and what answers it: the prompt, its choices, and the check of an answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Literal

from rules.asked import public_id

if TYPE_CHECKING:
    from rules.digits import Digits

PromptKind = Literal["one", "many", "tick", "number", "text"]


@dataclass(frozen=True)
class Choice:
    """One answer. `why_not` disables it and says why.

    `key` picks it on the screen in place of its number: a letter where something is asked back, for
    the digits of a number being typed may still be on their way. `means` is the choice it comes
    to, where its own id says more than that.
    """

    id: str
    label: str
    why_not: str = ""
    key: str = ""
    means: str = ""


@dataclass(frozen=True)
class Prompt:
    """One question. `default` is what Enter takes; `about` is what the screen draws with it.

    `topic` says what is asked, `subject` of which adjuster or list. `alone` are choices that say
    there is nothing else, and so are never marked with another. `decimals` are implied where only
    digits were typed: 1412 is a 60-foot. `blank` says what an answer left out means. `claims`
    says that its digits tell what a hand did or that the car ran.

    A number with `digits` is typed with digits alone and shown by the screen; whose eyes are on a
    paper types on, so it is taken when it is whole. `line` stands in it already. `beside` are
    letters that answer what is asked back of something else meanwhile; the hint tells them.
    """

    topic: str
    question: str
    kind: PromptKind = "one"
    choices: tuple[Choice, ...] = ()
    hint: str = ""
    default: str | None = None
    unknown: bool = False
    low: float = float("-inf")
    high: float = float("inf")
    unit: str = ""
    optional: bool = False
    longest: int = 10_000
    about: object = None
    subject: str = ""
    reason: str = ""
    notice: str = ""
    alone: tuple[str, ...] = ()
    decimals: int = 0
    claims: bool = False
    blank: str = "Don't know"
    digits: Digits | None = None
    line: str = ""
    beside: tuple[Choice, ...] = ()

    @property
    def id(self) -> str:
        """How it is named in answer files and JSON."""
        return public_id(self.topic, self.subject)

    @property
    def asks_back(self) -> bool:
        """Whether letters answer, and no digit does."""
        return bool(self.choices) and all(choice.key.isalpha() for choice in self.choices)

    @property
    def letters(self) -> frozenset[str]:
        """The letters that answer it, or what is asked back beside it."""
        return frozenset(one.key for one in (*self.choices, *self.beside) if one.key.isalpha())

    def meant(self, value: object) -> str:
        """Return which choice an answer comes to."""
        means = next((one.means for one in self.choices if one.id == value), "")
        return means or str(value)

    def clash(self, marked: Sequence[str]) -> str:
        """Say why these choices cannot be marked together, or nothing."""
        one = next((one for one in marked if one in self.alone), None)
        if one is None or len(set(marked)) < 2:
            return ""
        label = next((c.label for c in self.choices if c.id == one), self.blank)
        return f"{label!r} goes alone: take the other marks off, or leave it"


NewId = Callable[[], str]


Given = str | float | tuple[str, ...] | Mapping[str, str]


class AnswerError(ValueError):
    """An answer does not fit its prompt; the message says what was found and what is wanted."""


class ActionError(ValueError):
    """An action cannot be taken now; the message says why."""


def check(prompt: Prompt, value: Given) -> Given:
    """Return the answer in its right type.

    Raises:
        AnswerError: naming the prompt, what was found and what is wanted.
    """
    if isinstance(value, str) and any(one.id == value for one in prompt.beside):
        return value
    match prompt.kind:
        case "one":
            return _check_choice(prompt, value)
        case "many":
            many = (value,) if isinstance(value, str) else value
            if not isinstance(many, tuple) or not many:
                raise _misfit(prompt, value, "at least one of " + _ids(prompt))
            marked = tuple(_check_choice(prompt, one) for one in dict.fromkeys(many))
            if clash := prompt.clash(marked):
                raise AnswerError(f"{prompt.id}: {clash}")
            return marked
        case "number":
            return _check_number(prompt, value)
        case "text":
            return _check_text(prompt, value)
        case "tick":
            return _check_ticks(prompt, value)


def _check_choice(prompt: Prompt, value: Given) -> str:
    if value == UNKNOWN and prompt.unknown:
        return UNKNOWN
    for choice in prompt.choices:
        if choice.id == value:
            if choice.why_not:
                raise _misfit(prompt, value, f"another answer: {choice.why_not}")
            return choice.id
    raise _misfit(prompt, value, "one of " + _ids(prompt))


def _check_number(prompt: Prompt, value: Given) -> str | float:
    if isinstance(value, int) and abs(value) >= 2**63:
        raise AnswerError(f"{prompt.id}: found a number too large to hold; wanted a smaller one")
    typed = str(value).strip()
    blank = value in ("", UNKNOWN) or (prompt.digits is not None and not typed.strip("-.,"))
    if blank and prompt.optional:
        return UNKNOWN
    wanted = f"{prompt.low:g} to {prompt.high:g} {prompt.unit}".strip()
    try:
        alone = prompt.digits.number(typed) if prompt.digits and isinstance(value, str) else None
        number = float(typed.replace(",", ".")) if alone is None else alone
    except ValueError:
        raise _misfit(prompt, value, wanted) from None
    if prompt.decimals and typed.isdecimal() and number > prompt.high:
        number = round(number / 10**prompt.decimals, prompt.decimals)
    if not (isfinite(number) and prompt.low <= number <= prompt.high):
        raise _misfit(prompt, value, wanted)
    return number


def _check_text(prompt: Prompt, value: Given) -> str:
    if not isinstance(value, str | int | float):
        raise _misfit(prompt, value, "some text")
    text = str(value).strip() or prompt.default or ""
    if not text and prompt.optional:
        return UNKNOWN
    if not text:
        raise _misfit(prompt, value, "some text")
    if len(text) > prompt.longest:
        raise AnswerError(
            f"{prompt.id}: found {len(text)} characters; wanted at most {prompt.longest}"
        )
    return text


def _check_ticks(prompt: Prompt, value: Given) -> Mapping[str, str]:
    items = [choice.id for choice in prompt.choices]
    ticks = dict.fromkeys(items, "ok") if value == "all ok" else value
    if not isinstance(ticks, Mapping) or not ticks:
        raise _misfit(prompt, value, "'all ok', or marks by item: ok, fault or not fitted")
    for item, mark in ticks.items():
        if item not in items:
            raise _misfit(prompt, item, "items among " + _ids(prompt))
        if mark not in ("ok", "fault", "not fitted"):
            raise _misfit(prompt, mark, "marks ok, fault or not fitted")
    return ticks


def _ids(prompt: Prompt) -> str:
    ids = [choice.id for choice in prompt.choices] + ([UNKNOWN] if prompt.unknown else [])
    return ", ".join(ids)


def _misfit(prompt: Prompt, value: object, wanted: str) -> AnswerError:
    found = repr(value)
    found = found if len(found) <= 60 else found[:57] + "..."
    return AnswerError(f"{prompt.id}: found {found}; wanted {wanted}")


UNKNOWN = "unknown"
