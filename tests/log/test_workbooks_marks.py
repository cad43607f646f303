"""What a spreadsheet's file says beside its values: errors, missing results, merged cells, and more than can be read.

The elements are those of ECMA-376 part 1 (18.3.1.4, 18.3.1.40, 18.3.1.55) and OpenDocument 1.3 part 3 (9.1, 19.385).
"""

import io
import time
import zipfile

import pytest
import xlsxwriter

from estimator.log.columns import names_of_sheets
from estimator.log.workbooks import raw_workbook

NAMES = ["board", "kind", "assessed infills", "assessed logos", "note"]


def xlsx(fill):
    """The bytes of a spreadsheet with one sheet of boards, its header written; fill: writes the rest."""
    kept = io.BytesIO()
    with xlsxwriter.Workbook(kept) as book:
        sheet = book.add_worksheet("boards")
        sheet.write_row(0, 0, NAMES)
        fill(sheet, book)
    return kept.getvalue()


def ods(rows):
    """The bytes of an .ods with one sheet of boards, its rows as written."""
    office = "urn:oasis:names:tc:opendocument:xmlns:"
    spaces = " ".join(f'xmlns:{name}="{office}{name}:1.0"' for name in ("office", "table", "text"))
    head = "".join(map(cell, NAMES))
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        book.writestr(
            "META-INF/manifest.xml",
            f'<m:manifest xmlns:m="{office}manifest:1.0" m:version="1.3"></m:manifest>',
        )
        book.writestr(
            "content.xml",
            f"<office:document-content {spaces}><office:body><office:spreadsheet>"
            f'<table:table table:name="boards"><table:table-row>{head}</table:table-row>{rows}</table:table>'
            "</office:spreadsheet></office:body></office:document-content>",
        )
    return kept.getvalue()


def cell(text, *, of="", kind="string"):
    """A cell of an .ods."""
    return f'<table:table-cell office:value-type="{kind}" {of}><text:p>{text}</text:p></table:table-cell>'


def repacked(data, name, change):
    """The same packed file with the text of one part changed."""
    kept = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as new:
        for one in old.namelist():
            text = old.read(one)
            new.writestr(one, change(text) if one == name else text)
    return kept.getvalue()


def broken(sheet, _):
    sheet.write(1, 0, "A")
    sheet.write_formula(1, 2, "=#REF!+1", None, "#REF!")
    sheet.write_formula(1, 3, "=1+1", None, "")
    sheet.write_formula(1, 4, '=""', None, "")
    sheet.write(2, 0, "B")
    sheet.write_formula(2, 2, "=1+1", None, 2)
    sheet.write_formula(2, 6, "=1/0", None, "#DIV/0!")  # beside the table: nobody reads it


BROKEN_ODS = (
    f"<table:table-row>{cell('A')}<table:table-cell/>"
    + cell("#REF!", of='table:formula="of:=#REF!" office:string-value=""')
    + '<table:table-cell table:formula="of:=1+1"/></table:table-row>'
    f"<table:table-row>{cell('B')}<table:table-cell/>"
    + cell("2", of='table:formula="of:=1+1" office:value="2"', kind="float")
    + "</table:table-row>"
)


@pytest.mark.parametrize(("name", "data"), [("log.xlsx", xlsx(broken)), ("log.ods", ods(BROKEN_ODS))])
def test_a_cell_that_lost_its_value_is_a_problem_and_not_none(read, name, data):
    found = read({name: data})

    mend = "Mend the formula, or write the value itself, and save it."
    assert [one for one in found.problems if "E2" not in one] == [
        f'{name}, sheet boards, cell C2: "#REF!": the formula comes to an error. {mend}',
        f"{name}, sheet boards, cell D2: the formula has no result in the file. {mend}",
    ]
    one, other = found.log.boards
    assert (one.assessed.get("infills"), one.assessed.get("logos")) == (None, None)
    assert (other.assessed["infills"], other.assessed["logos"]) == (2.0, 0.0)


def test_a_formula_that_comes_to_no_text_is_empty():
    def change(text):
        return text.replace(b'<c r="E2"><f>', b'<c r="E2" t="str"><f>')

    data = repacked(xlsx(broken), "xl/worksheets/sheet1.xml", change)
    _, problems, _ = raw_workbook(data, "log.xlsx", names_of_sheets_of_none())
    assert [problem.place.column for problem in problems] == ["C", "D"]


def names_of_sheets_of_none():
    from estimator.words.settings.schema import Driver, Settings

    return names_of_sheets(Settings(drivers={"infills": Driver("infills"), "logos": Driver("logos")}))


def merged(sheet, book):
    sheet.merge_range(0, 6, 0, 8, "a heading beside", book.add_format())
    for row, board in enumerate("ABC", 1):
        sheet.write(row, 0, board)
    sheet.merge_range(1, 2, 2, 2, 3, book.add_format())


MERGED_ODS = (
    f"<table:table-row>{cell('A')}<table:table-cell/>"
    + cell(
        "3",
        of='office:value="3" table:number-rows-spanned="2" table:number-columns-spanned="1"',
        kind="float",
    )
    + f"</table:table-row><table:table-row>{cell('B')}<table:table-cell/><table:covered-table-cell/></table:table-row>"
    f"<table:table-row>{cell('C')}</table:table-row>"
)


