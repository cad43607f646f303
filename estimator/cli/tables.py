"""What a command prints: headings, lines and tables, by rich on a terminal, plain text elsewhere."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table as RichTable

WIDEST = 80  # columns: longer lines are tiring to read


@dataclass(frozen=True, slots=True)
class Heading:
    """A line that names what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under a head.

    head: one word for each column; all empty: no head
    right: the columns, from 0, whose cells are set to the right, as figures are
    guessed: figures are pencil, not ink: slanted where the terminal can (the words beside say so anyway)
    total: the last row is the sum of the others
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    guessed: bool = False
    total: bool = False


@dataclass(frozen=True, slots=True)
class Command:
    """A line to paste, never broken."""

    text: str


Part = str | Heading | Command | Table  # a text is a sentence or two


def print_parts(parts: Iterable[Part]) -> None:
    """Write the parts to stdout, with a blank line before each heading.

    A terminal gets rich's setting, no wider than `WIDEST`; a file or a pipe gets plain unbroken lines.
    """
    parts = tuple(parts)
    if sys.stdout.isatty():
        from rich.console import Console

        console = Console(highlight=False, markup=False, emoji=False)
        on_terminal(parts, console)
    else:
        click.echo("\n".join(plain_lines(parts)))


def plain_lines(parts: Iterable[Part]) -> list[str]:
    """The parts as lines of plain text.

    >>> plain_lines(["One.", Heading("Two"), Table(("", "h"), (("a", "1"), ("bcd", "12")), right=(1,))])
    ['One.', '', 'Two', '      h', 'a     1', 'bcd  12']
    """
    lines: list[str] = []
    for part in parts:
        if isinstance(part, Heading):
            lines += ([""] if lines else []) + [part.text]
        elif isinstance(part, Table):
            lines += aligned(part)
        else:
            lines.append(part.text if isinstance(part, Command) else part)
    return lines


def aligned(table: Table) -> list[str]:
    """The table's rows as lines, each column as wide as its widest cell, two spaces between columns.

    >>> aligned(Table(("", "hours"), (("Strip", "12"), ("all", "40")), right=(1,), total=True))
    ['       hours', 'Strip     12', '          --', 'all       40']
    """
    rows = [table.head, *ruled(table)] if any(table.head) else ruled(table)
    widths = [max(len(row[c]) for row in rows) for c in range(len(table.head))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if c in table.right else cell.ljust(width)
            for c, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return lines


def ruled(table: Table) -> list[tuple[str, ...]]:
    """The table's rows, with a rule of dashes over the figures of its total."""
    rows = list(table.rows)
    if table.total:
        widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
        rows.insert(-1, tuple("-" * w if c in table.right else "" for c, w in enumerate(widths)))
    return rows


def on_terminal(parts: Iterable[Part], console: Console) -> None:
    """Write the parts to a rich console, broken at words to its width; later lines of a sentence are set in."""
    width = min(console.width, WIDEST)
    first = True
    for part in parts:
        if isinstance(part, Heading):
            if not first:
                console.print()
            console.print(part.text, style="bold", width=width)
        elif isinstance(part, Table):
            console.print(_rich(part, width), width=width)
        elif isinstance(part, Command):
            console.print(part.text, soft_wrap=True)
        else:
            console.print(textwrap.fill(part, width, subsequent_indent="  "), width=width)
        first = False


def _rich(table: Table, width: int) -> RichTable:
    """The same table for rich: no boxes, figures kept whole; where it is too wide heads break, then words."""
    from rich.table import Table as RichTable

    cells = [max((len(row[c]) for row in table.rows), default=0) for c in range(len(table.head))]
    wide = sum(map(max, cells, map(len, table.head))) + 2 * (len(cells) - 1) > width
    rich = RichTable(
        box=None, show_header=any(table.head), header_style="bold", padding=(0, 2, 0, 0), pad_edge=False
    )
    for c, name in enumerate(table.head):
        figures = c in table.right
        rich.add_column(
            name,
            justify="right" if figures else "left",
            min_width=cells[c] if figures else None,
            max_width=max(cells[c], *map(len, name.split())) if wide and name else None,
            style="italic" if figures and table.guessed else "",
        )
    for row in ruled(table):
        rich.add_row(*row)
    return rich
