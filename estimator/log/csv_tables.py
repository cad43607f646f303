"""Text tables as restorers' programs write them: read in any usual form; edited so that all else stays."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from estimator.log.columns import Names, plain
from estimator.log.tables import Cells, RawSheet, SheetTable, empty, headed, header_among
from estimator.words.actions import Action
from estimator.words.errors import UsageError
from estimator.words.problems import Place, Problem

MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
SPREADSHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # how xlsx and ods, and older spreadsheets, begin
SEPARATORS = (",", ";", "\t")
STRANGE = 0.05  # share of control characters from which something is no text
HEAD = 40  # lines from the top among which the separator and the names of the columns are looked for

MOST_LINES = 100  # that one row may run over: beyond it a quotation mark was forgotten
WIDE = 6  # columns from which a line with all its separators is hardly part of a note
NAMED = {",": "comma", ";": "semicolon", "\t": "tab"}

QUOTES = (
    "a quotation mark opens in this row and does not close as it should",
    "Close it, write it twice where inches are meant, or take it out.",
)

Rows = list[tuple[int, Cells]]


def raw_csv(data: bytes, names: Names, source: str) -> tuple[RawSheet | None, list[Problem]]:
    """The rows in the bytes of a csv file as they stand, and the problems; None where it holds no text.

    Read are UTF-8, UTF-16 and UTF-32, and Windows-1252; commas, semicolons or tabs between the cells; line
    ends of any system; a title above the names of the columns. A row that has not the cells of its header is
    left out.

    source: the file's name
    """
    file, place = decoded(data), Place(source)
    if file is None:
        sheet = data.startswith(SPREADSHEETS)
        wrong = "this is a spreadsheet under another name" if sheet else "this is not a text file"
        cure = "Save it from your program as csv" + (", or name it log.xlsx or log.ods." if sheet else ".")
        return None, [Problem(place, "", wrong, cure)]
    lines = _lines(file.text)
    head = _best_head(lines, names)
    if not head.known:
        return RawSheet(names.sheet, place, head.rows, -1), []
    rows, troubles = _rows(lines, head)
    wrong_rows = [Problem(Place(source, row=line), "", *what) for line, *what in troubles]
    return RawSheet(names.sheet, place, [*head.rows, *rows], 0), wrong_rows


def read_csv(data: bytes, names: Names, source: str) -> tuple[SheetTable, list[Problem], list[Problem]]:
    """The table in the bytes of a csv file, its problems and its notes; see raw_csv."""
    raw, troubles = raw_csv(data, names, source)
    if raw is None:
        return SheetTable(names.sheet, Place(source), {}), troubles, []
    table, problems, notes = headed(raw, names)
    return table, [*troubles, *problems], notes


def any_rows(text: str) -> tuple[Rows, list[tuple[int, str, str]]]:
    r"""All filled rows of a csv text whose columns nobody knows, and (line, what is wrong, cure) of others.

    It is read with the separator that makes most rows alike.

    >>> any_rows("Jobs;;\n\nNo;Name;Price\n1;red;12,50\n")
    ([(1, ['Jobs', '', '']), (3, ['No', 'Name', 'Price']), (4, ['1', 'red', '12,50'])], [])
    """
    lines = _lines(text)
    separator = max(SEPARATORS, key=lambda mark: _alike(lines, mark))
    width = _alike(lines, separator)[1]
    return _rows(lines, _Head(separator, 0, [(0, ["a name"] * width)], 0), ragged=False)


def _alike(lines: Sequence[str], separator: str) -> tuple[int, int]:
    """How many of the first rows have as many cells as most have that have several, and how many those are."""
    rows = (cells for _, _, cells in _records(lines[:HEAD], separator, 0))
    widths = [len(cells) for cells in rows if cells and len(cells) > 1]
    most = max(widths, key=widths.count, default=0)
    return widths.count(most), most


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a file; its bytes are the mark, and then the text in this coding."""

    mark: bytes
    coding: str
    text: str


