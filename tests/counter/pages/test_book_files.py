"""Files out of the book and into it by the page."""

import datetime as dt
import html
import io
import os
import re
import time
import zipfile

import pytest
from making.books import NOON, book, log_of
from making.counter import HOST, client

from estimator.counter.forms import PageForm
from estimator.counter.pages import book_files
from estimator.counter.pages.book_files import Upload, safe_name
from estimator.log.book.opening import connected
from estimator.log.exchange.questions import ImportQuestion, OfferedAnswer
from estimator.words.page_labels import page_label
from estimator.words.problems import Place

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


JOBS = """\
Job no,Customer,Arrived,Size,Hours on it,Smell
1,Ann,4/5/2026,9'6,12,salty
2,Bob,5/6/2026,6'2,?,
"""


def looked(visitor, name, data, **fields):
    """The page after a file was sent to be looked at."""
    return visitor.send("/book/import", "/book", file=(io.BytesIO(data), name), **fields)


def answered(page, **more):
    """The fields of the form of what is in a file: each question with the answer that is ticked, else with the first."""
    form = page.partition('action="/book/import"')[2].partition("</form>")[0]
    fields = [
        (name, html.unescape(value))
        for name, value in re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
        if name not in {"token", "key"}
    ]
    for number in re.findall(r'name="key\.(\d+)"', form):
        offered = re.findall(rf'name="answer\.{number}" value="([^"]*)"( checked)?', form)
        fields.append(
            (
                f"answer.{number}",
                next((html.unescape(v) for v, ticked in offered if ticked), html.unescape(offered[0][0])),
            )
        )
    sent = {}
    for name, value in fields:
        sent.setdefault(name, []).append(value)
    return {**sent, **more}


def gone_through(visitor, page, **more):
    """Answers what is asked until nothing is."""
    asked = []
    while "Only you know these" in page:
        asked.append(page)
        assert len(asked) < 9
        assert 'name="take"' not in page  # nothing can be taken while something is open
        answer = visitor.send("/book/import", "/book", **answered(page, **more))
        page = answer.get_data(as_text=True)
        assert answer.status_code == 200
    return asked, page


def test_a_strangers_sheet_is_looked_at_asked_about_and_taken_in_one_act(visitor, store):
    acts, revision = len(store.acts(99)), store.revision()
    first = looked(visitor, "jobs.csv", JOBS.encode())
    assert first.status_code == 200
    asked, page = gone_through(visitor, first.get_data(as_text=True))
    assert asked
    assert any('<option value="called">what you call the board</option>' in one for one in asked)
    assert not any(re.search(r">(called|reach|total_grain|promised_last)<", one) for one in asked)
    assert store.revision() == revision
    assert "nothing written yet" in page
    assert "would be added: 2 boards" in page.casefold()
    answer = visitor.send("/book/import", "/book", **answered(page, take="yes"))
    assert answer.status_code == 303, answer.get_data(as_text=True)
    assert "Added: 2 boards" in visitor.page(answer.headers["Location"])
    assert [act.origin for act in store.acts(99)][: len(store.acts(99)) - acts] == ["import"]
    assert len(log_of(store)[0].boards) == 4
    uploads = store.folder / ".estimator" / "counter" / "uploads"
    assert list(uploads.iterdir()) == []  # what came in is kept among the copies, and nowhere else
    assert [one.name for one in (store.folder / "backups").glob("import-*")]
    # the same file again: asked nothing, nothing new
    again = looked(visitor, "jobs.csv", JOBS.encode()).get_data(as_text=True)
    assert "Only you know these" not in again
    assert "There already: 2 boards" in again


def test_problems_stand_there_cell_by_cell_and_nothing_is_taken_unless_the_good_rows_alone_are(
    visitor, store
):
    bad = "board,date,stage,hours\nA,2026-06-01,strip,soon\nA,2026-06-02,strip,2\n"
    page = looked(visitor, "hours.csv", bad.encode()).get_data(as_text=True)
    _, page = gone_through(visitor, page)
    assert "hours.csv, line 2, hours" in page
    assert "soon" in page
    assert 'name="take"' not in page
    forced = visitor.send("/book/import", "/book", **answered(page, take="yes"))
    assert forced.status_code == 200
    assert len(log_of(store)[0].entries) == 1
    page = visitor.send("/book/import", "/book", **answered(page, good="yes")).get_data(as_text=True)
    answer = visitor.send("/book/import", "/book", **answered(page, good="yes", take="yes"))
    assert answer.status_code == 303
    assert [entry.hours for entry in log_of(store)[0].entries] == [4.5, 2]


