"""The shop: what is known of the car, sheet by sheet, and how far each one is."""

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

from rules.advice.safety.gates import open_blocks
from rules.crew.sheets.all import MENU, SHEETS, how_far
from rules.crew.sheets.edit.edit_sheet import EDIT, edit_sheet
from rules.crew.sheets.sheet import Sheet
from rules.crew.sheets.walk import WALK, walk_sheet
from rules.question import Choice, Prompt
from tui.desk import Desk
from tui.lines import spoken, spoken_prompt, strip
from tui.screens.sheet import SheetScreen
from tui.widgets.asker import Asker, is_open


class ShopScreen(Screen[str | None]):
    """Asks which sheet; each says how far it is."""

    BINDINGS = [Binding("escape", "leave", "Leave", id="shop.leave")]

    def __init__(self, desk: Desk, settle_s: float) -> None:
        super().__init__()
        self.desk = desk
        self.settle_s = settle_s
        self.done = ""

    def compose(self) -> ComposeResult:
        yield Static(id="strip", markup=False)
        with Vertical(id="work"):
            yield Asker(self.settle_s)
        yield Static(id="message", markup=False)
        yield Static(" Enter take | Bksp or Esc back to the pits", id="keys", markup=False)

    def on_mount(self) -> None:
        self.refresh_menu()

    def on_resize(self, event: Resize) -> None:
        self.refresh_menu()

    def refresh_menu(self) -> None:
        """Draw the sheets and how far each one is."""
        state = self.desk.state
        lines = strip(state, self.size.width or 80)
        self.query_one("#strip", Static).update("\n".join(lines))
        choices = tuple(
            Choice(sheet.id, f"{sheet.name}: {how_far(sheet, state)}", sheet.refuses(state))
            for sheet in MENU
        )
        blocks = open_blocks(state, self.desk.book)
        notice = f"Advice waits: {blocks[0].says}" if blocks else ""
        hint = notice or "In this order for a new car. Leave a sheet at any point: it is kept."
        prompt = Prompt("sheet", "The shop: what shall be done?", choices=choices, hint=hint)
        self.query_one(Asker).ask(spoken_prompt(state, prompt))

    def on_asker_taken(self, event: Asker.Taken) -> None:
        event.stop()
        if not is_open(self, event):
            return
        sheet = self._at_hand(SHEETS[str(event.value)])
        self.app.push_screen(SheetScreen(self.desk, sheet, self.settle_s), self._after)

    def _at_hand(self, sheet: Sheet) -> Sheet:
        """Return a sheet with what the state does not say: the file before, the crew's own book."""
        if sheet is EDIT:
            return edit_sheet(self.desk.before())
        return walk_sheet(self.desk.book) if sheet is WALK else sheet

    def _after(self, said: str | None) -> None:
        self.query_one("#message", Static).update(spoken(self.desk.state, said or ""))
        self.done = said or self.done
        self.refresh_menu()

    def on_asker_back(self, event: Asker.Back) -> None:
        event.stop()
        self.action_leave()

    def on_asker_refused(self, event: Asker.Refused) -> None:
        event.stop()
        self.query_one("#message", Static).update(spoken(self.desk.state, event.text))

    def action_leave(self) -> None:
        """Go back to the pits."""
        self.dismiss(self.done)
