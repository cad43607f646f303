"""The marks of single cells, and which of them count: small files by hand, each with one thing in it."""

import io
import zipfile

import pytest
import xlsxwriter

from estimator.log import workbook_marks
from estimator.log.workbook_marks import ERROR, NO_RESULT, Marks, SheetMarks, marks_of
from estimator.log.workbooks import _titles, too_far, with_marks
from estimator.words.problems import Place

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
PLACE = Place("log.xlsx", "boards")


def packed(**parts):
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as book:
        for name, text in parts.items():
            book.writestr(name, text)
    return kept.getvalue()


def xlsx(rows, after=""):
    """The marks of a sheet of these rows (ECMA-376 part 1, 18.3.1)."""
    parts = {
        "xl/workbook.xml": '<w><sheets><sheet name="boards" id="r1"/></sheets></w>',
        "xl/_rels/workbook.xml.rels": '<R><Relationship Id="r1" Type="x/worksheet" Target="worksheets/a.xml"/></R>',
        "xl/worksheets/a.xml": f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData>{after}</worksheet>',
    }
    found = marks_of(packed(**parts))
    assert not found.at_once
    return found.sheets["boards"]


def ods(rows):
    """The marks of a sheet of these rows (OpenDocument 1.3 part 3, 9.1)."""
    found = marks_of(packed(**{"content.xml": f'<d><table name="boards">{rows}</table></d>'}))
    assert found.at_once
    return found.sheets["boards"]


def test_a_sheet_that_is_a_drawing_is_no_sheet_of_the_log():
    kept = io.BytesIO()
    with xlsxwriter.Workbook(kept) as book:
        book.add_worksheet("jobs").write(0, 0, "x")
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=jobs!$A$1:$A$1"})
        book.add_chartsheet("drawn").set_chart(chart)
    assert list(marks_of(kept.getvalue()).sheets) == ["jobs"]


@pytest.mark.parametrize(
    ("rows", "last"),
    [
        ("<row><c><v>1</v></c></row><row><c/><c><v>1</v></c></row>", (1, 1)),  # neither says its place
        ('<row r="3"><c r="C3"><v>1</v></c><c><v>1</v></c></row><row><c><v>1</v></c></row>', (3, 3)),
        ('<row r="3"><c><v>1</v></c></row><row><c><v>1</v></c></row>', (3, 0)),
        ('<row r="2"><c r="D2" t="inlineStr"><is><t>x</t></is></c></row>', (1, 3)),
        ('<row r="2"><c r="D2"><f>1+1</f></c></row>', (1, 3)),
        ('<row r="2"><c r="D2" s="4"/></row>', (-1, -1)),  # coloured, and nothing in it
        ('<row r="2"><c r="D2"><v></v></c></row>', (-1, -1)),
        ('<row r="9"><c r="A9"><v>1</v></c></row><row r="10"><c r="B2"><v>1</v></c></row>', (8, 1)),
    ],
)  # fmt: skip
def test_a_sheet_reaches_to_its_last_row_and_column_with_anything_in_them(rows, last):
    found = xlsx(rows)
    assert found.last == last
    assert found.filled == (last != (-1, -1))
    assert found.span == (last[0] + 1) * (last[1] + 1)


@pytest.mark.parametrize(
    ("cell", "broken"),
    [
        ('<c r="B2" t="e"><v>#N/A</v></c>', ("#N/A", ERROR)),
        ('<c r="B2" t="e"></c>', ("", ERROR)),
        ('<c r="B2"><f>1+1</f></c>', ("", NO_RESULT)),
        ('<c r="B2"><f>1+1</f><v></v></c>', ("", NO_RESULT)),
        ('<c r="B2" t="str"><f>1+1</f></c>', ("", NO_RESULT)),
        ('<c r="B2" t="str"><f>""</f><v></v></c>', None),
        ('<c r="B2"><f>1+1</f><v>2</v></c>', None),
        ('<c r="B2"><v>2</v></c>', None),
        ('<c r="A2"><f>1</f><v>2</v></c><c r="B2"/>', None),  # the formula was of the cell before
    ],
)  # fmt: skip
def test_a_cell_is_broken_by_an_error_or_by_a_formula_without_result(cell, broken):
    assert xlsx(f'<row r="2">{cell}</row>').broken == ({(1, 1): broken} if broken else {})


