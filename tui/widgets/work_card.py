"""The turn to make, in figures that can be read from under the car."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from rules.advice.safety import gates
from rules.car.adjusters import Adjuster, adjusters
from rules.log.changes import Change, Step
from rules.log.standing import known
from rules.log.state import State
from tui.lines import net_of, spoken, work_lines
from tui.widgets.figures import figures

TICK_ROWS = 3
TALL = 24


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

    def show(self, state: State, change: Change, adjuster: str = "", height: int = TALL) -> None:
        """Draw the turn of an adjuster and the turns around it, as `height` has room."""
        done = sum(step.state == "done" for step in change.steps)
        turned = [known(state, one.turn.adjuster) for one in change.steps]
        told = " ".join(gates.always_in_work(one.part if one else "" for one in turned))
        head = f"WORK ORDER, {done} of {len(change.steps)} made. {told}"
        self.query_one("#order", Static).update(spoken(state, head))
        step = next((one for one in change.steps if one.turn.adjuster == adjuster), None)
        tall = height >= TALL - 1
        self.query_one("#figures").display = step is not None and tall
        self.query_one("#place").display = step is not None
        if step is not None:
            self._show_step(state, adjusters(state.described_car)[step.turn.adjuster], step, tall)
        around = change.steps.index(step or next(iter(change.stopped), change.steps[0]))
        ticks = _around(
            work_lines(state, change), around, TICK_ROWS if height >= TALL else TICK_ROWS - 1
        )
        self.query_one("#ticks", Static).update("\n".join(ticks))

    def _show_step(self, state: State, one: Adjuster, step: Step, tall: bool) -> None:
        turn = step.to_go
        upward = (turn.after - turn.before) * one.up(True) > 0
        steps = one.show_steps((turn.after - turn.before) / one.step)
        way = spoken(state, one.way(upward))
        word = spoken(state, one.direction_word(upward)).upper()
        before, after = one.show(turn.before), one.show(turn.after)
        turned = f"TURN {way.upper()}" if way else "CHANGE IT BY"
        amount = f"{steps.upper()} {word}"
        counted = f"counted from {one.count_from}" if one.count_from else ""
        place = spoken(state, one.label).upper()
        if not tall:
            place = f"{place}: {before} to {after}. {turned} {amount}"
            place += f", {counted}" if counted else ""
        self.query_one("#place", Static).update(place)
        self.query_one("#from", Static).update(figures(before))
        self.query_one("#to", Static).update(figures(after))
        rows = [turned, amount, "", counted, f"now net: {net_of(state, one.id)}"]
        self.query_one("#way", Static).update("\n".join(rows))


def _around(rows: list[str], index: int, room: int) -> list[str]:
    """Return the rows around one of them, and how many are not shown."""
    if len(rows) <= room:
        return rows
    shown = room - 1
    first = max(0, min(index - shown + 1, len(rows) - shown))
    return [*rows[first : first + shown], f"... and {len(rows) - shown} more: k counts"]
