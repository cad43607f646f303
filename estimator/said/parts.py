"""What is said, in parts: sentences, headings, tables and lines to paste; and the same as plain text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


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


def pasted(name: object) -> str:
    """A name, a board's or a folder's, as it can stand in a line to paste.

    >>> pasted("26-014"), pasted("my boards")
    ('26-014', '"my boards"')
    """
    return f'"{name}"' if " " in str(name) else str(name)
