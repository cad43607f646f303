"""What the file of a spreadsheet says beside its values: errors, formulas without result, merged cells, its reach.

Values alone do not tell a broken cell from an empty one, and a few bytes may claim more cells than any machine holds.
So the file is looked through, and measured, before its values are asked for.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from xml.parsers import expat

from estimator.words.errors import UnreadableError

MOST_BYTES = 200_000_000  # of text in a spreadsheet once it is unpacked
MOST_CELLS = (
    4_000_000  # that a sheet may span, from its first cell to its last; 20,000 hours are a tenth of it
)
MOST_ROWS = 20_000_000  # that may be claimed, also empty ones
PIECE = 1 << 16  # bytes that are looked through at a time

SAVE_AGAIN = "Open it in your spreadsheet program and save it again, without a password."
ERROR = "the formula comes to an error"
NO_RESULT = "the formula has no result in the file"

_ERROR_TEXT = re.compile(r"#[A-Z0-9/_]+[!?]?|Err:[0-9]+")
_SPACES = re.compile(r"[ \t\r\n]+")
_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")

At = tuple[int, int]  # row and column, from 0
Attributes = Mapping[str, str]


@dataclass(slots=True)
class SheetMarks:
    """What is to be known of one sheet.

    broken: cells that hold no value, each with what stands there and what is wrong
    merged: the first and the last cell of each area that is one cell
    texts: texts with tabs or breaks of a line, which whoever reads the values of an .ods leaves out
    last: the lowest row and the rightmost column with anything in it, -1 where there is nothing
    too_far: whether it spans more cells than can be read; then the rest is not known
    """

    broken: dict[At, tuple[str, str]] = field(default_factory=dict)
    merged: list[tuple[At, At]] = field(default_factory=list)
    texts: dict[At, str] = field(default_factory=dict)
    last: At = (-1, -1)
    too_far: bool = False

    @property
    def filled(self) -> bool:
        """Whether anything stands in it."""
        return self.last != (-1, -1)

    @property
    def span(self) -> int:
        """How many cells it has, from its first to its last."""
        return (self.last[0] + 1) * (self.last[1] + 1)

    def reach(self, row: int, column: int) -> None:
        """Something stands in a cell."""
        self.last = max(self.last[0], row), max(self.last[1], column)
        self.too_far |= self.span > MOST_CELLS


@dataclass(frozen=True, slots=True)
class Marks:
    """The sheets of a spreadsheet by title.

    at_once: whether reading one sheet reads them all
    """

    sheets: Mapping[str, SheetMarks]
    at_once: bool


def marks_of(data: bytes) -> Marks:
    """What the bytes of an .xlsx or an .ods say beside its values.

    Raises UnreadableError where they are neither, are damaged, or unpack to more than a spreadsheet can need.
    """
    with _opened(data) as book:
        if "content.xml" in book.namelist():
            return Marks(_ods(book), at_once=True)
        return Marks({title: _xlsx_sheet(book, name) for title, name in _xlsx_sheets(book)}, at_once=False)


@contextmanager
def _opened(data: bytes) -> Iterator[zipfile.ZipFile]:
    """The packed file, once it is known that unpacking it is safe."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as book:
            texts = [one for one in book.infolist() if one.filename.endswith((".xml", ".rels"))]
            if sum(one.file_size for one in texts) > MOST_BYTES:
                raise UnreadableError(
                    "this file unpacks to more than any log needs",
                    "Copy the sheets of your log into a new spreadsheet.",
                )
            for one in texts:  # a size that is not the true one shows in the checksum
                with book.open(one) as packed:
                    while packed.read(PIECE):
                        pass
            yield book
    except (
        zipfile.BadZipFile,
        zlib.error,
        KeyError,
        EOFError,
        NotImplementedError,
        RuntimeError,
        ValueError,
        OSError,
        expat.ExpatError,
    ) as error:
        raise UnreadableError("this file cannot be opened as a spreadsheet", SAVE_AGAIN) from error


