"""Sheets as they go out: cells that a spreadsheet can reckon with, where the same is read of them; and where to."""

import datetime as dt
import io

import pytest
from making.books import SETTINGS, book
from making.folders import folder
from python_calamine import CalamineWorkbook

from estimator.log.exchange.export import export_log
from estimator.log.exchange.rows import SheetOut, sheets_out, unknown_columns
from estimator.log.exchange.writing import csv_of, ods_of, xlsx_of
from estimator.log.kept_in import store_of
from estimator.log.store import FileStore
from estimator.log.tables import RawLog, RawSheet
from estimator.words.errors import UsageError
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings

READ = parse_settings(SETTINGS)[0]


def out(sheet, header, *rows, marks=None, owners=True):
    raw = RawSheet(sheet, Place("log.xlsx", sheet), list(enumerate([header, *rows], 1)), 0)
    found = {
        one.name: one for one in sheets_out(RawLog((raw,), "log.xlsx"), READ, marks or {}, with_owners=owners)
    }
    return found[sheet]


@pytest.mark.parametrize(
    ("column", "cell", "goes"),
    [
        ("date", "2026-05-04", dt.date(2026, 5, 4)),
        ("date", "1900-12-31", "1900-12-31"),  # before which spreadsheets know no days
        ("date", "1901-01-01", dt.date(1901, 1, 1)),
        ("date", "4.5.2026", "4.5.2026"),
        ("hours", "4.5", 4.5),
        ("hours", "4.50", "4.50"),
        ("hours", "4½", "4½"),
        ("hours", "about 3", "about 3"),
        ("hours", "", ""),
        ("hours", 4.5, 4.5),
        ("hours", dt.time(2, 30), "02:30:00"),
        ("note", "4.5", "4.5"),
        ("stage", "2026-05-04", "2026-05-04"),
        ("Zeal", "4.5", "4.5"),
    ],
)
def test_a_cell_is_a_number_or_a_day_where_just_the_same_is_read_of_it(column, cell, goes):
    ((found, mark),) = out("hours", [column], [cell]).rows
    assert mark == ""
    assert found == goes
    assert type(found) is type(goes)


def test_rows_have_their_marks_and_columns_of_one_name_and_old_marks_are_not_doubled():
    header = ["board", "note", "book_row", "", "note"]
    made = out(
        "hours",
        header,
        ["A", "x", "9-old", "y", "z"],
        ["B"],
        marks={("hours", 2): "2-ab", ("boards", 3): "no"},
    )
    assert made.header == ("board", "note", "book_row")
    assert made.rows == [("A", "x", "2-ab"), ("B", "", "")]


def test_owners_stay_however_their_columns_are_called_and_strange_columns_are_named():
    header, row = ["board", "Owner", "Reach", "Shelf"], ["A", "Ann", "12", "left"]
    kept = out("boards", header, row, owners=False)
    assert kept.header == ("board", "Shelf", "book_row")
    assert kept.rows == [("A", "left", "")]
    assert unknown_columns([kept], READ) == ["Shelf"]
    assert out("boards", header, row).header == (*header, "book_row")


def test_an_empty_log_goes_out_as_its_boards_alone(tmp_path):
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "workshop.toml").write_text(SETTINGS, "utf-8")
    done = export_log(FileStore(tmp_path / "shop"), tmp_path / "out")
    assert [path.name for path in done.files] == ["boards.csv"]
    head = (tmp_path / "out" / "boards.csv").read_text("utf-8")
    assert head.startswith("board,called,")
    assert "owner" not in head
    assert head.endswith(",book_row\n")
    assert (dict(done.rows), done.with_owners, done.problems) == ({"boards": 0}, False, ())


