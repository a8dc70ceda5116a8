"""One or more pictures in the room there is; what draws them is loaded with the first one."""

from collections.abc import Sequence

from textual.containers import Container

from tui.drawn.picture import Picture

BESIDE = 2
"""So many stand side by side, the others below them."""


class Pictures(Container):
    """Shows pictures side by side; the widgets that draw them are kept and used again."""

    DEFAULT_CSS = """
    Pictures { layout: grid; grid-size: 1; height: 1fr; }
    Pictures Plot { height: 1fr; }
    Pictures Plot > .plot--axis { color: $foreground; }
    """

    def show(self, pictures: Sequence[Picture]) -> None:
        """Draw these pictures."""
        # The array library comes with the plot, and most screens are no pictures.
        from tui.widgets.plot import Plot

        self.styles.grid_size_columns = min(BESIDE, max(1, len(pictures)))
        plots = list(self.query(Plot))
        for number, plot in enumerate(plots):
            plot.display = number < len(pictures)
            if plot.display:
                plot.show(pictures[number])
        if more := [Plot(picture) for picture in pictures[len(plots) :]]:
            self.mount(*more)