def test_our_own_file_comes_back_corrected_and_the_file_wins_only_where_it_is_said(visitor, store):
    package = zipfile.ZipFile(io.BytesIO(visitor.get("/book/export?kind=csv").data))
    hours = package.read("hours.csv").decode().replace("4.5", "5.5")
    page = looked(visitor, "hours.csv", hours.encode()).get_data(as_text=True)
    assert 'name="take"' not in page
    page = visitor.send("/book/import", "/book", **answered(page, newer="yes")).get_data(as_text=True)
    assert "“4.5” → “5.5”" in page
    assert visitor.send("/book/import", "/book", **answered(page, newer="yes", take="yes")).status_code == 303
    assert [entry.hours for entry in log_of(store)[0].entries] == [5.5]
    store.undo(None, NOON)
    assert [entry.hours for entry in log_of(store)[0].entries] == [4.5]


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("x.xlsx", b"no spreadsheet"),
        ("x.csv", b"\x00\xff\x00\xfe" * 50),
        ("x.pdf", b"%PDF-1.7"),
        ("../../boards.csv", b"a,b\n"),
        ("x.ods", b"PK\x03\x04" + b"x" * 100),
        ("book.sqlite", b"SQLite format 3\x00"),
        ("x.csv", b""),
    ],
)
def test_whatever_is_sent_no_page_fails_and_nothing_is_written(visitor, store, name, data):
    revision = store.revision()
    answer = looked(visitor, name, data)
    assert answer.status_code in {200, 422}
    gone_through(visitor, answer.get_data(as_text=True))
    assert store.revision() == revision
    assert sorted(path.name for path in store.folder.iterdir() if path.name[0] != ".") == [
        "book.sqlite",
        "workshop.toml",
    ]


def test_no_file_and_a_file_that_is_gone_are_said(visitor):
    assert "No file came with it" in visitor.send("/book/import", "/book").get_data(as_text=True)
    for name in ("0" * 32, "../..", "x"):
        answer = visitor.send("/book/import", "/book", upload=name)
        assert answer.status_code == 422
        assert "not at hand any more" in answer.get_data(as_text=True)


def test_files_that_nobody_came_back_to_go_after_a_day(visitor, store):
    looked(visitor, "jobs.csv", JOBS.encode())
    uploads = store.folder / ".estimator" / "counter" / "uploads"
    [old] = uploads.iterdir()
    os.utime(old, (1, 1))
    looked(visitor, "jobs.csv", JOBS.encode())
    assert old not in list(uploads.iterdir())
    assert len(list(uploads.iterdir())) == 1


def test_an_owner_who_is_forgotten_is_in_no_file_that_waits_to_be_taken_in(visitor, store):
    looked(visitor, "jobs.csv", JOBS.encode())
    visitor.send("/book/forget", "/book", board="A", sure="yes")
    assert not list((store.folder / ".estimator" / "counter" / "uploads").glob("*"))


def test_a_file_with_nothing_new_in_it_is_taken_in_without_an_act_and_goes(visitor, store):
    package = zipfile.ZipFile(io.BytesIO(visitor.get("/book/export?kind=csv").data))
    page = looked(visitor, "hours.csv", package.read("hours.csv")).get_data(as_text=True)
    acts = len(store.acts(99))
    answer = visitor.send("/book/import", "/book", **answered(page, take="yes"))

    assert answer.status_code == 303
    assert "Nothing was written: all of hours.csv is there already." in visitor.page(
        answer.headers["Location"]
    )
    assert len(store.acts(99)) == acts
    assert not list((store.folder / ".estimator" / "counter" / "uploads").iterdir())


def test_what_waits_to_be_taken_in_stays_for_a_day(visitor, store):
    looked(visitor, "jobs.csv", JOBS.encode())
    [old] = (store.folder / ".estimator" / "counter" / "uploads").iterdir()
    ago = time.time() - 86_000
    os.utime(old, (ago, ago))
    looked(visitor, "jobs.csv", JOBS.encode())

    assert old.is_dir()


def test_files_of_an_upload_stay_in_the_order_in_which_they_were_sent_and_are_twenty_at_most(visitor, store):
    files = [(io.BytesIO(b"a,b\n"), f"f{21 - n}.csv") for n in range(21)]
    with visitor.app.test_request_context("/", method="POST", data={"file": files}, headers={"Host": HOST}):
        found = Upload.sent()
        assert [file.name for file in found.files] == [f"f{21 - n}.csv" for n in range(20)]
        assert Upload.named(found.name) == found
        found.clear()
        assert Upload.named(found.name) is None


