"""Rows that a file had when it came in before, and has no longer: counted and named; the book keeps them."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from estimator.log.book.backups import BACKUPS
from estimator.log.columns import Names
from estimator.log.exchange.files_in import FoundTable, as_ours, tables_of
from estimator.log.rows_before import fewer_words, row_names, rows_as_read
from estimator.log.tables import empty, shown

COPY = re.compile(r"import-\d{4}-\d\d-\d\d-\d{6}-\d+-(.+)")  # a file as it came, in the folder of copies
BY = 2  # filled cells that a row of a stranger's sheet goes by


def rows_gone(folder: Path, files: Iterable[Path], names: Mapping[str, Names]) -> Iterator[str]:
    """A sentence for each sheet of these files with fewer rows than when a file of that name was last read.

    Asked before these files are kept themselves.
    """
    own = rows_as_read(folder)
    for file in files:
        for one in sorted(file.iterdir()) if file.is_dir() else (file,):
            if not one.is_file():
                continue
            copied = _as_it_came(_last_copy(folder, one.name), one.name, names)
            for table in tables_of(one, names)[0]:
                was = next((_rows(old, names) for old in copied if _alike(old, table)), None)
                was = was or own.get(str(table.place), ())
                now = _rows(table, names)
                if len(now) < len(was):
                    yield f"{table.place}: {fewer_words(was, now)}. The book keeps what it has."


def _last_copy(folder: Path, name: str) -> Path | None:
    """The last file of a name that came in, as it was kept."""
    copies = sorted(folder.joinpath(BACKUPS).glob("import-*"), reverse=True)
    return next((path for path in copies if (found := COPY.fullmatch(path.name)) and found[1] == name), None)


def _as_it_came(copy: Path | None, name: str, names: Mapping[str, Names]) -> list[FoundTable]:
    """The tables of a copy, read under the name that the file had, which says what is in it."""
    if copy is None:
        return []
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / name
        file.write_bytes(copy.read_bytes())
        return tables_of(file, names)[0]


def _alike(old: FoundTable, new: FoundTable) -> bool:
    """Whether both are the same sheet of a spreadsheet, or each the only table of its file."""
    return old.place.sheet == new.place.sheet


def _rows(table: FoundTable, names: Mapping[str, Names]) -> Sequence[str]:
    """What each row goes by."""
    if ours := as_ours(table, names):
        return row_names(ours.raw, names[ours.raw.sheet])
    filled = [[shown(cell) for cell in cells if not empty(cell)] for _, cells in table.rows]
    return [" ".join(cells[:BY]) for cells in filled]
