"""Sheets as files: xlsx, ods, or a folder of csv; text stays text, whatever a spreadsheet would make of it."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from estimator.log.exchange.rows import SheetOut
from estimator.log.files import write_whole
from estimator.log.parse.cells import one_line
from estimator.log.store import WORKBOOKS
from estimator.log.tables import CellValue
from estimator.words.errors import UsageError

SIGNS = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "'",
)  # with which a spreadsheet begins to reckon, or which stands before them
TEXT_MARK = "'"
NO_LETTER = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # that XML cannot hold
RUNS = re.compile(r"^ +| +$| {2,}|\t|\r")  # that a reader of XML would make one space
A_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)*")
EARLIEST = dt.datetime(1980, 1, 1)  # noqa: DTZ001  so that the same sheets make the same bytes
ODS = "application/vnd.oasis.opendocument.spreadsheet"
NAMESPACES = {
    name: f"urn:oasis:names:tc:opendocument:xmlns:{rest}:1.0"
    for name, rest in {
        "office": "office",
        "table": "table",
        "text": "text",
        "style": "style",
        "number": "datastyle",
        "manifest": "manifest",
    }.items()
}


def write_sheets(sheets: Sequence[SheetOut], target: Path, shop: Path) -> tuple[Path, ...]:
    """Writes sheets to a spreadsheet, or as csv into a folder, by the name of the target; the files.

    shop: the workshop's folder, in which a file of this name must not become its log

    Raises UsageError where something is there already, it is not one of these, or it cannot be written.
    """
    kind = target.suffix.casefold()
    if kind in {".xlsx", ".ods"}:
        if target.name.casefold() in WORKBOOKS and target.resolve().parent == shop.resolve():
            raise UsageError(f"{target} would be read as the log itself.", "Give it another name.")
        if target.exists():
            raise UsageError(f"{target} is there already, and stays as it is.", "Give it another name.")
        files = {target: xlsx_of(sheets) if kind == ".xlsx" else ods_of(sheets)}
    else:
        _is_free_folder(target, shop)
        files = {target / f"{sheet.name}.csv": csv_of(sheet) for sheet in sheets}
    try:
        for path, data in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, data)
    except OSError as error:
        raise UsageError(
            f"{target} cannot be written.", "See whether the disk is full, and whether you may write there."
        ) from error
    return tuple(files)


def _is_free_folder(target: Path, shop: Path) -> None:
    """Raises UsageError where csv files cannot go into a folder of this name."""
    if target.suffix and not target.is_dir():
        raise UsageError(
            f"{target} is no kind of file that a log is written to.",
            "End its name with .xlsx or .ods; a name without an ending is a folder for csv files.",
        )
    if target.resolve() == shop.resolve():
        raise UsageError(f"{target} is the workshop itself.", "Name another folder.")
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise UsageError(f"{target} is there already, and stays as it is.", "Name a new folder.")


def csv_of(sheet: SheetOut) -> bytes:
    r"""A sheet as csv in UTF-8; a text that a spreadsheet would reckon with has one ' before it.

    >>> csv_of(SheetOut("notes", ("board", "note"), [("A", "=1+1"), ("B", "-2"), ("C", "'so")]))
    b"board,note\nA,'=1+1\nB,-2\nC,''so\n"
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    for row in (sheet.header, *sheet.rows):
        writer.writerow([_held(cell) if isinstance(cell, str) else one_line(cell) for cell in row])
    return text.getvalue().encode("utf-8")


def _held(text: str) -> str:
    """A text that no spreadsheet reckons with."""
    return TEXT_MARK + text if text.startswith(SIGNS) and not A_NUMBER.fullmatch(text) else text


def let_go(text: str) -> str:
    """A text without the mark that `csv_of` writes before it.

    >>> let_go("'=1+1"), let_go("''so"), let_go("'so")
    ('=1+1', "'so", "'so")
    """
    return text[1:] if text.startswith(TEXT_MARK) and text[1:].startswith(SIGNS) else text


