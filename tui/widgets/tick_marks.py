"""The ticks of a list: what the next press makes of one, and what waits for Enter."""

from collections.abc import Iterable, Mapping

TICK_CYCLE = {"": "ok", "ok": "fault", "fault": "not fitted", "not fitted": "ok"}
AFTER_BAD = {"fault": "ok", "ok": "not fitted", "not fitted": "fault"}
ASKS_AFTER_BAD = {
    "ok": "Repaired or replaced? Enter takes it.",
    "not fitted": "It was called bad. Is there none on this car at all? Enter takes it.",
}


class TickMarks:
    """The marks of a list by item: as the log has them, sent there since, and held until Enter."""

    def __init__(self) -> None:
        self.stored: Mapping[str, str] = {}
        self.held: dict[str, str] = {}
        self._sent: dict[str, str] = {}

    def drop_held(self) -> None:
        """Forget what waited for Enter: another list is asked for."""
        self.held = {}

    def stand(self, stored: Mapping[str, str]) -> None:
        """Take what the log has now; whatever was sent is in it."""
        self.stored, self._sent = stored, {}

    def press(self, item: str, items: Iterable[str]) -> tuple[str, str]:
        """Tick an item once more; return its mark to be taken now, or what Enter is asked for.

        What would close the list or lift a BAD is held until Enter. Both are empty where the item
        is again as it stood.
        """
        ticks = {**self.stored, **self._sent}
        stored = ticks.get(item, "")
        now = self.held.pop(item, stored)
        mark = AFTER_BAD[now] if stored == "fault" else TICK_CYCLE[now]
        closes = all(ticks.get(one) in ("ok", "not fitted") for one in items if one != item)
        if mark == stored:
            return "", ""
        if mark != "fault" and (closes or stored == "fault"):
            self.held = {item: mark}
            return "", ASKS_AFTER_BAD[mark] if stored == "fault" else "Enter closes the list."
        self._sent[item] = mark
        return mark, ""

    def take_held(self) -> dict[str, str]:
        """Return what waited for Enter; it waits no longer."""
        held, self.held = self.held, {}
        return held

    def keeps_open(self, items: Iterable[str]) -> str:
        """Say what keeps the list from being closed."""
        if "fault" in self.stored.values():
            return "BAD stands: repair or replace it; then its digit, and Enter."
        left = sum(1 for one in items if self.stored.get(one, "") in ("", "fault"))
        return f"{left} left: press a digit once for ok, twice for bad."
