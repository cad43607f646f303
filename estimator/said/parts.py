"""What is said, in parts: sentences, headings, tables and what may be done next; and tables as plain text."""

from __future__ import annotations

from dataclasses import dataclass

from estimator.words.actions import Action

__all__ = [
    "Action",
    "Heading",
    "Part",
    "Table",
    "aligned",
    "ruled",
]  # an error carries actions too: they stand in words


@dataclass(frozen=True, slots=True)
class Heading:
    """A line that names what follows.

    level: 1 names all that is said, 2 a part of it
    """

    text: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under a head.

    head: one word for each column; all empty: no head
    right: the columns, from 0, whose cells are set to the right, as figures are
    guessed: figures are pencil, not ink: slanted where the terminal can (the words beside say so anyway)
    total: the last row is the sum of the others
    boards: of each row the id of the board that it speaks of, empty for a row that speaks of none; of no row: ()
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    guessed: bool = False
    total: bool = False
    boards: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.boards and len(self.boards) != len(self.rows):
            raise ValueError(f"{len(self.rows)} rows, and boards for {len(self.boards)}")


Part = str | Heading | Action | Table  # a text is a sentence or two


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
