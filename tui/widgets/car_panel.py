"""The car beside the question: a plan view whose corners can be picked."""

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widgets import Static

from tui.drawn.car_view import CarView
from tui.drawn.plan import corner_at, plan


class CarPanel(Static):
    """Draws the car as large as it has room; no part of the framework draws one."""

    @dataclass
    class Picked(Message):
        """A corner was clicked; none, where the one that is shown was."""

        corner: str

    def __init__(self) -> None:
        super().__init__(id="car", markup=False)
        self.view: CarView | None = None
        self.corner: Sequence[Content] = ()

    def show(self, view: CarView | None, corner: Sequence[Content] = ()) -> None:
        """Draw the car as it stands, or the corner that was picked in its place."""
        if view != self.view or corner != self.corner:
            self.view, self.corner = view, corner
            self.refresh()

    def render(self) -> Content:
        """Draw the plan in the room there is."""
        if self.view is None or not self.size.width:
            return Content("")
        if self.corner:
            return Content("\n").join(self.corner)
        return plan(self.view, self.size.width, self.size.height)

    def on_click(self, event: Click) -> None:
        event.stop()
        if self.corner:
            self.post_message(self.Picked(""))
        elif self.view is not None:
            width, height = self.size
            corner = corner_at(self.view, width, height, event.x, event.y)
            if corner:
                self.post_message(self.Picked(corner))