@pytest.mark.parametrize("made", [xlsx_of, ods_of])
def test_each_kind_of_cell_is_what_it_is_in_a_spreadsheet(made):
    cells = (True, 4.5, 3, dt.date(2026, 5, 4), "", "two\nlines", "a\x00b", "  so  ", "=1+1", "007")
    data = made([SheetOut("hours", tuple("abcdefghij"), [cells])])
    found = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_name("hours").to_python()
    assert found[0] == list("abcdefghij")
    assert found[1] == [True, 4.5, 3, dt.date(2026, 5, 4), "", "two\nlines", "ab", "  so  ", "=1+1", "007"]
    assert type(found[1][0]) is bool


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("-2.5", "-2.5"), ("+3", "+3"), ("-2,5", '"-2,5"'), ("-", "'-"), ("-x", "'-x"), ("=1", "'=1"), ("'x", "''x"),
        ("+49 30", "'+49 30"), ("@a", "'@a"), ("1-2", "1-2"), ("\tx", "'\tx"),
    ],
)  # fmt: skip
def test_in_csv_a_text_that_would_be_reckoned_with_is_held(text, written):
    assert csv_of(SheetOut("notes", ("n",), [(text,)])).decode() == f"n\n{written}\n"


def test_csv_has_days_and_figures_as_they_are_kept():
    made = csv_of(SheetOut("notes", ("a", "b", "c"), [(dt.date(2026, 5, 4), 4.5, 3.0)]))
    assert made == b"a,b,c\n2026-05-04,4.5,3\n"


def test_a_log_may_go_anywhere_but_where_it_would_be_read_as_the_log(tmp_path):
    store = book(tmp_path / "shop", boards=[{"board": "A"}])
    for target in (
        tmp_path / "log.xlsx",
        store.folder / "for her.xlsx",
        tmp_path / "new" / "er",
        tmp_path / "out.ODS",
    ):
        assert export_log(store, target).files
    (tmp_path / "empty").mkdir()
    (done,) = export_log(store, tmp_path / "empty").files
    assert done == tmp_path / "empty" / "boards.csv"


def test_of_files_that_cannot_be_read_what_can_be_goes_out_with_the_problem(tmp_path):
    shop = folder(tmp_path / "shop", waits="\x00\x01")
    (shop / "notes.csv").write_bytes(b"\xff\xfe\x00\xd8\x00")
    done = export_log(store_of(shop), tmp_path / "out")
    assert dict(done.rows)["boards"] == 3
    assert {problem.place.source for problem in done.problems} <= {"waits.csv", "notes.csv"}


def test_nothing_is_put_where_a_file_of_that_name_is_or_below_one(tmp_path):
    store = book(tmp_path / "shop", boards=[{"board": "A"}])
    (tmp_path / "out").write_text("mine", "utf-8")
    for target, why in (
        (tmp_path / "out", "is there already"),
        (tmp_path / "out" / "in.xlsx", "cannot be written"),
    ):
        with pytest.raises(UsageError, match=why):
            export_log(store, target)
    assert (tmp_path / "out").read_text("utf-8") == "mine"


def test_a_sheet_without_a_header_does_not_go_out_and_the_others_do():
    place = Place("log.xlsx")
    raw = RawLog(
        (
            RawSheet("hours", place, [(1, ["4", "5"])], -1),
            RawSheet("boards", place, [(1, ["board"]), (2, ["A"])], 0),
        ),
        "log.xlsx",
    )
    found = sheets_out(raw, READ, {}, with_owners=False)
    assert [(one.name, one.header, one.rows) for one in found] == [
        ("boards", ("board", "book_row"), [("A", "")])
    ]


def test_one_sheet_that_cannot_be_read_keeps_the_others_from_no_file(tmp_path):
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "workshop.toml").write_text(SETTINGS, "utf-8")
    (shop / "boards.csv").write_text("board,called\nA,red\n", "utf-8")
    (shop / "hours.csv").write_bytes(b"\x00\x01\x02")
    done = export_log(store_of(shop), tmp_path / "out")
    assert dict(done.rows)["boards"] == 1
    assert {problem.place.source for problem in done.problems} == {"hours.csv"}