def _parse(
    book: zipfile.ZipFile,
    name: str,
    start: Callable[[str, Attributes], None],
    end: Callable[[str], None] = lambda _: None,
    text: Callable[[str], None] = lambda _: None,
) -> None:
    """Goes through one text of the file; names of elements and attributes are given without their prefix."""
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse(*_: object) -> None:
        raise ValueError("a document type is declared, which no spreadsheet needs")

    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = lambda tag, of: start(
        tag.rpartition(":")[2], {key.rpartition(":")[2]: value for key, value in of.items()}
    )
    parser.EndElementHandler = lambda tag: end(tag.rpartition(":")[2])
    parser.CharacterDataHandler = text
    with book.open(name) as packed:
        while piece := packed.read(PIECE):
            parser.Parse(piece, False)
        parser.Parse(b"", True)


def _xlsx_sheets(book: zipfile.ZipFile) -> list[tuple[str, str]]:
    """The title of each sheet and the file that it is in (ECMA-376 part 1, 18.2.20)."""
    ids: list[tuple[str, str]] = []
    files: dict[str, str] = {}

    def sheet(tag: str, of: Attributes) -> None:
        if tag == "sheet":
            ids.append((of["name"], of["id"]))

    def relation(tag: str, of: Attributes) -> None:
        if tag == "Relationship" and of["Type"].endswith("/worksheet"):
            files[of["Id"]] = posixpath.normpath(posixpath.join("/xl", of["Target"])).lstrip("/")

    _parse(book, "xl/workbook.xml", sheet)
    _parse(book, "xl/_rels/workbook.xml.rels", relation)
    return [(title, files[number]) for title, number in ids if number in files]


def _xlsx_sheet(book: zipfile.ZipFile, name: str) -> SheetMarks:
    """The marks of one sheet (ECMA-376 part 1, 18.3.1.4 c, 18.3.1.40 f, 18.3.1.55 mergeCell, 18.18.11 ST_CellType)."""
    sheet = _XlsxSheet()
    _parse(book, name, sheet.start, sheet.end, sheet.text)
    return sheet.marks


@dataclass(slots=True)
class _XlsxSheet:
    """A sheet of an .xlsx while one goes through it; value: of the cell, None where it has no element for one."""

    marks: SheetMarks = field(default_factory=SheetMarks)
    row: int = -1
    column: int = -1
    kind: str = ""
    formula: bool = False
    inline: bool = False
    value: str | None = None
    in_value: bool = False

    def start(self, tag: str, of: Attributes) -> None:
        """An element begins."""
        if tag == "row":
            self.row, self.column = int(of["r"]) - 1 if "r" in of else self.row + 1, -1
        elif tag == "c":
            self.row, self.column = _at(of["r"]) if "r" in of else (self.row, self.column + 1)
            self.kind, self.formula, self.inline, self.value = of.get("t", "n"), False, False, None
        elif tag == "f":
            self.formula = True
        elif tag == "is":
            self.inline = True
        elif tag == "v":
            self.value, self.in_value = "", True
        elif tag == "mergeCell":
            first, _, last = of["ref"].partition(":")
            self.marks.merged.append((_at(first), _at(last or first)))

    def text(self, piece: str) -> None:
        """Text between two marks."""
        if self.in_value:
            self.value = f"{self.value}{piece}"

    def end(self, tag: str) -> None:
        """An element ends."""
        if tag == "v":
            self.in_value = False
        elif tag == "c" and not self.marks.too_far:
            if self.value or self.inline or self.formula:
                self.marks.reach(self.row, self.column)
            if self.kind == "e":
                self.marks.broken[self.row, self.column] = self.value or "", ERROR
            elif self.formula and not self.value and (self.kind != "str" or self.value is None):
                self.marks.broken[self.row, self.column] = "", NO_RESULT


def _at(cell: str) -> At:
    """The place that the name of a cell names, as C4; raises ValueError for any other text.

    >>> _at("C4"), _at("XFD1048576")
    ((3, 2), (1048575, 16383))
    """
    parts = _CELL.fullmatch(cell)
    if not parts:
        raise ValueError(f"{cell} is no cell")
    column = 0
    for letter in parts[1]:
        column = 26 * column + ord(letter) - ord("A") + 1
    return int(parts[2]) - 1, column - 1


