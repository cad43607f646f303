"""Files out of the book and into it by the page."""

import datetime as dt
import io
import zipfile

import pytest
from making.books import book
from making.counter import client

from estimator.log.book.opening import connected

DAY = dt.date(2026, 6, 5)


@pytest.fixture
def store(tmp_path):
    rows = [
        {"board": "A", "called": "red", "owner": "Ann Onym"},
        {"board": "B", "called": "tan", "note": "=1+1"},
    ]
    hours = [{"board": "A", "date": "2026-06-04", "stage": "strip", "hours": "4.5"}]
    return book(tmp_path / "shop", boards=rows, hours=hours)


@pytest.fixture
def visitor(store):
    return client(store.folder, today=DAY)


@pytest.mark.parametrize(("kind", "begins"), [("xlsx", b"PK"), ("ods", b"PK"), ("csv", b"PK")])
def test_all_sheets_go_out_as_a_file_to_keep(visitor, store, kind, begins):
    before = sorted(path.name for path in store.folder.rglob("*"))
    answer = visitor.get(f"/book/export?kind={kind}")
    assert answer.status_code == 200
    assert answer.data.startswith(begins)
    name = "boards-2026-06-05.zip" if kind == "csv" else f"boards-2026-06-05.{kind}"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{name}"'
    package = zipfile.ZipFile(io.BytesIO(answer.data))
    text = b"".join(package.read(one) for one in package.namelist())
    assert b"Ann Onym" not in text
    assert b"red" in text
    asked_for = zipfile.ZipFile(io.BytesIO(visitor.get(f"/book/export?kind={kind}&owners=yes").data))
    assert b"Ann Onym" in b"".join(asked_for.read(one) for one in asked_for.namelist())
    assert sorted(path.name for path in store.folder.rglob("*") if ".estimator" not in str(path)) == [
        name
        for name in before
        if name != ".estimator" and not name.startswith("secret") and name != "counter"
    ]


@pytest.mark.parametrize("kind", ["", "exe", "../x", "xls"])
def test_no_other_kind_goes_out(visitor, kind):
    assert visitor.get(f"/book/export?kind={kind}").status_code == 404


def test_of_a_damaged_book_what_can_be_read_goes_out(visitor, store):
    with connected(store.path) as connection:
        [(page,)] = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'changes_of_rows'")
    with store.path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xff" * 4096)
    fresh = client(store.folder, today=DAY)
    assert "What can still be read goes out" in fresh.page("/book")
    package = zipfile.ZipFile(io.BytesIO(fresh.get("/book/export?kind=csv").data))
    assert package.read("boards.csv").count(b"\n") == 3
