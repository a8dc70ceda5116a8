"""A name as somebody types it on the command line: capitals, blanks and hyphens are all one."""

from collections.abc import Iterable


def plain(name: str) -> str:
    """Return a name without what two people would type differently."""
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


def car_named(name: str, cars: Iterable[str]) -> str | None:
    """Return the id of the car that was named; None where none, or more than one, fits."""
    known = list(cars)
    if name in known:
        return name
    alike = [one for one in known if plain(one) == plain(name)]
    return alike[0] if len(alike) == 1 else None
