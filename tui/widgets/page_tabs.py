"""The pages of a screen as tabs on one row: a digit, Tab or a click turns them."""

from collections.abc import Sequence

from textual.widgets import Tab, Tabs


class PageTabs(Tabs, can_focus=False):
    """The framework's tabs without the bar below; digits are keys of the screen."""

    DEFAULT_CSS = """
    PageTabs { height: 1; background: $background; }
    Screen.-high PageTabs, Screen.-high PageTabs Tab { height: 2; }
    PageTabs #tabs-list-bar Underline { display: none; }
    PageTabs Tab { color: $foreground; padding: 0 1 0 0; }
    PageTabs Tab:hover { color: $foreground; text-style: underline; }
    PageTabs Tab.-active { background: $foreground; color: $background; text-style: bold; }
    """

    def __init__(self, names: Sequence[str], id: str = "tabs") -> None:
        super().__init__(
            *(Tab(f"{number} {name}", id=f"page-{number}") for number, name in enumerate(names, 1)),
            id=id,
        )

    def turn_to(self, page: int) -> None:
        """Mark a page, the first one 0."""
        self.active = f"page-{page + 1}"


def page_of(event: Tabs.TabActivated) -> int:
    """Return the page that was picked, the first one 0."""
    return int(str(event.tab.id).removeprefix("page-")) - 1
