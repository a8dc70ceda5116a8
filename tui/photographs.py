"""Photographs that a crew named by file: kept by name alone, and looked for where they may lie."""

from collections.abc import Iterable
from pathlib import Path

from tui.visible import visible


def names_in(text: str) -> list[str]:
    """Return the file names in what was typed, each once; a path dropped in comes in quotes."""
    parts = (part.strip().strip("'\"") for part in text.replace(";", ",").split(","))
    return list(dict.fromkeys(filter(None, parts)))


def not_found(names: Iterable[str]) -> list[str]:
    """Return those of which there is no file: by path, or in the folder the program began in."""
    return [name for name in names if not _is_there(name)]


def _is_there(name: str) -> bool:
    try:
        return Path(name).expanduser().is_file()
    except (OSError, RuntimeError, ValueError):
        return False


def missing_words(text: str) -> str:
    """Say which photographs have no file here, in one sentence; empty where all have one."""
    missing = [visible(name, 40) for name in not_found(names_in(text))]
    if not missing:
        return ""
    kept = "its name is" if len(missing) == 1 else "their names are"
    return f"No such file here: {', '.join(missing)}. {kept.capitalize()} kept all the same."


def shown(text: str) -> str:
    """Return the names as the history tells them, those without a file here marked."""
    names = names_in(text)
    missing = set(not_found(names))
    said = (f"{visible(one)}{' (no such file here)' if one in missing else ''}" for one in names)
    return ", ".join(said)
