"""A time slip typed with digits alone, one column in the order of the slip."""

from collections.abc import Iterable
from dataclasses import replace
from time import monotonic

from rich.text import Text
from textual.app import ComposeResult
from textual.events import Key
from textual.widgets import Static

from profiles.logfile import LogError
from rules.crew.actions import ActionError
from rules.crew.own_times import own_numbers
from rules.crew.pass_actions import NAMES, NEW, NoteSlip, can_begin, slip_run, turned_since
from rules.passes.slip_entry import (
    DIAL_IN,
    DIAL_KEY,
    FIELDS,
    LANES,
    LEFT_KEY,
    MARKS,
    Entry,
    answers,
    asked_text,
    begun,
    numbers,
    press,
)
from rules.question import AnswerError, Choice, Given, Prompt
from tui.desk import Desk, slip_of
from tui.screens.questions import LEAVE, PICKED_UP, QUESTIONS_CSS, QuestionScreen
from tui.widgets.asker import BOUNCE_S

KEYS = {
    "decimal": ".",
    "full_stop": ".",
    "comma": ".",
    "minus": "-",
    "subtract": "-",
}
FOOTER = " Digits | Enter next | Bksp back | Esc leave"
HINT = "Digits only, the point is set by itself: 1432 is 1.432. Enter: not on the slip."
HINT_MARKS = "Digits mark. Enter records it; Enter alone: a clean pass."
NO_PASS = "There is no pass to note a slip of yet."
LABEL = 16


class SlipScreen(QuestionScreen[str | None]):
    """Takes a slip for one pass; Escape leaves, and what was typed waits until the program ends."""

    AUTO_FOCUS = ""
    CSS_PATH = [*QUESTIONS_CSS, "slip.tcss"]
    BINDINGS = [LEAVE]

    def __init__(self, desk: Desk, settle_s: float, number: int | None = None) -> None:
        super().__init__(desk, settle_s)
        self.entry: Entry | None = None
        self.run: int | str | None = number
        self._since = 0.0
        self._patience_s = settle_s
        self._last_key = ("", 0.0)

    def above(self) -> ComposeResult:
        yield Static(id="title", markup=False)

    def below(self) -> ComposeResult:
        yield Static(id="sheet", markup=False)
        yield Static(id="asked", markup=False)

    @property
    def keys_row(self) -> str:
        return FOOTER

    def on_mount(self) -> None:
        asked = whose(self.desk) if self.run is None else self.run
        self.asker.display = isinstance(asked, Prompt)
        if isinstance(asked, Prompt):
            self.asker.ask(asked)
        elif asked is None:
            self.say(NO_PASS)
        else:
            self._begin(asked)
            return
        self.draw()

    def _begin(self, run: int | str) -> None:
        self.run = run
        self.asker.display = False
        self.set_focus(None)
        state = self.desk.state
        draft = self.desk.drafts.get(self._draft_key)
        if isinstance(draft, Entry):
            self.entry = draft
            self.say(PICKED_UP)
        elif run == NEW:
            self.entry = begun(self.desk.car.units, own=own_numbers(state, None))
        else:
            one = slip_run(state, int(run))
            own = own_numbers(state, one)
            self.entry = begun(self.desk.car.units, one.slip, one.lane, own)
        self._wait(self.settle_s)
        self.draw()

    @property
    def _draft_key(self) -> str:
        """The pass a draft belongs to; a new pass is the one after the last."""
        number = len(self.desk.state.runs) + 1 if self.run == NEW else self.run
        return slip_of(int(str(number)))

    def take(self, prompt: Prompt, value: Given) -> None:
        self._begin(NEW if value == NEW else int(str(value)))

    def go_back(self) -> None:
        self.dismiss(None)

    def on_key(self, event: Key) -> None:
        typed = (event.character or "x").lower()
        key = KEYS.get(event.key, typed if typed in "0123456789.-" else event.key.lower())
        known = key in ("enter", "backspace", "up", "down") or key in "0123456789.-"
        if self.entry is None or not (known or key in self._letters):
            return
        event.stop()
        event.prevent_default()
        if monotonic() - self._since < self._patience_s or self._bounced(key):
            return
        before, self.entry = self.entry, press(self.entry, key)
        self.say(self.entry.said)
        if self.entry.sent:
            self._record(self.entry)
            return
        ended = before.dialling and not self.entry.dialling
        if self.entry.on_marks and (ended or not before.on_marks):
            self._wait(self.settle_s)
        self.draw()

    @property
    def _letters(self) -> Iterable[str]:
        """The letters that answer what is asked back."""
        asked = self.entry.question if self.entry else None
        return answers(asked, self.desk.car.units) if asked else ()

    def _bounced(self, key: str) -> bool:
        """Tell whether a key came again faster than a hand presses it twice."""
        last, self._last_key = self._last_key, (key, monotonic())
        return key == last[0] and monotonic() - last[1] < min(BOUNCE_S, self.settle_s)

    def _wait(self, seconds: float) -> None:
        self._since, self._patience_s = monotonic(), seconds

    def _record(self, entry: Entry) -> None:
        given = {NAMES[key]: value for key, value in numbers(entry).items()}
        action = NoteSlip.model_validate(
            {
                "run": self.run,
                "lane": entry.lane,
                "marks": entry.marks,
                "keep": [NAMES[key] for key in entry.kept if NAMES[key] in given],
                **given,
            }
        )
        draft = self._draft_key
        try:
            self.desk.act(action)
        except (ActionError, AnswerError, LogError) as error:
            self.entry = replace(entry, sent=False)
            self.say(str(error))
            self.draw()
            return
        self.desk.drafts.pop(draft, None)
        number = self.run if self.run != NEW else len(self.desk.state.runs)
        self.dismiss(f"Recorded: the slip of pass {number}.")

    def draw(self) -> None:
        self.draw_frame()
        title = " Time slip "
        if self.entry is not None:
            which = "the pass just run" if self.run == NEW else f"pass {self.run}"
            title = f" Time slip of {which} "
        self.query_one("#title", Static).update(title)
        sheet, asked = self.query_one("#sheet", Static), self.query_one("#asked", Static)
        sheet.display = asked.display = self.entry is not None
        if self.entry is None:
            return
        sheet.update(sheet_text(self.entry))
        if self.entry.question is not None:
            entry = self.entry
            told = asked_text(self.entry.question, entry.system, asking=entry.asking)
            asked.update(Text(told, style="bold"))
        else:
            asked.update(HINT_MARKS if self.entry.on_marks else HINT)

    def action_leave(self) -> None:
        """Leave without recording; what was typed is kept as a draft."""
        if self.entry is not None and (numbers(self.entry) or self.entry.marks):
            self.desk.drafts[self._draft_key] = self.entry
            self.dismiss("Nothing was recorded; what was typed waits at s.")
            return
        self.dismiss(None)


