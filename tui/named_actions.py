"""Every action of the screen in front by its name: what the palette searches and the help lists.

The names are those of the keys: the bindings are made of the one registry.
"""

from collections.abc import Awaitable, Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from textual.binding import ActiveBinding
from textual.command import DiscoveryHit, Hit, Hits, Provider

if TYPE_CHECKING:
    from textual.screen import Screen


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
            yield f"{name[0].upper()}{name[1:]}", one


class NamedActions(Provider):
    """Finds actions by their names."""

    async def discover(self) -> Hits:
        """Yield every action, as long as nothing is typed."""
        for name, one in self._named():
            yield DiscoveryHit(self._told(name, one), self._run(one))

    async def search(self, query: str) -> Hits:
        """Yield the actions whose name matches what is typed."""
        matcher = self.matcher(query)
        for name, one in self._named():
            told = self._told(name, one)
            score = matcher.match(told)
            if score > 0:
                yield Hit(score, matcher.highlight(told), self._run(one))

    def _named(self) -> Iterator[tuple[str, ActiveBinding]]:
        """Yield each action that works now, but the one that opened the palette."""
        for name, one in named_actions(self.screen):
            if one.binding.action != "command_palette":
                yield name, one

    def _run(self, one: ActiveBinding) -> Callable[[], Awaitable[bool]]:
        return partial(self.app.run_action, one.binding.action, one.node)

    def _told(self, name: str, one: ActiveBinding) -> str:
        """Return a name with its key, which is faster the next time."""
        return f"{name} ({self.app.get_key_display(one.binding)})"
