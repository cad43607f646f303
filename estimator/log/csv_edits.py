"""A csv file with one row more, or with cells filled: all else stays byte for byte, and reads as it did."""

from __future__ import annotations

import re
from collections.abc import Mapping

from estimator.log.columns import Names
from estimator.log.csv_rows import Decoded, Form, form_of, read_csv
from estimator.log.tables import Table
from estimator.words.errors import UsageError
from estimator.words.problems import Problem

LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
LINE_END = re.compile(r"\r\n|\r|\n")
QUOTED = r' *"(?:[^"]|"")*+"'


def with_row(data: bytes, names: Names, place: str, cells: Mapping[str, str]) -> bytes:
    r"""The bytes of a csv file with a row at its end, in the file's own columns, coding, separator and line ends.

    cells: one line of text by column; a column that is left out stays empty
    place: the file's name, for messages

    Raises UsageError where the file has no column for a text, cannot hold it, or would not read as it did.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings import Settings
    >>> names = names_of_sheets(Settings())["weights"]
    >>> with_row(b"Date;Board;Weight", names, "weights.csv", {"board": "26-014", "date": "2026-06-12"})
    b'Date;Board;Weight\n2026-06-12;26-014;'
    """
    form, table, problems = _read(data, names, place)
    filled = {column: text for column, text in cells.items() if text}
    missing = [column for column in filled if column not in table.columns]
    if missing:
        one = len(missing) == 1
        raise UsageError(
            f"{place} has no column{'' if one else 's'} {', '.join(missing)}.",
            f"Add {'it' if one else 'them'}, with an empty cell in every row that is there.",
        )
    row = [""] * len(form.header)
    for column, text in filled.items():
        row[table.columns[column]] = text
    line = form.separator.join(_quoted(cell, form.separator) for cell in row)
    text = form.file.text
    end = (LINE_END.findall(text) or ["\n"])[-1]
    written = f"{line}{end}" if text.endswith(("\r", "\n")) else f"{end}{line}"
    changed = data + _bytes(written, form.file, place)
    after, wrong, _ = read_csv(changed, names, place)
    before, added = after.rows[: len(table.rows)], after.rows[len(table.rows) :]
    if before != table.rows or [cells for _, cells in added] != [row] or wrong != problems:
        raise _unlike(place)
    return changed


def with_cells(data: bytes, names: Names, place: str, line: int, cells: Mapping[str, str]) -> bytes:
    r"""The bytes of a csv file with these cells of one row filled; what stood in them is gone.

    line: where the row begins, from 1; cells: one line of text by column, each a column of the file
    place: the file's name, for messages

    Raises UsageError where no row begins there, or the rest would not read as it did.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings import Settings
    >>> names = names_of_sheets(Settings())["boards"]
    >>> with_cells(b'board,ready,note\n26-014,,"a, b"', names, "boards.csv", 2, {"ready": "2026-06-12"})
    b'board,ready,note\n26-014,2026-06-12,"a, b"'
    """
    form, table, problems = _read(data, names, place)
    text = form.file.text
    expected = dict(table.rows)
    if line not in expected:
        raise _unlike(place)
    spans = _spans(text, _start(text, line), form.separator)
    row = list(expected[line])
    for at, written in sorted(((table.columns[name], cell) for name, cell in cells.items()), reverse=True):
        begin, end = spans[at]
        text = f"{text[:begin]}{_quoted(written, form.separator)}{text[end:]}"
        row[at] = written
    expected[line] = row
    changed = form.file.mark + _bytes(text, form.file, place)
    after, wrong, _ = read_csv(changed, names, place)
    if dict(after.rows) != expected or wrong != problems:
        raise _unlike(place)
    return changed


def _read(data: bytes, names: Names, place: str) -> tuple[Form, Table, list[Problem]]:
    """How a file is written, what is read of it, and its problems."""
    form = form_of(data, names)
    table, problems, _ = read_csv(data, names, place)
    if form is None:
        raise UsageError(f"{place}: {problems[0].wrong}.", problems[0].cure)
    return form, table, problems


def _unlike(place: str) -> UsageError:
    """The error of a file that an edit would change beyond its own cells."""
    return UsageError(
        f"{place} stays as it is: with this written into it, other rows would read differently.",
        "Mend what `estimator check` says of it, and close it in other programs.",
    )


def _bytes(text: str, file: Decoded, place: str) -> bytes:
    """The bytes of a text in the coding of a file."""
    try:
        return text.encode(file.coding)
    except UnicodeEncodeError as error:
        letter = error.object[error.start : error.end]
        raise UsageError(
            f"{place} is kept in a coding that has no {ascii(letter) if not letter.isprintable() else letter}.",
            "Save it as UTF-8, or write it in other letters.",
        ) from error


def _quoted(cell: str, separator: str) -> str:
    """A cell as it is written: between quotation marks where its text would else be taken apart."""
    doubled = cell.replace('"', '""')
    return f'"{doubled}"' if separator in cell or '"' in cell else cell


def _start(text: str, line: int) -> int:
    """Where a line begins, counted from 1, in a text with any system's line ends."""
    at = 0
    for _ in range(line - 1):
        at = LINE.match(text, at).end()  # type: ignore[union-attr]  # it matches anything
    return at


def _spans(text: str, start: int, separator: str) -> list[tuple[int, int]]:
    """Begin and end of each cell of the record that begins there, with its spaces and quotation marks."""
    cell = re.compile(rf"(?:{QUOTED})?[^{separator}\r\n]*")
    spans = []
    while True:
        found = cell.match(text, start)
        assert found is not None
        spans.append(found.span())
        if text[found.end() : found.end() + 1] != separator:
            return spans
        start = found.end() + 1