def whose(desk: Desk) -> Prompt | None:
    """Return the question which pass a slip belongs to; None where there can be none.

    It is asked every time, so that a hand knows what comes after `s`; where only one pass can be
    meant, Enter takes it.
    """
    state = desk.state
    possible = can_begin(state, desk.book)
    if not state.runs and not possible:
        return None
    why_not = "" if possible else "the open question comes first"
    choices = [Choice(NEW, "The pass just run: it is not in the log yet", why_not, key="n")]
    default: str | None = NEW
    if state.runs:
        last, moved = state.runs[-1], turned_since(state)
        before = ", before what was turned since" if moved else ""
        has = ": it has a slip" if last.slip else ""
        choices.append(Choice(str(last.number), f"Pass {last.number}{before}{has}", key="p"))
        if not possible:
            default = None if moved else str(last.number)
        elif last.slip is None:
            default = None
    return Prompt("whose", "Whose slip is it?", choices=tuple(choices), default=default)


def sheet_text(entry: Entry) -> Text:
    """Draw the slip as far as it is typed, then the marks."""
    sheet, asked = Text(no_wrap=True), entry.question
    for number, one in enumerate(FIELDS):
        typed = one.shown(entry.typed.get(one.key, ""))
        odd = "?" if asked is not None and asked.field == one.key else " "
        row = f" {one.label:<{LABEL}}{typed:>9} {one.unit(entry.system):<5}{odd}"
        sheet.append(row, style="reverse" if number == entry.at else "")
        sheet.append("\n")
    for number, mark in enumerate(MARKS, 1):
        ticked = "[x]" if mark in entry.marks else "[ ]"
        sheet.append(f" {number} {ticked} {mark.capitalize():<12}")
        if number % 2 == 0:
            sheet.append("\n")
    for number, lane in enumerate(LANES, LEFT_KEY):
        ticked = "[x]" if lane == entry.lane else "[ ]"
        sheet.append(f" {number} {ticked} {lane.capitalize() + ' lane':<12}")
    sheet.append("\n")
    dial = DIAL_IN.shown(entry.typed.get(DIAL_IN.key, ""))
    sheet.append(f" {DIAL_KEY}     Dial-in {dial:>9} s ", style="reverse" if entry.dialling else "")
    return sheet