def decoded(data: bytes) -> Decoded | None:
    """The text in the bytes of a file, or None where they hold no text.

    >>> decoded("größe".encode("cp1252")), decoded(bytes(3))
    (Decoded(mark=b'', coding='cp1252', text='größe'), None)
    """
    marked = [(mark, coding) for mark, coding in MARKS if data.startswith(mark)]
    for mark, coding in marked[:1] or [(b"", coding) for coding in (_unmarked_wide(data), "utf-8", "cp1252")]:
        try:
            text = data[len(mark) :].decode(coding) if coding else ""
        except UnicodeDecodeError:
            continue
        if coding:
            strange = sum(not (c.isprintable() or c.isspace()) for c in text[:10_000])
            broken = "\0" in text or strange > STRANGE * len(text[:10_000])
            return None if broken else Decoded(mark, coding, text)
    return None


def _unmarked_wide(data: bytes) -> str:
    """The UTF-16 that a text without a mark seems to be written in, or an empty text."""
    start = data[:400]
    if len(start) < 4 or len(data) % 2:
        return ""
    first, second = (part.count(0) / len(part) for part in (start[::2], start[1::2]))
    return "utf-16-be" if first > 0.4 > second else "utf-16-le" if second > 0.4 > first else ""


@dataclass(frozen=True, slots=True)
class TextForm:
    """How a csv file is written: its text, what parts its cells, and the row that names its columns."""

    file: Decoded
    separator: str
    header: Cells


def form_of(data: bytes, names: Names) -> TextForm | None:
    r"""How the bytes of a csv file are written, or None where no row of them names its columns.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings.schema import Settings
    >>> form = form_of(b"Board;Date;Weight\n", names_of_sheets(Settings())["weights"])
    >>> form.separator, form.header
    (';', ['Board', 'Date', 'Weight'])
    """
    file = decoded(data)
    head = _best_head(_lines(file.text), names) if file else None
    return TextForm(file, head.separator, head.rows[0][1]) if file and head and head.known else None


