"""What each key of the pit screen opens, and what is said once it is left again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from tui.keys import KEYS, LOOKING
from tui.leaving import LeavingApp
from tui.lines import spoken
from tui.screens.questions import QuestionScreen
from tui.theme import OTHER

if TYPE_CHECKING:
    from tui.pages.page import Page


class PitKeys(QuestionScreen[None]):
    """Opens the form, page or screen that a key stands for; each is loaded on its key."""

    def action_do(self, key_id: str, typing: bool = False) -> None:
        """Run what a key stands for; a page or a screen is loaded on its key."""
        key = next(key for key in KEYS if key.id == key_id)
        if not self._may(key_id):
            return
        if key.form:
            self._open_form(key.form)
            return
        match key_id:
            case "why":
                from tui.pages.reports import alternatives_page

                self._read("Why, and why not the others", alternatives_page(self.desk))
            case "counts":
                from tui.pages.reports import counts_page

                self._read("Counts", counts_page(self.desk.state))
            case "log":
                from tui.screens.log import LogScreen

                self.app.push_screen(LogScreen(self.desk), self._after_log)
            case "help":
                if isinstance(self.app, LeavingApp):
                    self.app.action_help_here()
            case "slip":
                from tui.screens.slip import SlipScreen

                self.app.push_screen(SlipScreen(self.desk, self.settle_s), self._after_form)
            case "what-if":
                from tui.screens.what_if import WhatIfScreen

                self.app.push_screen(WhatIfScreen(self.desk.state, self.settle_s))
            case "verdict":
                from tui.pages.verdict import verdict_pages

                self._look("Verdict", verdict_pages(self.desk.state, self.desk.book))
            case "day":
                from tui.pages.day import day_pages

                self._look("The day", day_pages(self.desk.state, self.desk.book))
            case "air":
                self._open_air()
            case "learnt":
                from tui.screens.learnt import LearntScreen

                screen = LearntScreen(self.desk.state, self.desk.book)
                self.app.push_screen(screen, self._after_learnt)
            case "papers":
                self._open_papers()
            case "shop":
                self.open_shop()
            case "theme":
                self.app.theme = OTHER[self.app.theme]
            case "quit":
                self.app.exit()

    def _may(self, key_id: str) -> bool:
        """Tell whether a key works; on a log that is looked at, what came meanwhile is read."""
        if self.desk.state.looking is None:
            return True
        self.desk.look()
        self.draw()
        if (looking := self.desk.state.looking) is None or key_id in LOOKING:
            return True
        self.say(looking.why)
        return False

    def behind_menus(self) -> Iterator[tuple[str, Callable[[], None]]]:
        """Yield what the menus of files and of the shop hold, by name, with what opens it."""
        from rules.crew.sheets.all import MENU
        from tui.screens.papers import CHOICES

        for one in CHOICES:
            yield one.label, partial(self._behind, "papers", self._open_papers, one.id)
        for sheet in MENU:
            name = f"Shop: {spoken(self.desk.state, sheet.name)}"
            yield name, partial(self._behind, "shop", self.open_shop, sheet.id)

    def _behind(self, key_id: str, menu: Callable[[str], None], choice: str) -> None:
        if self._may(key_id):
            menu(choice)

    def _open_papers(self, at_once: str = "") -> None:
        """Open what prints, exports and backs up; what it needs is loaded then."""
        from tui.screens.papers import PapersScreen

        if self.desk.papers is None:
            self.say("This car is not kept in a data folder: there is nothing to write out.")
            return
        screen = PapersScreen(self.desk, self.desk.papers(), self.settle_s, at_once)
        self.app.push_screen(screen, self._after_form)

    def open_shop(self, at_once: str = "") -> None:
        """Open the shop's menu, and a sheet of it at once where one is named."""
        from tui.screens.shop import ShopScreen

        screen = ShopScreen(self.desk, self.settle_s, at_once)
        self.app.push_screen(screen, self._after_form)

    def _open_form(self, form: str, then: Callable[[str | None], None] | None = None) -> None:
        from tui.screens.form import FormScreen

        screen = FormScreen(self.desk, form, self.settle_s)
        self.app.push_screen(screen, then or self._after_form)

    def _read(self, title: str, lines: list[str]) -> None:
        from tui.screens.reading import ReadingScreen

        self.app.push_screen(ReadingScreen(title, lines))

    def _look(self, title: str, pages: list[Page]) -> None:
        from tui.screens.pages import PagesScreen

        self.app.push_screen(PagesScreen(title, pages))

    def _open_air(self) -> None:
        """Ask for the air of the last pass, or show it where it is noted already."""
        runs = self.desk.state.runs
        if not runs or runs[-1].conditions is None:
            self._note_air()
        else:
            self._show_air()

    def _note_air(self) -> None:
        self._open_form("conditions", self._after_air)

    def _after_air(self, said: str | None) -> None:
        self._after_form(said)
        if said and self.desk.state.coming is None:
            self._show_air()

    def _show_air(self) -> None:
        from tui.pages.air import air_lines
        from tui.pages.page import Page
        from tui.screens.pages import PagesScreen

        state = self.desk.state
        page = Page(f"pass {state.runs[-1].number}", lambda width, height: air_lines(state, width))
        screen = PagesScreen("The air", [page], noted=True)
        self.app.push_screen(screen, self._after_air_page)

    def _after_air_page(self, said: str | None) -> None:
        if said:
            self._note_air()

    def _after_learnt(self, said: str | None) -> None:
        if said:
            self._open_form("learn afresh")

    def _after_log(self, wanted: str | None) -> None:
        """Add a note or correct an answer, where the log was left for it."""
        if wanted:
            self.action_do(wanted)

    def _after_form(self, said: str | None) -> None:
        self.say(said or "")
        self.draw()
