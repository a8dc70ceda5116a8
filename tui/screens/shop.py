"""The shop: what is known of the car, sheet by sheet, and how far each one is."""

from textual.binding import Binding

from rules.advice.safety.gates import open_blocks
from rules.crew.sheets.all import MENU, SHEETS, how_far
from rules.crew.sheets.edit.edit_sheet import EDIT, edit_sheet
from rules.crew.sheets.fit import FIT_CHECKS
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.walk import WALK, walk_sheet
from rules.question import Choice, Given, Prompt
from tui.desk import Desk
from tui.lines import spoken_prompt
from tui.screens.questions import QUESTIONS_CSS, QuestionScreen
from tui.screens.sheet import SheetScreen

FIRST = (
    f"A new car: {WALK.name.lower()}, {FIT_CHECKS.name.lower()}, then the rest as time allows. "
    "Leave a sheet at any point: it is kept."
)


class ShopScreen(QuestionScreen[str | None]):
    """Asks which sheet; each says how far it is."""

    CSS_PATH = QUESTIONS_CSS
    BINDINGS = [Binding("escape", "leave", "back to the pits", key_display="Esc", id="shop.leave")]

    def __init__(self, desk: Desk, settle_s: float, at_once: str = "") -> None:
        super().__init__(desk, settle_s)
        self.at_once = at_once
        self.done = ""

    def begin(self) -> None:
        super().begin()
        choices = {one.id: one.why_not for one in self.asker.prompt.choices}
        if why_not := choices.get(self.at_once):
            self.say(why_not)
        elif self.at_once in choices:
            self.call_after_refresh(self.take, self.asker.prompt, self.at_once)

    def draw(self) -> None:
        self.draw_frame()
        state = self.desk.state
        choices = tuple(
            Choice(sheet.id, f"{sheet.name}: {how_far(sheet, state)}", sheet.refuses(state))
            for sheet in MENU
        )
        blocks = open_blocks(state, self.desk.book)
        notice = f"Advice waits: {blocks[0].says}" if blocks else ""
        hint = notice or FIRST
        prompt = Prompt("sheet", "The shop: what shall be done?", choices=choices, hint=hint)
        self.asker.ask(spoken_prompt(state, prompt))

    def take(self, prompt: Prompt, value: Given) -> None:
        sheet = self._at_hand(SHEETS[str(value)])
        self.app.push_screen(SheetScreen(self.desk, sheet, self.settle_s), self._after)

    def _at_hand(self, sheet: Sheet) -> Sheet:
        """Return a sheet with what the state does not say: the file before, the crew's own book."""
        if sheet is EDIT:
            return edit_sheet(self.desk.before())
        return walk_sheet(self.desk.book) if sheet is WALK else sheet

    def _after(self, said: str | None) -> None:
        self.say(said or "")
        self.done = said or self.done
        self.draw()

    def go_back(self) -> None:
        self.action_leave()

    def action_leave(self) -> None:
        """Go back to the pits."""
        self.dismiss(self.done)
