"""Asks one question: digits choose, Enter takes the marked one, Backspace goes back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key, Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static

from rules.asked import TurnChoice
from rules.question import UNKNOWN, Choice, Given, Prompt
from tui.arranged import HIGH_FROM
from tui.lines import PAGE, prompt_rows
from tui.widgets.choices import Choices, asked_text, marked_elsewhere
from tui.widgets.fits_prompt import FitsPrompt, objection
from tui.widgets.pace import Pace
from tui.widgets.tick_marks import TickMarks
from tui.widgets.typed import Typed

if TYPE_CHECKING:
    from rules.digits import Digits

LONGEST_TEXT = 10_000
DIGIT_KEYS = frozenset("0123456789.,-")
# Keys of a number pad that not every terminal names by their character.
PAD = {"decimal": ".", "subtract": "-"}


class Asker(Vertical, can_focus=True):
    """The question widget of every screen.

    at_once: takes what a number of digits alone comes to before the next key, for that one goes on
        into the next question; a fast hand would overtake a message.
    """

    BINDINGS = [
        # What they do is in `on_key`, which drops a key that comes too soon; the footer reads them.
        Binding(
            "enter", "take", "take", key_display="Enter", id="asker.take",
            tooltip="Take what is marked",
        ),
        Binding(
            "enter", "not_yet", "not yet", key_display="Enter", id="asker.not-yet",
            tooltip="Not yet: nothing is recorded",
        ),
        Binding(
            "backspace", "back", "back", key_display="Bksp", id="asker.back",
            tooltip="The question before",
        ),
    ]  # fmt: skip

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
        self.pace = Pace(settle_s)
        self._hand_over = at_once or self.post_message
        self.line = ""
        self._starts_over = False
        self.prompt = Prompt("none", "")
        self.page = 0
        self.cursor: int | None = None
        self.marked: list[str] = []
        self.ticks = TickMarks()
        self._erased = False
        self.room, self.width = 0, 0
        self._drawn_for = 0

    def compose(self) -> ComposeResult:
        yield Static(id="question", markup=False)
        fits = FitsPrompt(lambda: self.prompt)
        yield Typed(
            id="typed", select_on_focus=False, max_length=LONGEST_TEXT, validators=fits,
            validate_on=("changed",),
        )  # fmt: skip
        yield Choices()

    def ask(
        self,
        prompt: Prompt,
        ticks: Mapping[str, str] | None = None,
        room: int = 0,
        width: int = 0,
    ) -> None:
        """Show a question; keys that bounce over from the one before are ignored.

        room, width: rows and cells there are for it; 0 where nobody counted them.
        """
        self.width = width or self.size.width or self.app.size.width - 2
        was_not_yet = self.prompt.default == TurnChoice.NOT_YET
        if prompt.id != self.prompt.id or prompt.about != self.prompt.about:
            self.page, self.marked = 0, []
            self.pace.asked(settles=prompt.digits is None or prompt.about != self.prompt.about)
            self._starts_over = False
            self.ticks.drop_held()
            self._erased = False
            self.query_one(Input).value = ""
            ids = [choice.id for choice in prompt.choices]
            chosen = prompt.kind == "one" and prompt.default in ids
            self.cursor = ids.index(prompt.default or "") if chosen else None
        self.prompt, self.line, self.room = prompt, prompt.line, room
        self.ticks.stand(ticks or {})
        typed = self.query_one(Typed)
        typed.number_only = prompt.kind == "number"
        typed.display = prompt.kind in ("text", "number") and prompt.digits is None
        typed.placeholder = prompt.default or ""
        if typed.display:
            typed.focus()
        else:
            self.focus()
        if was_not_yet != (prompt.default == TurnChoice.NOT_YET):
            self.refresh_bindings()
        self._draw()

    @property
    def _shown(self) -> list[Choice]:
        return list(self.prompt.choices[self.page * PAGE : (self.page + 1) * PAGE])

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Tell which word for Enter stands in the footer: "not yet" where it claims nothing."""
        not_yet = self.prompt.default == TurnChoice.NOT_YET
        if action in ("take", "not_yet"):
            return (action == "not_yet") == not_yet
        return super().check_action(action, parameters)

    def focus_on_click(self) -> bool:
        """Leave the focus where it is: a click beside a line being typed is no answer."""
        return False

    def on_resize(self, event: Resize) -> None:
        if event.size.width != self._drawn_for:
            self.width = event.size.width
            self._draw()

    def _draw(self) -> None:
        """Draw the question, and its choices on one page."""
        prompt, hint = self.prompt, self.prompt.hint
        self._drawn_for = self.width
        room = 2 * self.width if hint else 35
        elsewhere = marked_elsewhere(prompt, self.page, self.marked, room)
        question = asked_text(prompt.question)
        if hint:
            style = "bold" if prompt.beside else ""
            question += Content.styled(f"\n{elsewhere or hint}", style)
        asked, choices = self.query_one("#question", Static), self.query_one(Choices)
        asked.display = bool(prompt.question)
        asked.update(question)
        choices.display = bool(prompt.choices) or (prompt.unknown and not self._typing)
        if choices.display:
            choices.show(
                prompt, self.page, self.marked, self.ticks.stored, self.ticks.held, self.width,
                elsewhere="" if hint else elsewhere, spaced=self._spaced,
            )  # fmt: skip
            self._highlight()

    def _highlight(self) -> None:
        """Reverse the marked row, where it is on this page."""
        at = None if self.cursor is None else self.cursor - self.page * PAGE
        self.query_one(Choices).highlighted = at

    @property
    def _typing(self) -> bool:
        return self.prompt.kind in ("text", "number")

    @property
    def spare(self) -> int:
        """Rows that the choices take beyond one each, for a finger."""
        return len(self._shown) + 2 if self._spaced else 0

    @property
    def _spaced(self) -> bool:
        """Whether there is room for two rows a choice."""
        window = self.app.size.height
        if window < HIGH_FROM:
            return False
        needed = prompt_rows(self.prompt, max(8, self.width)) + len(self._shown) + 2
        return needed <= (self.room or window - 8)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take a click on a choice as its key; one too soon is dropped like a key."""
        event.stop()
        key = event.option_id or ""
        if self.pace.drops("click", claims=self.prompt.claims):
            self._highlight()
            return
        if key.isdigit():
            self._digit(int(key))
        else:
            self._choose(next(one for one in self._shown if one.key == key))
        if self.is_attached:
            self._highlight()

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if said := objection(event):
            self.post_message(self.Refused(said))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self.pace.settling:
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
            elif not self.pace.settling:
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
        walks = event.key in ("up", "down")
        if self.pace.drops(event.key, claims=self.prompt.claims, walks=walks):
            return
        if beside is not None:
            self.post_message(self.Taken(self.prompt, beside.id))
        elif walks:
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
        if self.pace.drops(event.key):
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
        page, self.page = self.page, self.cursor // PAGE
        if page == self.page:
            self._highlight()
        else:
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
        mark, asks = self.ticks.press(choice.id, (one.id for one in self.prompt.choices))
        if mark:
            self.post_message(self.Taken(self.prompt, {choice.id: mark}))
            return
        self._draw()
        if asks:
            self.post_message(self.Refused(asks))

    def _enter(self) -> None:
        if self.prompt.kind == "many" and self.marked:
            self.post_message(self.Taken(self.prompt, tuple(self.marked)))
        elif self.prompt.kind == "many" and self.cursor is None and self.prompt.default:
            self.post_message(self.Taken(self.prompt, (self.prompt.default,)))
        elif self.prompt.kind == "tick" and self.ticks.held:
            self.post_message(self.Taken(self.prompt, self.ticks.take_held()))
        elif self.cursor is not None:
            self._choose(self.prompt.choices[self.cursor])
        elif self.prompt.kind == "tick":
            open_for = self.ticks.keeps_open(one.id for one in self.prompt.choices)
            self.post_message(self.Refused(open_for))
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