def _lines(text: str) -> list[str]:
    """The lines of a text in any system's line ends, each with one line feed."""
    return [f"{line}\n" for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n")]


@dataclass(frozen=True, slots=True)
class _Head:
    """How a file begins, read with one separator.

    known: how many names of columns are known
    rows: the row with them; where none is known, all that were looked at
    end: the line after it, from 0
    """

    separator: str
    known: int
    rows: Rows
    end: int


def _best_head(lines: Sequence[str], names: Names) -> _Head:
    """The names of the columns, with the separator that shows most of them."""
    return max((_head(lines, mark, names) for mark in SEPARATORS), key=lambda head: head.known)


def _head(lines: Sequence[str], separator: str, names: Names) -> _Head:
    """The names of the columns as this separator shows them."""
    filled = [
        (begin + 1, end, cells)
        for begin, end, cells in _records(lines[:HEAD], separator, 0)
        if cells and _width(cells)
    ]
    at, known = header_among((cells for _, _, cells in filled), names)
    if not known:
        return _Head(separator, 0, [(line, cells) for line, _, cells in filled], 0)
    line, end, cells = filled[at]
    return _Head(separator, known, [(line, cells)], end)


def _records(lines: Sequence[str], separator: str, start: int) -> Iterator[tuple[int, int, list[str] | None]]:
    """Begin, end (excluded) and cells of each record from line `start`, from 0; None: this is no csv.

    A record that runs on for too many lines is none, so that a file full of stray marks is read in no more time for
    each line than one without.
    """
    begin = start

    def of_one_record() -> Iterator[str]:
        for at in range(start, len(lines)):
            if at - begin >= MOST_LINES:
                raise csv.Error
            yield lines[at]

    reader = csv.reader(of_one_record(), delimiter=separator, skipinitialspace=True)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            yield begin, begin + 1, None
            return
        end = start + reader.line_num
        yield begin, end, cells
        begin = end


def _rows(
    lines: Sequence[str], head: _Head, *, ragged: bool = True
) -> tuple[Rows, list[tuple[int, str, str]]]:
    """All filled rows below the header that have its cells, and (line, what is wrong, cure) of the others.

    Where a quotation mark swallows the rows after it, its row is reported and the others are read alone.
    ragged: whether a row that has more or fewer cells is one of the others
    """
    header, separator, start = head.rows[0][1], head.separator, head.end
    width = _width(header)
    rows: Rows = []
    troubles: list[tuple[int, str, str]] = []
    while start < len(lines):
        for begin, end, cells in _records(lines, separator, start):
            if cells is None or (end - begin > 1 and not _closed(lines[begin:end], separator, width)):
                troubles.append((begin + 1, *QUOTES))
                start = begin + 1
                break
            start = end
            filled = _width(cells)
            if not filled:
                continue
            if ragged and (len(cells) < width or filled > len(header)):
                has = filled if filled > width else len(cells)
                troubles.append((begin + 1, *_ragged(has, width, separator)))
            else:
                rows.append((begin + 1, [cell.strip() for cell in cells]))
    return rows, troubles


def _width(cells: Cells) -> int:
    """How many cells a row has, without the empty ones at its end."""
    width = len(cells)
    while width and empty(cells[width - 1]):
        width -= 1
    return width


def _closed(lines: Sequence[str], separator: str, width: int) -> bool:
    """Whether a row of several lines is one: each quotation mark closes, and no two lines are rows themselves."""
    try:
        list(csv.reader(lines, delimiter=separator, skipinitialspace=True, strict=True))
    except csv.Error:
        return False
    return width < WIDE or sum(line.count(separator) >= width - 1 for line in lines) < 2


def _ragged(has: int, width: int, separator: str) -> tuple[str, str]:
    """What is wrong with a row that has not the cells of its header, and the cure."""
    wrong = f"the row has {has} {'cell' if has == 1 else 'cells'} where the header has {width}"
    if has > width:
        return wrong, f"Put a cell that holds a {NAMED[separator]} between quotation marks."
    return wrong, "Add the empty cells, so that each one stands under its name."


LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
LINE_END = re.compile(r"\r\n|\r|\n")
QUOTED = r' *"(?:[^"]|"")*+"'


def with_row(data: bytes, names: Names, place: str, cells: Mapping[str, str]) -> bytes:
    r"""The bytes of a csv file with a row at its end, in the file's own columns, coding, separator and line ends.

    cells: one line of text by column; a column that is left out stays empty
    place: the file's name, for messages

    Raises UsageError where the file has no column for a text, cannot hold it, or would not read as it did.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings.schema import Settings
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


def headings(data: bytes, names: Names, place: str) -> frozenset[str]:
    """The columns that a csv file has, by the names that we know them by."""
    return frozenset(_read(data, names, place)[1].columns)


def with_cells(data: bytes, names: Names, place: str, line: int, cells: Mapping[str, str]) -> bytes:
    r"""The bytes of a csv file with these cells of one row filled; what stood in them is gone.

    line: where the row begins, from 1; cells: one line of text by column, each a column of the file
    place: the file's name, for messages

    Raises UsageError where no row begins there, or the rest would not read as it did.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings.schema import Settings
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


def with_columns(data: bytes, names: Names, place: str, columns: Sequence[str]) -> bytes:
    r"""The bytes of a csv file with columns more at its right, an empty cell of each in every row.

    columns: names as we know them; those that are there already stay as they are
    place: the file's name, for messages

    Raises UsageError where the file would not read as it did.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings.schema import Settings
    >>> names = names_of_sheets(Settings())["boards"]
    >>> with_columns(b"board;note\nA;\n", names, "boards.csv", ["note", "ready"])
    b'board;note;ready\nA;;\n'
    """
    form, table, problems = _read(data, names, place)
    more = [column for column in dict.fromkeys(columns) if column not in table.columns]
    if not more:
        return data
    text, separator, width = form.file.text, form.separator, len(form.header)
    raw = raw_csv(data, names, place)[0]
    assert raw is not None
    for at in reversed(range(len(raw.rows))):
        line, cells = raw.rows[at]
        spans = _spans(text, _start(text, line), separator)
        head = at == raw.head or [plain(cell) for cell in cells] == [plain(name) for name in form.header]
        if head:
            ending = separator * (width - len(spans) + 1) + separator.join(more)
        else:
            ending = separator * max(width + len(more) - len(spans), 0)
        end = spans[-1][1]
        text = f"{text[:end]}{ending}{text[end:]}"
    changed = form.file.mark + _bytes(text, form.file, place)
    after, wrong, _ = read_csv(changed, names, place)
    same = [(n, table.named(cells)) for n, cells in table.rows]
    if [(n, after.named(cells)) for n, cells in after.rows] != same or wrong != problems:
        raise _unlike(place)
    return changed


def _read(data: bytes, names: Names, place: str) -> tuple[TextForm, SheetTable, list[Problem]]:
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
        "Mend its problems, and close it in other programs.",
        action=Action("check"),
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
