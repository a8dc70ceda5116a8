"""Asks one question: digits choose, Enter takes the marked one, Backspace goes back."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from time import monotonic
from typing import Any

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Key, Paste
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, Static

from rules.digits import Digits
from rules.question import UNKNOWN, Choice, Given, Prompt
from tui.lines import PAGE, refused
from tui.widgets.fits_prompt import FitsPrompt, objection

BOUNCE_S = 0.08
LONGEST_TEXT = 10_000
NUMERALS = frozenset("0123456789.,-+")
DIGIT_KEYS = frozenset("0123456789.,-")
# Keys of a number pad that not every terminal names by their character.
PAD = {"decimal": ".", "subtract": "-"}
# How much longer the key that brought a question is ignored where its digits claim something.
CLAIM_PATIENCE = 4
TICK_CYCLE = {"": "ok", "ok": "fault", "fault": "not fitted", "not fitted": "ok"}
TICK_SHOWN = {"": "[    ]", "ok": "[ok  ]", "fault": "[BAD ]", "not fitted": "[none]"}
AFTER_BAD = {"fault": "ok", "ok": "not fitted", "not fitted": "fault"}
HELD_SHOWN = {"ok": "[ok ?]", "not fitted": "[none?]"}


class Typed(Input):
    """A line to type in. Where only a number fits, letters stay the keys of the screen."""

    number_only = False

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Tell whether a key is text here, and so not a key of the screen."""
        if self.number_only and not set(character or "x") <= NUMERALS:
            return False
        return super().check_consume_key(key, character)

    async def on_key(self, event: Key) -> None:
        if event.is_printable and not self.check_consume_key(event.key, event.character):
            event.prevent_default()

    def on_paste(self, event: Paste) -> None:
        event.stop()
        event.prevent_default()
        line = " ".join(event.text.splitlines())
        selection = self.selection
        if selection.is_empty:
            self.insert_text_at_cursor(line)
        else:
            self.replace(line, *selection)