@pytest.mark.parametrize(("name", "data"), [("log.xlsx", xlsx(merged)), ("log.ods", ods(MERGED_ODS))])
def test_cells_under_a_merged_one_are_said_and_not_none(read, name, data):
    found = read({name: data})

    assert [one for one in found.problems if "merged" in one] == [
        (
            f'{name}, sheet boards, cell C2: "3": this cell is merged as far as C3, and only the first of them counts. '
            "Part them, and write into each what is true of it."
        )
    ]
    assert [board.assessed.get("infills") for board in found.log.boards[:2]] == [3.0, None]


def far(sheet, _):
    sheet.write(1, 0, "A")
    sheet.write(1_048_575, 16_383, "x")


@pytest.mark.parametrize(
    ("name", "data", "where"),
    [
        ("log.xlsx", xlsx(far), "XFD1048576"),
        (
            "log.ods",
            ods(f'<table:table-row table:number-rows-repeated="1000000000">{cell("A")}</table:table-row>'),
            "E1000000001",
        ),
        (
            "log.ods",
            ods(
                '<table:table-row table:number-rows-repeated="1000000000"><table:table-cell/></table:table-row>'
            ),
            "E1000000001",
        ),
        (
            "log.ods",
            ods(
                f"<table:table-row>{cell('A', of='table:number-columns-repeated=' + chr(34) + '900000000' + chr(34))}"
                "</table:table-row>"
            ),
            "BWSLDXP2",
        ),
    ],
)
def test_a_sheet_that_spans_more_than_can_be_read_is_a_problem_at_once(read, name, data, where):
    start = time.monotonic()
    found = read({name: data})

    assert time.monotonic() - start < 5
    assert (
        f"{name}, sheet boards: this sheet reaches as far as {where}, and nothing of the file is read. "
        "Delete the rows and the columns outside of your table, and save it."
    ) in found.problems
    assert found.log.boards == ()


def test_a_row_of_too_many_empty_cells_is_a_problem(read):
    rows = f'<table:table-row>{cell("A")}<table:table-cell table:number-columns-repeated="900000000"/></table:table-row>'
    assert [one for one in read({"log.ods": ods(rows)}).problems if "reaches as far as" in one]


def test_empty_rows_to_the_end_of_the_sheet_are_no_trouble(read):
    rows = f"<table:table-row>{cell('A')}</table:table-row>"
    rows += '<table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    assert [board.board for board in read({"log.ods": ods(rows)}).log.boards] == ["A"]


def bomb(declared):
    """A spreadsheet whose one sheet is mostly blanks; declared: how many bytes its head says, None for the truth."""
    blanks = b" " * 2_000_000
    data = repacked(
        xlsx(far),
        "xl/worksheets/sheet1.xml",
        lambda text: text.replace(b"<sheetData>", b"<sheetData>" + blanks),
    )
    if declared is None:
        return data
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        size = book.getinfo("xl/worksheets/sheet1.xml").file_size
    return data.replace(size.to_bytes(4, "little"), declared.to_bytes(4, "little"))


@pytest.mark.parametrize(
    ("declared", "said"),
    [
        (
            None,
            "this file unpacks to more than any log needs. Copy the sheets of your log into a new spreadsheet.",
        ),
        (
            1000,
            (
                "this file cannot be opened as a spreadsheet. "
                "Open it in your spreadsheet program and save it again, without a password."
            ),
        ),
    ],
)
def test_what_unpacks_to_too_much_is_not_unpacked(read, monkeypatch, declared, said):
    monkeypatch.setattr("estimator.log.workbook_marks.MOST_BYTES", 1_000_000)
    assert read({"log.xlsx": bomb(declared)}).problems == [f"log.xlsx: {said}"]


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace(b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet'),
        lambda text: text[:200],
        lambda text: text.replace(b'r="C2"', b'r="nowhere"'),
    ],
)
def test_a_damaged_file_is_one_problem(read, change):
    data = repacked(xlsx(broken), "xl/worksheets/sheet1.xml", change)
    assert [one for one in read({"log.xlsx": data}).problems if "cannot be opened" in one]


def test_an_older_spreadsheet_under_a_new_name_is_said(read):
    assert read({"log.xlsx": b"\xd0\xcf\x11\xe0" + bytes(600)}).problems == [
        (
            "log.xlsx: this is a spreadsheet of an older kind, or one with a password. "
            "Save it again as .xlsx or .ods, without a password."
        )
    ]


def test_titles_of_sheets_send_no_codes_to_a_screen(read):
    # XML 1.0 has the second set of control characters, and a screen may take one of them for the begin of a code
    data = repacked(
        xlsx(broken), "xl/workbook.xml", lambda text: text.replace(b'"boards"', '"bo\x9b31mards"'.encode())
    )
    found = read({"log.xlsx": data})

    assert found.problems[0].startswith("log.xlsx: there is no sheet “boards” in it, only bo31mards.")


def test_tabs_and_breaks_of_a_line_in_an_ods_stay():
    text = "a<text:tab/>b<text:s text:c='2'/>c</text:p><text:p>d\n e"
    rows = f"<table:table-row>{cell('A')}{cell(text)}{cell('a<text:line-break/>b')}</table:table-row>"
    [sheet], problems, _ = raw_workbook(ods(rows), "log.ods", names_of_sheets_of_none())
    assert problems == []
    assert sheet.rows[1][1][1:3] == ["a\tb  c\nd e", "a\nb"]
