"""Every action of the screen in front by its name: what the palette searches and the help lists.

The names are those of the keys: the bindings are made of the one registry.
"""

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, Any, Protocol, runtime_checkable

from textual.binding import ActiveBinding
from textual.command import DiscoveryHit, Hit, Hits, Provider

from rules.wording import capital
from tui.arranged import HIGH_FROM

if TYPE_CHECKING:
    from textual.screen import Screen

Run = Callable[[], Any]


@runtime_checkable
class HasMenus(Protocol):
    """A screen with menus behind its keys."""

    def behind_menus(self) -> Iterator[tuple[str, Run]]:
        """Yield each choice of a menu by its name, with what opens it."""


def named_actions(screen: "Screen[object]") -> Iterator[tuple[str, ActiveBinding]]:
    """Yield each action that works now, once, with its name.

    Those are the words of its help, or its label where there is no more to say.
    """
    told: set[str] = set()
    for one in screen.active_bindings.values():
        binding = one.binding
        name = one.tooltip or binding.description
        # The framework's own bindings have no id; ours are the registry's.
        named = bool(name and binding.id)
        if named and one.enabled and not {binding.action, name} & told:
            told |= {binding.action, name}
            yield capital(name), one


class NamedActions(Provider):
    """Finds actions by their names, and what stands behind a menu of the screen."""

    async def discover(self) -> Hits:
        """Yield every action, as long as nothing is typed."""
        for told, below, run in self._all():
            yield DiscoveryHit(told, run, help=below)

    async def search(self, query: str) -> Hits:
        """Yield the actions whose name matches what is typed."""
        matcher = self.matcher(query)
        for told, below, run in self._all():
            score = matcher.match(told)
            if score > 0:
                yield Hit(score, matcher.highlight(told), run, help=below)

    def _all(self) -> Iterator[tuple[str, str | None, Run]]:
        """Yield each action with its key, which is faster the next time; then what menus hold.

        In a high window the key has a row of its own, and a finger two rows to hit.
        """
        high = self.app.size.height >= HIGH_FROM
        for name, one in self._named():
            key = self.app.get_key_display(one.binding)
            act = partial(self.app.run_action, one.binding.action, one.node)
            yield (name, f"key {key}", act) if high else (f"{name} ({key})", None, act)
        if isinstance(self.screen, HasMenus):
            for name, run in self.screen.behind_menus():
                yield name, "from its menu" if high else None, run

    def _named(self) -> Iterator[tuple[str, ActiveBinding]]:
        """Yield each action that works now, but the one that opened the palette."""
        for name, one in named_actions(self.screen):
            if one.binding.action != "command_palette":
                yield name, one
