"""A small shop to read logs with, and a reader of files that a test writes."""

import datetime as dt
import zipfile
from types import SimpleNamespace
from xml.sax.saxutils import escape

import pytest
from making.folders import read_folder

from estimator.words.settings.reader import parse_settings

SHOP = """
[bench]
hours_by_weekday = [6, 6, 6, 6, 5, 0, 0]
most_hours_a_day_on_one_board = 4.5

[drivers.face_area]
unit = "m2"
from = "outline"
[drivers.sides_stripped]
blank = "unknown"
[drivers.glass_stripped]
label = "Old glass to take off"
unit = "m2"
from = "outline"
times = "sides_stripped"
[drivers.infills]
label = "Foam pieces"
known = "strip"
[drivers.logos]

[modifiers.wetness]
stages = ["strip"]
grades = ["dry", "damp", "wet", "soaked"]
known = "strip"
blank = "unknown"
[modifiers.nested]
stages = ["logo"]

[kinds.major]
label = "Full restoration"
[kinds.minor]
asks = ["infills"]

[stages.look]
[stages.clean]
drivers = ["once", "face_area"]
after = ["look"]
[stages.strip]
drivers = ["once", "glass_stripped"]
after = ["clean"]
[stages.infill]
drivers = ["once", "infills"]
after = ["strip"]
[stages.logo]
label = "Redraw logos"
drivers = ["logos"]
after = ["infill"]
[stages.redo]
after = ["infill"]
happens = "sometimes"

[[rules]]
name = "whole board"
low = 10
high = 90
odds = 0.8
"""

MIMETYPE = "application/vnd.oasis.opendocument.spreadsheet"
NAMESPACE = "urn:oasis:names:tc:opendocument:xmlns:"


@pytest.fixture(scope="session")
def shop():
    settings, problems = parse_settings(SHOP)
    assert problems == ()
    return settings


@pytest.fixture
def read(shop, tmp_path):
    """Files by name, texts or bytes, to what is read of them: log, problems and notes, and their sentences."""

    def reader(files=None, *, settings=shop, today=dt.date(2026, 10, 2), **texts):
        for name, written in {
            **(files or {}),
            **{f"{sheet}.csv": text for sheet, text in texts.items()},
        }.items():
            (tmp_path / name).write_bytes(written if isinstance(written, bytes) else written.encode())
        log, problems, notes = read_folder(tmp_path, settings, today=today)
        return SimpleNamespace(
            log=log,
            problems=[problem.sentence() for problem in problems],
            notes=[note.sentence() for note in notes],
        )

    return reader


@pytest.fixture
def write_xlsx(tmp_path):
    """Writes sheets of rows into log.xlsx: dates as dates, timedeltas as durations in hours and minutes."""
    import xlsxwriter

    def writer(sheets, name="log.xlsx"):
        with xlsxwriter.Workbook(str(tmp_path / name), {"strings_to_formulas": False}) as book:
            day = book.add_format({"num_format": "yyyy-mm-dd"})
            clock = book.add_format({"num_format": "[h]:mm"})
            for title, rows in sheets.items():
                sheet = book.add_worksheet(title)
                for row, cells in enumerate(rows):
                    for column, cell in enumerate(cells):
                        if isinstance(cell, dt.timedelta):
                            sheet.write_number(row, column, cell / dt.timedelta(days=1), clock)
                        elif isinstance(cell, dt.date):
                            sheet.write_datetime(row, column, dt.datetime.combine(cell, dt.time()), day)
                        elif cell is not None:
                            sheet.write(row, column, cell)

    return writer


@pytest.fixture
def write_ods(tmp_path):
    """Writes sheets of rows into log.ods, as OpenDocument 1.3 part 3 has it (ISO/IEC 26300): 19.385 office:value-type,
    office:time-value as a duration of XML Schema part 2, 3.2.6."""
    kinds = {
        bool: lambda cell: ("boolean", f'office:boolean-value="{str(cell).lower()}"'),
        int: lambda cell: ("float", f'office:value="{cell}"'),
        float: lambda cell: ("float", f'office:value="{cell!r}"'),
        dt.date: lambda cell: ("date", f'office:date-value="{cell.isoformat()}"'),
        dt.timedelta: lambda cell: ("time", f'office:time-value="{_duration(cell)}"'),
        str: lambda _: ("string", ""),
    }
    names = ["office", "table", "text"]
    spaces = " ".join(f'xmlns:{name}="{NAMESPACE}{name}:1.0"' for name in names)

    def cell_of(cell):
        if cell is None:
            return "<table:table-cell/>"
        kind, value = kinds[type(cell)](cell)
        text = f"<text:p>{escape(str(cell))}</text:p>"
        return f'<table:table-cell office:value-type="{kind}" {value}>{text}</table:table-cell>'

    def writer(sheets, name="log.ods"):
        body = "".join(
            f'<table:table table:name="{title}">'
            + "".join(f"<table:table-row>{''.join(map(cell_of, cells))}</table:table-row>" for cells in rows)
            + "</table:table>"
            for title, rows in sheets.items()
        )
        content = f"<office:spreadsheet>{body}</office:spreadsheet>"
        with zipfile.ZipFile(tmp_path / name, "w") as book:
            book.writestr("mimetype", MIMETYPE)
            book.writestr(
                "META-INF/manifest.xml",
                f'<manifest:manifest xmlns:manifest="{NAMESPACE}manifest:1.0" manifest:version="1.3">'
                f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MIMETYPE}"/>'
                '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
                "</manifest:manifest>",
            )
            book.writestr(
                "content.xml",
                f'<office:document-content {spaces} office:version="1.3"><office:body>{content}</office:body></office:document-content>',
            )

    return writer


def _duration(span):
    minutes, seconds = divmod(int(span.total_seconds()), 60)
    return f"PT{minutes // 60:02d}H{minutes % 60:02d}M{seconds:02d}S"
