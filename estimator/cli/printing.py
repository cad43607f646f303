"""How a command prints what is said: by rich on a terminal, as plain text elsewhere."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from estimator.said.parts import Command, Heading, Part, Table, plain_lines, ruled

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table as RichTable


WIDEST = 80  # columns: longer lines are tiring to read


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