class Asker(Vertical, can_focus=True):
    """The question widget of every screen.

    at_once: takes what a number of digits alone comes to before the next key, for that one goes on
        into the next question; a fast hand would overtake a message.
    """

    @dataclass
    class Taken(Message):
        """The crew answered."""

        prompt: Prompt
        value: Given

    class Back(Message):
        """The crew wants the question before this one."""

    @dataclass
    class Refused(Message):
        """A key could not be taken; the text says why."""

        text: str

    @dataclass
    class Line(Message):
        """What stands in a number that the screen shows."""

        text: str

    def __init__(
        self, settle_s: float = 0.25, at_once: Callable[[Message], object] | None = None
    ) -> None:
        super().__init__()
        self.settle_s = settle_s
        self._hand_over = at_once or self.post_message
        self.line = ""
        self._starts_over = False
        self.prompt = Prompt("none", "")
        self.page = 0
        self.cursor: int | None = None
        self.marked: list[str] = []
        self.ticks: Mapping[str, str] = {}
        self.held: dict[str, str] = {}
        self.sent: dict[str, str] = {}
        self._since = 0.0
        self._last_key = ("", 0.0)
        self._brought_by = ""
        self._erased = False

    def compose(self) -> ComposeResult:
        yield Static(id="question", markup=False)
        fits = FitsPrompt(lambda: self.prompt)
        yield Typed(
            id="typed", select_on_focus=False, max_length=LONGEST_TEXT, validators=fits,
            validate_on=("changed",),
        )  # fmt: skip
        yield Static(id="choices", markup=False)

    def ask(self, prompt: Prompt, ticks: Mapping[str, str] | None = None) -> None:
        """Show a question; keys that bounce over from the one before are ignored."""
        if prompt.id != self.prompt.id or prompt.about != self.prompt.about:
            self.page, self.marked = 0, []
            if prompt.digits is None or prompt.about != self.prompt.about:
                self._since = monotonic()
            self._starts_over = False
            self._brought_by = self._last_key[0]
            self.held, self._erased = {}, False
            self.query_one(Input).value = ""
            ids = [choice.id for choice in prompt.choices]
            chosen = prompt.kind == "one" and prompt.default in ids
            self.cursor = ids.index(prompt.default or "") if chosen else None
        self.prompt, self.line = prompt, prompt.line
        self.ticks, self.sent = ticks or {}, {}
        typed = self.query_one(Typed)
        typed.number_only = prompt.kind == "number"
        typed.display = prompt.kind in ("text", "number") and prompt.digits is None
        typed.placeholder = prompt.default or ""
        if typed.display:
            typed.focus()
        else:
            self.focus()
        self._draw()

    @property
    def _shown(self) -> list[Choice]:
        return list(self.prompt.choices[self.page * PAGE : (self.page + 1) * PAGE])

    def _draw(self) -> None:
        question = Text(self.prompt.question, style="bold")
        if self.prompt.hint:
            elsewhere = self._marked_elsewhere((self.size.width or 80) - 2)
            style = "bold" if self.prompt.beside else "not bold"
            question.append(f"\n{elsewhere or self.prompt.hint}", style=style)
        self.query_one("#question", Static).update(question)
        self.query_one("#choices", Static).update(self._choices())

    def _choices(self) -> Text:
        lines, abreast = Text(), self.prompt.abreast
        widest = max((len(one.label) for one in self._shown), default=0) if abreast > 1 else 0
        for number, choice in enumerate(self._shown, 1):
            index = self.page * PAGE + number - 1
            style = "reverse" if index == self.cursor else ""
            label = choice.label if number % abreast == 0 else f"{choice.label:<{widest}}"
            lines.append(f" {choice.key or number} {self._mark(choice)}{label}", style=style)
            lines.append(refused(choice))
            lines.append("" if number % abreast else "\n")
        tail = []
        if len(self.prompt.choices) > PAGE:
            pages = (len(self.prompt.choices) + PAGE - 1) // PAGE
            tail.append(f" 9 More (page {self.page + 1} of {pages})")
        if self.prompt.unknown and self.prompt.kind not in ("text", "number"):
            tail.append(" 0 Don't know")
        if not self.prompt.hint and (elsewhere := self._marked_elsewhere(35)):
            tail.append(elsewhere)
        lines.append("   ".join(tail))
        lines.rstrip()
        return lines

    def _marked_elsewhere(self, room: int) -> str:
        """Name what is marked on other pages; how many, where the row has no room for names."""
        shown = [choice.id for choice in self._shown]
        labels = {choice.id: choice.label for choice in self.prompt.choices}
        other = [labels[one] for one in self.marked if one not in shown and one in labels]
        names = f"Marked: {'; '.join(other)}"
        if not other or len(names) <= room:
            return names if other else ""
        return f"Marked on other pages: {len(other)}"

    def _mark(self, choice: Choice) -> str:
        if self.prompt.kind == "tick":
            if choice.id in self.held:
                return HELD_SHOWN[self.held[choice.id]] + " "
            return TICK_SHOWN[self.ticks.get(choice.id, "")] + " "
        if self.prompt.kind == "many":
            return "[x] " if choice.id in self.marked else "[ ] "
        return ""

    @property
    def settling(self) -> bool:
        """Whether the question is too new for a key to be meant for it."""
        return monotonic() - self._since < self.settle_s

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if said := objection(event):
            self.post_message(self.Refused(said))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self.settling:
            return
        if not event.value.strip() and not (self.prompt.default or self.prompt.optional):
            self.post_message(self.Refused("Type something first."))
            return
        blank = not event.value.strip() and self.prompt.optional
        self.post_message(self.Taken(self.prompt, UNKNOWN if blank else event.value))

    def on_key(self, event: Key) -> None:
        pressed = PAD.get(event.key, event.character or "").lower()
        beside = next((one for one in self.prompt.beside if one.key == pressed), None)
        if self.prompt.digits is not None:
            self._type_on(event, pressed, beside, self.prompt.digits)
            return
        typing = self.prompt.kind in ("text", "number")
        erased, self._erased = self._erased, False
        if event.key == "backspace" and typing and self.query_one(Input).value:
            self._erased = True
        elif event.key == "backspace":
            event.stop()
            if erased:  # A hand that erases may press once too often.
                self.post_message(self.Refused("The line is empty. Backspace again goes back."))
            elif not self.settling:
                self.post_message(self.Back())
            return
        if typing:
            return
        lettered = pressed.isalpha() and any(one.key == pressed for one in self._shown)
        handled = event.key in ("up", "down", "enter") or pressed.isdigit() or lettered or beside
        if not handled:
            return
        event.stop()
        event.prevent_default()
        if self.settling or self._bounced(event.key) or self._again(event.key):
            return
        if beside is not None:
            self.post_message(self.Taken(self.prompt, beside.id))
        elif event.key in ("up", "down"):
            self._walk(-1 if event.key == "up" else 1)
        elif event.key == "enter":
            self._enter()
        elif any(one.key == pressed for one in self._shown):
            self._choose(next(one for one in self._shown if one.key == pressed))
        elif self.prompt.asks_back:
            self.post_message(self.Refused("A digit answers nothing here: a letter does."))
        else:
            self._digit(int(pressed))

    def _type_on(self, event: Key, pressed: str, beside: Choice | None, digits: Digits) -> None:
        """Take a key of a number that is typed with digits alone, before the next one is read."""
        is_digit = pressed in DIGIT_KEYS
        if not (is_digit or beside or event.key in ("enter", "backspace", "up", "down")):
            return
        event.stop()
        event.prevent_default()
        erased, self._erased = self._erased, False
        if self.settling or self._bounced(event.key):
            return
        if is_digit:
            before = "" if self._starts_over else self.line
            line = digits.after(before, pressed)
            if line != before:
                self._type(line)
                if digits.is_full(line):
                    self._hand_over(self.Taken(self.prompt, line))
        elif beside is not None:
            self._hand_over(self.Taken(self.prompt, beside.id))
        elif event.key in ("enter", "down"):
            self._hand_over(self.Taken(self.prompt, self.line or UNKNOWN))
        elif event.key == "backspace" and self.line:
            self._erased = True
            self._type(self.line[:-1])
        elif erased and event.key == "backspace":
            self.post_message(self.Refused("The line is empty. Backspace again goes back."))
        else:
            self._hand_over(self.Back())

    def _type(self, line: str) -> None:
        self.line, self._starts_over = line, False
        self._hand_over(self.Line(line))

    def _bounced(self, key: str) -> bool:
        """Tell whether a key came again faster than a hand presses it twice."""
        last, self._last_key = self._last_key, (key, monotonic())
        return key == last[0] and monotonic() - last[1] < min(BOUNCE_S, self.settle_s)

    def _again(self, key: str) -> bool:
        """Tell whether the key that brought a question came again before a hand could act."""
        soon = monotonic() - self._since < CLAIM_PATIENCE * self.settle_s
        return self.prompt.claims and soon and key == self._brought_by

    def select_typed(self) -> None:
        """Mark what was refused, so that the next key replaces it."""
        self._starts_over = True
        typed = self.query_one(Typed)
        if typed.display:
            typed.select_all()

    def _walk(self, by: int) -> None:
        last = len(self.prompt.choices) - 1
        if last < 0:
            return
        start = self.page * PAGE - (1 if by > 0 else 0) if self.cursor is None else self.cursor
        self.cursor = min(last, max(0, start + by))
        self.page = self.cursor // PAGE
        self._draw()

    def _digit(self, digit: int) -> None:
        if digit == 0:
            if self.prompt.kind == "many" and self.marked:
                self.post_message(self.Refused("Don't know goes alone: take the marks off first."))
            elif self.prompt.unknown:
                many = self.prompt.kind == "many"
                self.post_message(self.Taken(self.prompt, (UNKNOWN,) if many else UNKNOWN))
            return
        if digit == 9:
            pages = (len(self.prompt.choices) + PAGE - 1) // PAGE
            self.page = (self.page + 1) % max(1, pages)
            self.cursor = None
            self._draw()
            return
        if digit <= len(self._shown) and not self._shown[digit - 1].key:
            self._choose(self._shown[digit - 1])

    def _choose(self, choice: Choice) -> None:
        if choice.why_not:
            self.post_message(self.Refused(f"{choice.label}: {choice.why_not}."))
        elif self.prompt.kind == "many":
            if choice.id in self.marked:
                self.marked.remove(choice.id)
            elif clash := self.prompt.clash((*self.marked, choice.id)):
                self.post_message(self.Refused(f"{clash}."))
            else:
                self.marked.append(choice.id)
            self._draw()
        elif self.prompt.kind == "tick":
            self._tick(choice)
        else:
            self.post_message(self.Taken(self.prompt, choice.id))

    def _tick(self, choice: Choice) -> None:
        """Tick one item; what would close the list or lift a BAD is held until Enter."""
        ticks = {**self.ticks, **self.sent}
        stored = ticks.get(choice.id, "")
        now = self.held.pop(choice.id, stored)
        mark = AFTER_BAD[now] if stored == "fault" else TICK_CYCLE[now]
        closes = all(
            ticks.get(other.id) in ("ok", "not fitted")
            for other in self.prompt.choices
            if other.id != choice.id
        )
        if mark == stored:
            self._draw()
        elif mark != "fault" and (closes or stored == "fault"):
            self.held = {choice.id: mark}
            self._draw()
            bad = stored == "fault"
            asks = "Repaired or replaced? Enter takes it." if bad else "Enter closes the list."
            self.post_message(self.Refused(asks))
        else:
            self.sent[choice.id] = mark
            self.post_message(self.Taken(self.prompt, {choice.id: mark}))

    def _enter(self) -> None:
        if self.prompt.kind == "many" and self.marked:
            self.post_message(self.Taken(self.prompt, tuple(self.marked)))
        elif self.prompt.kind == "many" and self.cursor is None and self.prompt.default:
            self.post_message(self.Taken(self.prompt, (self.prompt.default,)))
        elif self.prompt.kind == "tick" and self.held:
            held, self.held = self.held, {}
            self.post_message(self.Taken(self.prompt, held))
        elif self.cursor is not None:
            self._choose(self.prompt.choices[self.cursor])
        elif self.prompt.kind == "tick" and "fault" in self.ticks.values():
            self.post_message(
                self.Refused("BAD stands: repair or replace it; then its digit, and Enter.")
            )
        elif self.prompt.kind == "tick":
            left = sum(1 for c in self.prompt.choices if self.ticks.get(c.id, "") in ("", "fault"))
            self.post_message(
                self.Refused(f"{left} left: press a digit once for ok, twice for bad.")
            )
        elif not self.prompt.choices:
            return
        elif all(choice.why_not for choice in self.prompt.choices):
            self.post_message(self.Refused("Nothing to choose here now: Esc leaves."))
        else:
            key = "letter" if self.prompt.asks_back else "digit"
            self.post_message(self.Refused(f"Press the {key} of your answer."))


def is_open(screen: Screen[Any], event: Asker.Taken) -> bool:
    """Tell whether an answer is of the question that stands on the screen in front.

    Of two keys pressed faster than the screen follows, the first one answered and the second one
    was meant for nothing that could be read.
    """
    return screen.app.screen is screen and event.prompt.id == screen.query_one(Asker).prompt.id