def test_merged_cells_are_named_from_the_first_to_the_last_and_one_alone_is_itself():
    after = '<mergeCells><mergeCell ref="B2:C4"/><mergeCell ref="AA1"/></mergeCells>'
    assert xlsx("", after).merged == [((1, 1), (3, 2)), ((0, 26), (0, 26))]


@pytest.mark.parametrize(("columns", "too_far"), [(5, False), (6, True)])
def test_a_sheet_may_span_so_many_cells_and_none_more(monkeypatch, columns, too_far):
    monkeypatch.setattr(workbook_marks, "MOST_CELLS", 10)
    found = SheetMarks()
    found.reach(1, columns - 1)
    assert found.too_far == too_far
    found.reach(0, 0)
    assert (found.last, found.too_far) == ((1, columns - 1), too_far)


FILLED = "<table-cell><p>x</p></table-cell>"
NO = "<table-cell/>"


@pytest.mark.parametrize(
    ("rows", "last"),
    [
        (f"<table-row>{FILLED}</table-row>", (0, 0)),
        (f'<table-row number-rows-repeated="4">{NO}</table-row><table-row>{NO}{FILLED}</table-row>', (4, 1)),
        (f'<table-row number-rows-repeated="4">{FILLED}</table-row>', (3, 0)),
        ('<table-row><table-cell number-columns-repeated="3"><p>x</p></table-cell></table-row>', (0, 2)),
        (f'<table-row><table-cell number-columns-repeated="3"/>{FILLED}</table-row>', (0, 3)),
        ('<table-row><table-cell value-type="float"/></table-row>', (0, 0)),
        (f'<table-row>{NO}<table-cell formula="=1"/></table-row>', (0, 1)),
        (f"<table-row>{FILLED}{FILLED}</table-row><table-row>{FILLED}</table-row>", (1, 1)),
        ("<table-row><table-cell><annotation><p>x</p></annotation></table-cell></table-row>", (-1, -1)),
        (f"<tracked-changes><table-row>{FILLED}</table-row></tracked-changes>", (-1, -1)),
    ],
)  # fmt: skip
def test_rows_and_cells_that_are_alike_count_each_and_remarks_do_not(rows, last):
    assert ods(rows).last == last


@pytest.mark.parametrize(
    ("cell", "broken"),
    [
        ('<table-cell formula="x"><p>#REF!</p></table-cell>', {(0, 1): ("#REF!", ERROR)}),
        ('<table-cell formula="x"><p>Err:502</p></table-cell>', {(0, 1): ("Err:502", ERROR)}),
        ('<table-cell formula="x" value-type="string"><p>#1 of 2</p></table-cell>', {}),
        ("<table-cell><p>#REF!</p></table-cell>", {}),  # somebody wrote it
        ('<table-cell formula="x"/>', {(0, 1): ("", NO_RESULT)}),
        ('<table-cell formula="x" value-type="string"/>', {}),
        (
            '<table-cell formula="x" number-columns-repeated="2"/>',
            {(0, 1): ("", NO_RESULT), (0, 2): ("", NO_RESULT)},
        ),
    ],
)
def test_a_formula_of_an_ods_that_fails_or_has_no_result_is_broken(cell, broken):
    assert ods(f"<table-row>{NO}{cell}</table-row>").broken == broken


@pytest.mark.parametrize(
    ("cell", "texts"),
    [
        ("<p>a<tab/>b</p>", {(0, 0): "a\tb"}),
        ("<p>a<line-break/>b</p>", {(0, 0): "a\nb"}),
        ('<p>a<tab/>b<s c="3"/>c</p><p>d</p>', {(0, 0): "a\tb   c\nd"}),
        ("<p>a</p><p>b</p>", {}),  # whoever reads the values has these
    ],
)
def test_texts_with_tabs_and_broken_lines_are_kept_as_they_stand(cell, texts):
    row = "<table-row><table-cell{}>{}</table-cell></table-row>"
    assert ods(row.format("", cell)).texts == texts
    assert ods(row.format(' string-value="a"', cell)).texts == {}


