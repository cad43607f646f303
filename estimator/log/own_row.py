"""A board's own row in a csv file, and cells filled in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from estimator.log.cells import one_line
from estimator.log.columns import Names, names_of_sheets
from estimator.log.csv_edits import with_cells
from estimator.log.csv_rows import read_csv
from estimator.log.sources import log_files
from estimator.log.starter import write_all
from estimator.log.tables import Table
from estimator.words.errors import UsageError
from estimator.words.records import Board
from estimator.words.settings import Settings

Cells = Mapping[str, str]


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


def fill_own_row(
    folder: Path, settings: Settings, board: Board, cells: Callable[[Cells | None], Cells]
) -> tuple[Path | None, Cells, tuple[str, ...]]:
    """Writes cells into a board's own row of `boards.csv`; all else in the file stays byte for byte.

    cells: what to write by column, empty for none, of what stands filled in the row; of None where that is a
    spreadsheet's, which is never written: then the notes name the cells
    Returns the file, None where nothing was written; the cells; the notes.

    Raises UsageError where the file has no column for a cell, or cannot be written.
    """
    sources = log_files(folder)
    if sources.workbook:
        wanted = cells(None)
        named = ", ".join(f"{column} {cell}" for column, cell in wanted.items() if cell)
        note = f"{sources.workbook.name} stays as it is. Write into the board's row there yourself: {named}."
        return None, wanted, (note,)
    path, names = sources.tables["boards"], names_of_sheets(settings)["boards"]
    try:
        data = path.read_bytes()
        line, row, table = own_row(data, names, path, board)
        wanted = cells(row)
        absent = [column for column, cell in wanted.items() if cell and column not in table.columns]
        if absent:
            one = len(absent) == 1
            raise UsageError(
                f"{path.name} has no column{'' if one else 's'} {', '.join(absent)}.",
                f"Add {'it' if one else 'them'}, with an empty cell in every row that is there.",
            )
        there = {column: cell for column, cell in wanted.items() if column in table.columns}
        write_all(folder, {path.name: with_cells(data, names, path.name, line, there)})
    except OSError as error:
        raise UsageError(
            f"{path} cannot be written.", "Close it in other programs, and see whether you may write there."
        ) from error
    return path, there, ()