def _ods(book: zipfile.ZipFile) -> dict[str, SheetMarks]:
    """The marks of all sheets (OpenDocument 1.3 part 3, 9.1.2 to 9.1.5 and 19.385)."""
    sheets = _OdsSheets()
    _parse(book, "content.xml", sheets.start, sheets.end, sheets.text)
    return sheets.found


@dataclass(slots=True)
class _OdsSheets:
    """The sheets of an .ods while one goes through them.

    row, rows: the first row of those that are alike, and how many they are; column, columns: of cells that are alike
    said: the text of the cell without spaces around its pieces; written: with them, its tabs and its line ends
    broken_up: whether it has tabs or breaks of a line
    inside: how many elements deep in a cell the text is another's: a remark, or a change that was recorded
    """

    found: dict[str, SheetMarks] = field(default_factory=dict)
    marks: SheetMarks | None = None
    row: int = 0
    rows: int = 1
    column: int = 0
    columns: int = 1
    cell: Attributes | None = None
    said: str = ""
    written: str = ""
    broken_up: bool = False
    inside: int = 0

    def start(self, tag: str, of: Attributes) -> None:
        """An element begins."""
        if tag in {"annotation", "tracked-changes"} or self.inside:
            self.inside += 1
        elif tag == "table":
            self.marks = self.found[of["name"]] = SheetMarks()
            self.row = 0
        elif tag == "table-row":
            self.rows, self.column = int(of.get("number-rows-repeated", 1)), 0
        elif tag in {"table-cell", "covered-table-cell"}:
            self.cell, self.said, self.columns = of, "", int(of.get("number-columns-repeated", 1))
            self.written, self.broken_up = "", False
        elif self.cell is not None:  # OpenDocument 1.3 part 3, 6.1.3 to 6.1.5
            new_line = tag == "line-break" or (tag == "p" and self.written)
            self.written += "\t" if tag == "tab" else "\n" if new_line else ""
            self.written += " " * int(of.get("c", 1)) if tag == "s" else ""
            self.broken_up |= tag in {"tab", "line-break"}

    def text(self, piece: str) -> None:
        """Text between two marks."""
        if self.cell is not None and not self.inside:
            self.said += piece.strip()
            self.written += _SPACES.sub(" ", piece)

    def end(self, tag: str) -> None:
        """An element ends."""
        if self.inside:
            self.inside -= 1
        elif tag == "table":
            self.marks = None
        elif tag == "table-row":
            self.row += self.rows
            if self.marks and max(self.row, self.column) > MOST_ROWS:
                last = self.marks.last
                self.marks.last = max(last[0], self.row - 1), max(last[1], self.column - 1)
                self.marks.too_far = True
        elif tag in {"table-cell", "covered-table-cell"}:
            if self.marks and self.cell is not None and not self.marks.too_far:
                self._keep(self.marks, self.cell)
            self.column += self.columns
            self.cell = None

    def _keep(self, marks: SheetMarks, cell: Attributes) -> None:
        """What a cell, and those that are alike, says beside its value."""
        formula = "formula" in cell
        if self.said or formula or "value-type" in cell:
            marks.reach(self.row + self.rows - 1, self.column + self.columns - 1)
            if marks.too_far:
                return
        over = int(cell.get("number-rows-spanned", 1)), int(cell.get("number-columns-spanned", 1))
        if over != (1, 1):
            last = self.row + over[0] - 1, self.column + over[1] - 1
            marks.merged.append(((self.row, self.column), last))
        wrong = ""
        if formula and _ERROR_TEXT.fullmatch(self.said):
            wrong = ERROR
        elif formula and not self.said and "value-type" not in cell:
            wrong = NO_RESULT
        lost = self.broken_up and "string-value" not in cell
        for row in range(self.row, self.row + self.rows) if wrong or lost else ():
            for column in range(self.column, self.column + self.columns):
                if wrong:
                    marks.broken[row, column] = self.said, wrong
                else:
                    marks.texts[row, column] = self.written