def test_a_cell_over_others_is_merged_as_far_as_they_go():
    over = '<table-cell number-rows-spanned="2" number-columns-spanned="3"><p>x</p></table-cell>'
    same = '<table-cell number-rows-spanned="1" number-columns-spanned="1"><p>x</p></table-cell>'
    found = ods(f"<table-row>{NO}{over}</table-row><table-row>{same}</table-row>")
    assert found.merged == [((0, 1), (1, 3))]


GRID = [(2, ["board", "", "note"]), (3, ["A", "x", "y"]), (6, ["B", "x"])]


@pytest.mark.parametrize(
    ("broken", "rows"),
    [
        ((2, 0), {3: ["?", "x", "y"]}),
        ((2, 1), {}),  # under no name
        ((1, 0), {}),  # the name itself
        ((0, 0), {}),  # a title above
        ((5, 2), {6: ["B", "x", "?"]}),  # behind what the row has
        ((3, 2), {4: ["", "", "?"]}),  # in a row of its own
    ],
)
def test_only_what_stands_below_a_name_is_lost(broken, rows):
    grid, problems = with_marks(GRID, 0, SheetMarks(broken={broken: ("#REF!", ERROR)}), PLACE)
    assert dict(grid) == {**dict(GRID), **rows}
    assert [number for number, _ in grid] == sorted({2, 3, 6} | rows.keys())
    assert [(one.place.row, one.place.column) for one in problems] == (
        [(broken[0] + 1, "ABC"[broken[1]])] if rows else []
    )
    assert with_marks(GRID, -1, SheetMarks(broken={broken: ("", ERROR)}), PLACE) == (GRID, [])


@pytest.mark.parametrize(
    ("area", "rows", "found"),
    [
        (((2, 0), (5, 0)), {6: ["?", "x"]}, ("A3", "A", "A6")),  # rows between are empty
        (((2, 1), (2, 2)), {3: ["A", "x", "?"]}, ("B3", "x", "C3")),
        (((2, 0), (4, 1)), {}, None),  # over what nobody reads
        (((0, 0), (1, 2)), {}, None),  # a title
        (((1, 0), (2, 0)), {3: ["?", "x", "y"]}, ("A2", "board", "A3")),
        (((5, 2), (9, 2)), {}, None),
    ],
)
def test_what_lies_under_a_merged_cell_is_lost_and_the_first_stays(area, rows, found):
    grid, problems = with_marks(GRID, 0, SheetMarks(merged=[area]), PLACE)
    assert dict(grid) == {**dict(GRID), **rows}
    said = [
        (f"{one.place.column}{one.place.row}", one.found, one.wrong.split(",")[0].split()[-1])
        for one in problems
    ]
    assert said == ([found] if found else [])


def test_of_two_sheets_of_one_name_the_first_with_anything_in_it_is_read():
    def sheet(*last):
        return SheetMarks(last=last)

    sheets = {
        "Boards": sheet(-1, -1),
        "boards ": sheet(0, 0),
        "BOARDS": sheet(3, 3),
        "x": sheet(-1, -1),
        "y": sheet(0, 0),
    }
    assert _titles(Marks(sheets, at_once=False), {"boards": None}) == ({"boards": "boards "}, ["BOARDS", "y"])


def test_of_sheets_that_are_too_large_together_the_widest_is_named(monkeypatch):
    monkeypatch.setattr("estimator.log.workbooks.MOST_CELLS", 10)
    sheets = {
        "boards": SheetMarks(last=(1, 2)),
        "hours": SheetMarks(last=(0, 3)),
        "other": SheetMarks(last=(9, 0)),
    }

    def named(*titles, at_once=False):
        return [
            (one.place.sheet, one.wrong.split(",")[0]) for one in too_far(Marks(sheets, at_once), "l", titles)
        ]

    assert named("boards", "hours") == []  # six and four
    assert named("boards", "hours", at_once=True) == [("other", "this sheet reaches as far as A10")]
    assert named("boards", "other") == [("other", "this sheet reaches as far as A10")]
    sheets["hours"].too_far = True
    assert named("boards") == []
    assert named("hours") == [("hours", "this sheet reaches as far as D1")]
    sheets["other"].too_far = True
    assert named("boards", "hours", at_once=True) == [
        ("hours", "this sheet reaches as far as D1"),
        ("other", "this sheet reaches as far as A10"),
    ]
