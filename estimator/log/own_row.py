"""A board's own row in a csv file, for cells to be filled in it."""

from __future__ import annotations

from pathlib import Path

from estimator.log.cells import one_line
from estimator.log.columns import Names
from estimator.log.csv_rows import read_csv
from estimator.log.tables import Table
from estimator.words.errors import UsageError
from estimator.words.records import Board


def own_row(data: bytes, names: Names, path: Path, board: Board) -> tuple[int, dict[str, str], Table]:
    """The line on which a board's row begins, its filled cells by column, and the table.

    data: the bytes of the file; board: as it was read from it

    Raises UsageError where that row is another board's by now.
    """
    table, _, _ = read_csv(data, names, path.name)
    rows = {table.at_row(number): (number, table.named(cells)) for number, cells in table.rows}
    line, row = rows.get(board.where, (0, {"board": "?"}))
    if one_line(row.get("board", "")).casefold() not in {"", board.board.casefold()}:
        raise UsageError(f"{path.name} was changed meanwhile.", "Ask for it again.")
    return line, {column: str(cell) for column, cell in row.items()}, table