def xlsx_of(sheets: Sequence[SheetOut]) -> bytes:
    """Sheets as the bytes of an xlsx file."""
    import xlsxwriter

    data = io.BytesIO()
    book = xlsxwriter.Workbook(data, {"in_memory": True, "constant_memory": False})
    book.set_properties({"created": EARLIEST})
    a_day, bold = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"bold": True})
    for sheet in sheets:
        page = book.add_worksheet(sheet.name)
        page.freeze_panes(1, 0)
        for at, name in enumerate(sheet.header):
            page.write_string(0, at, _of_xml(name), bold)
        for number, row in enumerate(sheet.rows, 1):
            for at, cell in enumerate(row):
                if isinstance(cell, bool):
                    page.write_boolean(number, at, cell)
                elif isinstance(cell, int | float):
                    page.write_number(number, at, cell)
                elif isinstance(cell, dt.date):
                    page.write_datetime(number, at, cell, a_day)
                elif cell != "":
                    page.write_string(
                        number, at, _of_xml(one_line(cell) if not isinstance(cell, str) else cell)
                    )
    book.close()
    return data.getvalue()


def _of_xml(text: str) -> str:
    """A text without what no XML holds."""
    return NO_LETTER.sub("", text)


def ods_of(sheets: Sequence[SheetOut]) -> bytes:
    """Sheets as the bytes of an ods file.

    Source: OASIS, Open Document Format for Office Applications 1.3, parts 2 (packages) and 3 (schema).
    """
    tables = "".join(map(_table, sheets))
    content = (
        f"{_root('office:document-content', 'office table text style number')}<office:automatic-styles>"
        '<number:date-style style:name="N1"><number:year number:style="long"/><number:text>-</number:text>'
        '<number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/>'
        '</number:date-style><style:style style:name="day" style:family="table-cell" style:data-style-name="N1"/>'
        f"</office:automatic-styles><office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body>"
        "</office:document-content>"
    )
    entries = {"/": ODS, "content.xml": "text/xml"}
    listed = "".join(
        f'<manifest:file-entry manifest:full-path="{path}" manifest:media-type="{kind}"/>'
        for path, kind in entries.items()
    )
    manifest = f"{_root('manifest:manifest', 'manifest')}{listed}</manifest:manifest>"
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as package:
        stamp = EARLIEST.timetuple()[:6]
        package.writestr(zipfile.ZipInfo("mimetype", stamp), ODS)  # first, and as it is
        for name, text in {"content.xml": content, "META-INF/manifest.xml": manifest}.items():
            package.writestr(zipfile.ZipInfo(name, stamp), text.encode("utf-8"), zipfile.ZIP_DEFLATED)
    return data.getvalue()


def _root(name: str, spaces: str) -> str:
    """The beginning of a document, with its namespaces."""
    named = " ".join(f'xmlns:{one}="{NAMESPACES[one]}"' for one in spaces.split())
    version = f'{name.partition(":")[0]}:version="1.3"'
    return f'<?xml version="1.0" encoding="UTF-8"?><{name} {named} {version}>'


def _table(sheet: SheetOut) -> str:
    """One sheet of an ods file."""
    rows = "".join(
        f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>"
        for row in (sheet.header, *sheet.rows)
    )
    return f"<table:table table:name={quoteattr(sheet.name)}>{rows}</table:table>"


def _ods_cell(cell: CellValue) -> str:
    """One cell of an ods file."""
    if cell == "" and isinstance(cell, str):
        return "<table:table-cell/>"
    for kinds, value in VALUES.items():
        if isinstance(cell, kinds):
            return f"<table:table-cell {value(cell)}><text:p>{escape(one_line(cell))}</text:p></table:table-cell>"
    lines = _of_xml(cell if isinstance(cell, str) else one_line(cell)).split("\n")
    said = "".join(f"<text:p>{_spaced(line)}</text:p>" for line in lines)
    # a tab is lost on readers that only look at the paragraphs
    whole = f" office:string-value={quoteattr(cell)}" if isinstance(cell, str) and "\t" in cell else ""
    return f'<table:table-cell office:value-type="string"{whole}>{said}</table:table-cell>'


VALUES: Mapping[type | tuple[type, ...], Callable[[CellValue], str]] = {
    bool: lambda cell: f'office:value-type="boolean" office:boolean-value="{str(cell).lower()}"',
    (int, float): lambda cell: f'office:value-type="float" office:value="{cell!r}"',
    dt.date: lambda cell: f'table:style-name="day" office:value-type="date" office:date-value="{_iso(cell)}"',
}


def _iso(cell: CellValue) -> str:
    """A day, with its time where it has one."""
    return cell.isoformat() if isinstance(cell, dt.date) else ""


def _spaced(line: str) -> str:
    """A line in which runs of spaces, tabs and returns stay."""

    def kept(found: re.Match[str]) -> str:
        other = {"\t": "<text:tab/>", "\r": "&#13;"}
        return other.get(found[0]) or f'<text:s text:c="{len(found[0])}"/>'

    return RUNS.sub(kept, escape(line))
