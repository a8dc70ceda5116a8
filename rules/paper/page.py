"""A page to print, as Markdown or as one self-contained HTML file: no scripts, no other files."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

from rules.paper.tables import Cell, Table

_STYLE = """
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; margin: 1.5em auto;
  max-width: 60em; padding: 0 1em; }
h1 { font-size: 1.5em; margin: 0 0 .2em; }
h2 { font-size: 1.15em; margin: 1.2em 0 .3em; border-bottom: 2px solid #000; }
p, li { margin: .2em 0; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #000; padding: .15em .4em; text-align: left; vertical-align: top; }
th { border-bottom-width: 2px; }
.write table, .grid table { table-layout: fixed; }
.write td, .grid td { height: 9mm; vertical-align: middle; }
.write th:first-child { width: 2em; }
.write th:nth-child(2) { width: 50%; }
.write td:nth-child(n+3) { text-align: right; }
.notes td { height: 36mm; }
@media print { body { font-size: 9pt; margin: 0; max-width: none; } h2 { break-after: avoid; }
  tr { break-inside: avoid; } thead { display: table-header-group; } @page { margin: 12mm; } }
"""
# What Markdown could read as markup, at whatever place in a line.
_MARKUP = re.compile(r"([\\`*_{}\[\]()#+!|<>~&-])")


@dataclass(frozen=True)
class Section:
    """A part of a page: its title, lines that are read one by one, and tables.

    room: "write" and "grid" give every row the height that a gloved hand writes in, the one beside
    its question; "notes" that of some lines.
    """

    title: str
    lines: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    room: Literal["", "write", "grid", "notes"] = ""


@dataclass(frozen=True)
class PrintedPage:
    """A page to print: its title, lines under it, and its sections."""

    title: str
    lines: tuple[str, ...]
    sections: tuple[Section, ...]


def as_markdown(page: PrintedPage) -> str:
    """Write a page as Markdown with pipe tables; whatever a text holds stays text."""
    rows = [f"# {_plain(page.title)}", "", *_list(page.lines)]
    for section in page.sections:
        rows += [f"## {_plain(section.title)}", "", *_list(section.lines)]
        for table in section.tables:
            rows += [_pipes(table.header), _pipes_rule(table), *map(_pipes, table.rows), ""]
    return "\n".join(rows)


def _list(lines: Sequence[str]) -> list[str]:
    return [*(f"- {_plain(line)}" for line in lines), ""] if lines else []


def _pipes(cells: Sequence[Cell]) -> str:
    return f"| {' | '.join(_plain(_text(cell)) for cell in cells)} |"


def _pipes_rule(table: Table) -> str:
    return f"|{'---|' * len(table.header)}"


def _plain(text: str) -> str:
    return _MARKUP.sub(r"\\\1", " ".join(_printable(text).split()))


def as_html(page: PrintedPage) -> str:
    """Write a page as HTML that needs nothing else, prints in black and white, and runs nothing."""
    return "\n".join(_html(page)) + "\n"


def _html(page: PrintedPage) -> Iterator[str]:
    title = _escaped(page.title)
    yield '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">'
    yield '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
    yield "style-src 'unsafe-inline'\">"
    yield f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>"
    yield from (f"<p>{_escaped(line)}</p>" for line in page.lines)
    for section in page.sections:
        yield f"<h2>{_escaped(section.title)}</h2>"
        if section.lines:
            yield "<ul>"
            yield from (f"<li>{_escaped(line)}</li>" for line in section.lines)
            yield "</ul>"
        for table in section.tables:
            yield f'<div class="{section.room}">' if section.room else "<div>"
            yield f"<table>\n<thead>{_row('th', table.header)}</thead>\n<tbody>"
            yield from (_row("td", row) for row in table.rows)
            yield "</tbody>\n</table>\n</div>"
    yield "</body>\n</html>"


def _row(tag: str, cells: Sequence[Cell]) -> str:
    return f"<tr>{''.join(f'<{tag}>{_escaped(_text(cell))}</{tag}>' for cell in cells)}</tr>"


def _text(cell: Cell) -> str:
    return "" if cell is None else f"{cell:g}" if isinstance(cell, float) else str(cell)


def _escaped(text: str) -> str:
    return escape(_printable(text), quote=True)


def _printable(text: str) -> str:
    """Replace control and direction characters, which could hide or turn what is printed."""
    return "".join(char if char.isprintable() else " " for char in text)
