"""What goes out of a log: all rows, owners only when asked for, text as text."""

import csv
import datetime as dt
import io
import re
import xml.etree.ElementTree as ET
import zipfile

import pytest
from making.books import SETTINGS, book
from python_calamine import CalamineWorkbook

from estimator.log.exchange.export import export_log
from estimator.log.exchange.marks import row_marks
from estimator.log.kept_in import store_of
from estimator.words.errors import UsageError

HOSTILE = ["=1+1", "+49 30", "-2+3", "@SUM(A1)", "'so", "-2.5"]


@pytest.fixture
def store(tmp_path):
    boards = [
        {
            "board": "A",
            "called": "red",
            "owner": "Ann",
            "reach": "12 34",
            "asked": "2026-05-04",
            "Shelf": "left",
        },
        {"board": "B", "note": "=1+1", "price_quoted": "350"},
    ]
    hours = [{"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "4½"}]
    return book(tmp_path / "shop", boards=boards, hours=hours)


def exported(store, target, **how):
    export_log(store, target, **how)
    if target.is_dir():
        return {
            path.stem: list(csv.reader(io.StringIO(path.read_text("utf-8")))) for path in target.iterdir()
        }
    found = CalamineWorkbook.from_filelike(io.BytesIO(target.read_bytes()))
    return {name: found.get_sheet_by_name(name).to_python() for name in found.sheet_names}


@pytest.mark.parametrize("name", ["out.xlsx", "out.ods", "out"])
def test_owners_go_out_only_when_asked_for(store, tmp_path, name):
    def said(target, **how):
        return {
            str(cell) for sheet in exported(store, target, **how).values() for row in sheet for cell in row
        }

    assert not {"owner", "reach", "Ann", "12 34"} & said(tmp_path / name)
    assert {"owner", "reach", "Ann", "12 34", "red", "Shelf", "left"} <= said(
        tmp_path / f"with {name}", with_owners=True
    )


@pytest.mark.parametrize("name", ["out.xlsx", "out.ods"])
def test_a_spreadsheet_can_reckon_with_days_hours_and_money(store, tmp_path, name):
    sheets = exported(store, tmp_path / name)
    hours = dict(zip(*sheets["hours"], strict=True))
    boards = dict(zip(sheets["boards"][0], sheets["boards"][2], strict=True))
    assert (hours["date"], hours["hours"]) == (dt.date(2026, 5, 4), 4.5)
    assert boards["price_quoted"] == 350.0


@pytest.mark.parametrize("name", ["out.xlsx", "out.ods"])
def test_what_looks_like_a_formula_is_text(store, tmp_path, name):
    boards = exported(store, tmp_path / name)["boards"]
    assert dict(zip(boards[0], boards[2], strict=True))["note"] == "=1+1"
    with zipfile.ZipFile(tmp_path / name) as package:
        sheets = [package.read(n).decode() for n in package.namelist() if n.endswith(".xml")]
    assert not any("<f>" in text or "table:formula" in text for text in sheets)


def test_in_csv_a_mark_stands_before_it(tmp_path):
    boards = [{"board": str(n), "note": text} for n, text in enumerate(HOSTILE)]
    rows = exported(book(tmp_path / "shop", boards=boards), tmp_path / "out")["boards"]
    at = rows[0].index("note")
    assert [row[at] for row in rows[1:]] == ["'=1+1", "'+49 30", "'-2+3", "'@SUM(A1)", "''so", "-2.5"]


def test_each_row_of_a_book_has_a_mark_that_no_other_has(store, tmp_path):
    marks = row_marks(store.path)
    again = row_marks(book(tmp_path / "other", boards=[{"board": "A", "called": "red"}]).path)
    assert len(set(marks.values())) == 3
    assert not set(marks.values()) & set(again.values())
    with store.act("a note", dt.datetime(2026, 6, 5, tzinfo=dt.UTC)) as act:
        act.fill(
            store.read()[0].sheets[0].place.__class__("book.sqlite", "boards", 2),
            {"note": "x", "assessed_area": "2"},
            {},
        )
    assert row_marks(store.path) == marks


def test_files_go_out_as_they_are_written(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("Board;Owner;Length;Zeal\nA;Ann;9'6;'so\n", "utf-8")
    rows = exported(store_of(tmp_path), tmp_path / "out")["boards"]
    assert rows == [["Board", "Length", "Zeal", "book_row"], ["A", "9'6", "''so", ""]]


def test_nothing_is_overwritten_and_no_log_is_put_beside_the_log(store, tmp_path):
    there = tmp_path / "there.xlsx"
    there.write_text("mine")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "x").write_text("mine")
    for target in (
        there,
        tmp_path / "full",
        store.folder,
        store.folder / "log.ods",
        store.folder / "LOG.XLSX",
        tmp_path / "out.csv",
    ):
        with pytest.raises(UsageError):
            export_log(store, target)
    assert there.read_text() == "mine"


def collapsed(text):
    """Text as a reader has it that keeps to the standard: a run of blanks is one."""
    return re.sub("[ \t\r\n]+", " ", text or "")


def test_blanks_stand_in_an_ods_as_the_standard_wants_them(tmp_path):
    """OASIS, Open Document Format for Office Applications 1.3, part 3, 6.1.2: white space is collapsed; 6.1.3 text:s, 6.1.4 text:tab."""
    notes = ["two  spaces", "a   b  c", "a\ttab", "plain"]
    store = book(tmp_path / "shop", boards=[{"board": str(n), "note": note} for n, note in enumerate(notes)])
    export_log(store, tmp_path / "out.ods")
    with zipfile.ZipFile(tmp_path / "out.ods") as package:
        content = ET.fromstring(package.read("content.xml"))
    text = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
    said = []
    for paragraph in content.iter(f"{text}p"):
        words = collapsed(paragraph.text)
        for one in paragraph:
            blank = {f"{text}s": " " * int(one.get(f"{text}c", 1)), f"{text}tab": "\t"}[one.tag]
            words += blank + collapsed(one.tail)
        said.append(words)

    assert [one for one in said if one in notes] == notes
    office = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"  # for readers that look at no text:tab
    whole = [
        one.get(f"{office}string-value") for one in content.iter() if f"{office}string-value" in one.attrib
    ]
    assert whole == ["a\ttab"]
