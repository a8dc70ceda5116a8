"""The turn to make, in figures that can be read from under the car."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from rules import gates
from rules.adjusters import Adjuster, adjusters
from rules.changes import Change, Step
from rules.state import State
from tui.lines import net_of, spoken, work_lines
from tui.widgets.figures import figures

TICK_ROWS = 4


class WorkCard(Vertical):
    """A work order: corner, knob and way in words, from and to in large figures."""

    def compose(self) -> ComposeResult:
        yield Static(id="order", markup=False)
        yield Static(id="place", markup=False)
        with Horizontal(id="figures"):
            yield Static(id="from")
            yield Static("\n\n to", id="to-word", markup=False)
            yield Static(id="to")
            yield Static(id="way", markup=False)
        yield Static(id="ticks", markup=False)

    def show(self, state: State, change: Change) -> None:
        """Draw the next turn of a change, and the list of all its turns."""
        assert state.car is not None
        done = sum(step.state == "done" for step in change.steps)
        head = f"WORK ORDER, {done} of {len(change.steps)} made. {' '.join(gates.ALWAYS_IN_WORK)}"
        self.query_one("#order", Static).update(spoken(state, head))
        step = change.next_step
        self.query_one("#figures").display = step is not None
        self.query_one("#place").display = step is not None
        if step is not None:
            self._show_step(state, adjusters(state.car)[step.turn.adjuster], step)
        rows = work_lines(state, change)
        first = max(0, min(done - 1, len(rows) - TICK_ROWS))
        shown = rows[first : first + TICK_ROWS]
        left = len(rows) - first - len(shown)
        more = f"\n... and {left} more" if left else ""
        self.query_one("#ticks", Static).update("\n".join(shown) + more)

    def _show_step(self, state: State, one: Adjuster, step: Step) -> None:
        turn = step.turn
        upward = (turn.after - turn.before) * one.up(True) > 0
        steps = one.show_steps((turn.after - turn.before) / one.step)
        way = one.way(upward)
        word = spoken(state, one.direction_word(upward)).upper()
        self.query_one("#place", Static).update(one.label.upper())
        self.query_one("#from", Static).update(figures(one.show(turn.before)))
        self.query_one("#to", Static).update(figures(one.show(turn.after)))
        rows = [
            f"TURN {way.upper()}" if way else "CHANGE IT BY",
            f"{steps.upper()} {word}",
            "",
            f"counted from {one.count_from}" if one.count_from else "",
            f"now net: {net_of(state, one.id)}",
        ]
        self.query_one("#way", Static).update("\n".join(rows))
