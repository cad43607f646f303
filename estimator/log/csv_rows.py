"""Text tables as restorers' programs write them: any usual encoding, any usual separator."""

from __future__ import annotations

import codecs
import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from estimator.log.columns import Names
from estimator.log.tables import Cells, Table, empty, headed, header_among
from estimator.words.problems import Problem

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

WIDE = 6  # columns from which a line with all its separators is hardly part of a note
NAMED = {",": "comma", ";": "semicolon", "\t": "tab"}

QUOTES = (
    "a quotation mark opens in this row and does not close as it should",
    "Close it, write it twice where inches are meant, or take it out.",
)

Rows = list[tuple[int, Cells]]


def read_csv(data: bytes, names: Names, place: str) -> tuple[Table, list[Problem], list[Problem]]:
    """The table in the bytes of a csv file, its problems and its notes.

    Read are UTF-8, UTF-16 and UTF-32, and Windows-1252; commas, semicolons or tabs between the cells; line
    ends of any system; a title above the names of the columns. A row that has not the cells of its header is
    left out.

    place: the file's name, for messages
    """
    file = decoded(data)
    if file is None:
        sheet = data.startswith(SPREADSHEETS)
        wrong = "this is a spreadsheet under another name" if sheet else "this is not a text file"
        cure = "Save it from your program as csv" + (", or name it log.xlsx or log.ods." if sheet else ".")
        return Table(names.sheet, place, lettered=False, columns={}), [Problem(place, "", wrong, cure)], []
    lines = _lines(file.text)
    head = _best_head(lines, names)
    if not head.known:
        return headed(head.rows, -1, names, place, lettered=False)
    rows, troubles = _rows(lines, head)
    table, problems, notes = headed([*head.rows, *rows], 0, names, place, lettered=False)
    return table, [*(Problem(table.at_row(line), "", *what) for line, *what in troubles), *problems], notes


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
class Form:
    """How a csv file is written: its text, what parts its cells, and the row that names its columns."""

    file: Decoded
    separator: str
    header: Cells


def form_of(data: bytes, names: Names) -> Form | None:
    r"""How the bytes of a csv file are written, or None where no row of them names its columns.

    >>> from estimator.log.columns import names_of_sheets
    >>> from estimator.words.settings import Settings
    >>> form = form_of(b"Board;Date;Weight\n", names_of_sheets(Settings())["weights"])
    >>> form.separator, form.header
    (';', ['Board', 'Date', 'Weight'])
    """
    file = decoded(data)
    head = _best_head(_lines(file.text), names) if file else None
    return Form(file, head.separator, head.rows[0][1]) if file and head and head.known else None


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
    """Begin, end (excluded) and cells of each record from line `start`, from 0; None: this is no csv."""
    reader = csv.reader(
        (lines[i] for i in range(start, len(lines))), delimiter=separator, skipinitialspace=True
    )
    begin = start
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


def _rows(lines: Sequence[str], head: _Head) -> tuple[Rows, list[tuple[int, str, str]]]:
    """All filled rows below the header that have its cells, and (line, what is wrong, cure) of the others.

    Where a quotation mark swallows the rows after it, its row is reported and the others are read alone.
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
            if len(cells) < width or filled > len(header):
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