@pytest.mark.parametrize(
    ("name", "kept"),
    [("a" * 70 + ".csv", "a" * 60 + ".csv"), ("b.abcdefghij", "b.abcdefgh"), ("c" * 61, "c" * 60), (".hidden", "hidden"), ("a/b<c>.csv", "b-c-.csv")],
)  # fmt: skip
def test_of_a_name_stays_what_can_stand_in_a_folder(name, kept):
    assert safe_name(name) == kept


def test_answers_of_before_and_now_stand_by_their_questions_and_what_is_typed_wins(visitor):
    form = PageForm(
        {
            "known": ['["a", "1"]', "no json", "3", '["b", "2"]'],
            "key.0": ["b"],
            "answer.0": ["20"],
            "key.1": ["c"],
            "answer.1": ["30"],
            "other.1": ["31"],
            "key.2": ["d"],
            "answer.2": [""],
        }
    )
    assert book_files._answers(form) == {"a": "1", "b": "20", "c": "31"}


def test_of_files_that_wait_only_the_old_ones_go(visitor, store):
    for _ in range(2):
        looked(visitor, "jobs.csv", JOBS.encode())
    uploads = store.folder / ".estimator" / "counter" / "uploads"
    old, young = uploads.iterdir()
    ago = time.time() - 90_000  # a day has 86,400 seconds
    os.utime(old, (ago, ago))
    looked(visitor, "jobs.csv", JOBS.encode())

    left = list(uploads.iterdir())
    assert (old in left, young in left, len(left)) == (False, True, 2)


def test_owners_go_out_only_where_that_is_asked_for(visitor):
    package = zipfile.ZipFile(io.BytesIO(visitor.get("/book/export?kind=csv&owners=no").data))

    assert b"Ann Onym" not in package.read("boards.csv")


def test_rows_that_are_in_the_file_no_more_are_asked_about_once_before_anything_is_taken(visitor, store):
    with store.act("1 hour on tan", NOON) as act:
        act.append("hours", {"board": "B", "date": "2026-06-04", "stage": "gloss", "hours": "1"})
    package = zipfile.ZipFile(io.BytesIO(visitor.get("/book/export?kind=csv").data))
    lines, revision = package.read("hours.csv").decode().splitlines(keepends=True), store.revision()
    data = "".join(line.replace("gloss,1", "gloss,2") for line in lines if "4.5" not in line).encode()
    page = looked(visitor, "hours.csv", data, take="yes", newer="yes").get_data(as_text=True)

    assert "Did you take it out on purpose?" in page
    assert 'name="take"' not in page
    assert store.revision() == revision
    left_open = {name: texts for name, texts in answered(page).items() if name in {"upload", "asked"}}
    for _ in range(2):  # it stays open, and is not asked again
        page = visitor.send("/book/import", "/book", **left_open, newer="yes").get_data(as_text=True)
        assert "on purpose" not in page.partition('action="/book/import"')[2].partition("<fieldset")[2]
        assert 'name="take"' in page
        left_open = {name: texts for name, texts in answered(page).items() if name in {"upload", "asked"}}
        assert left_open["asked"] == ["gone:hours"]


def test_files_that_go_away_while_they_are_read_are_said_to_be_gone(visitor, monkeypatch):
    def gone(*_, **__):
        raise FileNotFoundError

    monkeypatch.setattr(book_files, "import_files", gone)
    answer = looked(visitor, "jobs.csv", JOBS.encode())

    assert answer.status_code == 422
    assert page_label("import-gone").split(".")[0] in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("about", "answer", "said"),
    [
        ("column", "called", "what you call the board"),
        ("rows", "called", "a call"),
        ("rows", "other", "something else"),
        ("column", "hours strip", "hours of strip it"),
        ("column", "no_such", "no such"),
    ],
)
def test_an_answer_is_said_in_the_words_of_the_page_else_as_it_is_offered(visitor, about, answer, said):
    choices = (OfferedAnswer("other", "something else"), OfferedAnswer("called", "a call"))
    question = ImportQuestion("k", about, Place("a.csv"), "What is it?", choices)
    with visitor.app.test_request_context("/book", headers={"Host": HOST}):
        assert book_files._said_by(question, answer) == said


def test_a_name_of_which_nothing_stays_is_file():
    assert [safe_name(name) for name in ("..", "a/", "")] == ["file", "file", "file"]
