"""A time slip, one question for each field, under the column of what is typed so far."""

from dataclasses import replace

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import Static

from rules.crew.own_times import own_numbers
from rules.crew.pass_actions import NAMES, NEW, NoteSlip, can_begin, slip_run, turned_since
from rules.passes.slip_entry import (
    AGAIN,
    FIELDS,
    Entry,
    answered,
    begun,
    gone_back,
    mark_choices,
    numbers,
    prompt_of,
    with_line,
)
from rules.question import Choice, Given, Prompt
from tui.desk import Desk, slip_of
from tui.screens.questions import LEAVE, QUESTIONS_CSS, QuestionScreen

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
        self.asks_whose = number is None

    def above(self) -> ComposeResult:
        yield Static(id="sheet", markup=False)

    def begin(self) -> None:
        if self.run is not None:
            self._begin(self.run)
            return
        self.draw()
        if not self.asker.display:
            self.say(NO_PASS)

    def _begin(self, run: int | str) -> None:
        self.run = run
        state = self.desk.state
        draft = self.desk.drafts.get(self._draft_key)
        if isinstance(draft, Entry):
            self.entry = draft
            self.say_picked_up()
        elif run == NEW:
            self.entry = begun(self.desk.car.units, own=own_numbers(state, None))
        else:
            one = slip_run(state, int(run))
            own = own_numbers(state, one)
            self.entry = begun(self.desk.car.units, one.slip, one.lane, own)
        self.draw()

    @property
    def _draft_key(self) -> str:
        """The pass a draft belongs to; a new pass is the one after the last."""
        number = len(self.desk.state.runs) + 1 if self.run == NEW else self.run
        return slip_of(int(str(number)))

    @property
    def _which(self) -> str:
        return "the pass just run" if self.run == NEW else f"pass {self.run}"

    def take(self, prompt: Prompt, value: Given) -> None:
        self.say("")
        if self.entry is None:
            self._begin(NEW if value == NEW else int(str(value)))
            return
        entry = answered(self.entry, value)
        if entry.sent:
            self._record(entry)
            return
        self.entry = entry
        self.draw()
        if value == AGAIN:
            self.asker.select_typed()

    def go_back(self) -> None:
        entry = gone_back(self.entry) if self.entry is not None else None
        if entry is None and (self.entry is None or not self.asks_whose):
            self.action_leave()
            return
        self.say("What was typed waits." if entry is None and self._keep() else "")
        self.entry = entry
        self.draw()

    def note_line(self, line: str) -> None:
        self.entry = self.entry and with_line(self.entry, line)
        self._draw_sheet()

    def _keep(self) -> bool:
        """Keep what is typed as a draft, and tell whether there is any."""
        if self.entry is None or self.entry.is_empty:
            return False
        self.desk.drafts[self._draft_key] = self.entry
        return True

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
        self.desk.act(action)
        self.desk.drafts.pop(draft, None)
        number = self.run if self.run != NEW else len(self.desk.state.runs)
        self.dismiss(f"Recorded: the slip of pass {number}.")

    def draw(self) -> None:
        self.draw_frame()
        prompt = prompt_of(self.entry) if self.entry else whose(self.desk)
        self.asker.display = prompt is not None
        self.asker.set_class(self.entry is not None, "under")
        if prompt is not None:
            if self.entry is not None and not prompt.asks_back:
                question = f"Time slip of {self._which}: {prompt.question}"
                prompt = replace(prompt, question=question)
            self.asker.ask(prompt)
        self._draw_sheet()

    def _draw_sheet(self) -> None:
        sheet = self.query_one("#sheet", Static)
        sheet.display = self.entry is not None
        if self.entry is not None:
            sheet.update(sheet_text(self.entry))

    def action_leave(self) -> None:
        """Leave without recording; what was typed is kept as a draft."""
        self.dismiss("Nothing was recorded; what was typed waits at s." if self._keep() else None)


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
    """Draw the slip as far as it is typed, then the marks where they are not the open question."""
    sheet, asked = Text(no_wrap=True), entry.question
    for one in FIELDS:
        typed = one.of.digits.shown(entry.typed.get(one.key, ""))
        odd = "?" if asked is not None and asked.field == one.key else " "
        row = f" {one.label:<{LABEL}}{typed:>9} {one.unit(entry.system):<5}{odd}"
        sheet.append(row, style="reverse" if one is entry.field else "")
        sheet.append("\n")
    if not entry.on_marks or entry.dialling or entry.asking:
        *marks, dial, _ = mark_choices(entry)
        for number, mark in enumerate(marks, 1):
            sheet.append(f" {number} {mark.label:<{LABEL}}")
            sheet.append("" if number % 2 else "\n")
        style = "reverse" if entry.dialling else ""
        sheet.append(f" {len(marks) + 1} {dial.label} ", style=style)
    else:
        sheet.right_crop(1)
    return sheet
