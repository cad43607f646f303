"""Rows that a file no longer has: an import says how many and which, and the book keeps them."""

import datetime as dt

import pytest
from making.books import NOON, SETTINGS, book, log_of

from estimator.log.exchange.importing import ImportChoices, import_files, import_folder
from estimator.said.exchange import import_parts

NEWER = ImportChoices(newer=True)
ROWS = "board,date,stage,hours\nA,2026-05-04,strip,3\nA,2026-05-05,strip,2\nB,2026-05-06,gloss,1\n"
THEIRS = "Job no,Customer,Arrived,Size,Hours on it\n1,Ann,2026-05-04,9'6,12\n2,Bob,2026-05-06,6'2,9\n"


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=[{"board": "A"}, {"board": "B"}])


def take(store, file, hour, how=NEWER):
    return import_files(store.folder, [file], NOON + dt.timedelta(hours=hour), how)


def test_rows_deleted_at_the_end_of_a_file_are_counted_named_and_kept(store, tmp_path):
    file = tmp_path / "hours.csv"
    file.write_text(ROWS, "utf-8")
    assert take(store, file, 1).notes == ()
    file.write_text("\n".join(ROWS.splitlines()[:2]) + "\n", "utf-8")
    done = take(store, file, 2)
    said = (
        "hours.csv: 2 rows fewer than when it was read before: no longer there are A 2026-05-05, B 2026-05-06. "
        "The book keeps what it has."
    )
    assert done.notes == (said,)
    assert said in import_parts(done, only_try=False)
    assert (done.written, len(log_of(store)[0].entries)) == (False, 3)


def test_the_last_file_of_that_name_is_what_it_is_held_against(store, tmp_path):
    file = tmp_path / "hours.csv"
    for hour, rows in ((1, ROWS), (2, ROWS + "B,2026-05-07,gloss,2\n")):
        file.write_text(rows, "utf-8")
        done = take(store, file, hour)
        assert (done.written, done.notes) == (True, ())  # more rows are none fewer
    later = store.folder / "backups/import-2026-06-05-120000-1-my-hours.csv"  # a file of another name
    later.write_text(ROWS.splitlines()[0] + "\n", "utf-8")
    file.write_text(ROWS, "utf-8")
    [note] = take(store, file, 4).notes
    assert "1 row fewer" in note
    assert "B 2026-05-07" in note


def test_a_row_that_is_corrected_is_not_gone(store, tmp_path):
    file = tmp_path / "hours.csv"
    file.write_text(ROWS, "utf-8")
    take(store, file, 1)
    file.write_text(ROWS.replace("strip,2", "strip,4"), "utf-8")
    done = take(store, file, 2)
    assert (done.notes, dict(done.changed)) == ((), {"hours": 1})


def test_a_file_of_the_folder_is_held_against_its_last_reading(tmp_path):
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "workshop.toml").write_text(SETTINGS, "utf-8")
    (shop / "boards.csv").write_text("board\nA\nB\n", "utf-8")
    (shop / "hours.csv").write_text(ROWS, "utf-8")
    import_folder(shop, NOON, ImportChoices())
    (shop / "hours.csv").write_text("\n".join(ROWS.splitlines()[:3]) + "\n", "utf-8")
    [note] = import_files(shop, [shop / "hours.csv"], NOON, NEWER).notes
    assert "1 row fewer" in note
    assert "no longer there is B 2026-05-06." in note


def test_rows_of_a_strangers_sheet_go_by_what_stands_first_in_them(store, tmp_path):
    file = tmp_path / "jobs.csv"
    file.write_text(THEIRS, "utf-8")
    take(store, file, 1, ImportChoices(newer=True, good_rows=True))
    if not list(
        (store.folder / "backups").glob("import-*jobs.csv")
    ):  # what it asks keeps it from being written
        (store.folder / "backups").mkdir(exist_ok=True)
        (store.folder / "backups/import-2026-06-04-120000-1-jobs.csv").write_text(THEIRS, "utf-8")
    file.write_text("\n".join(THEIRS.splitlines()[:2]) + "\n", "utf-8")
    assert any(
        "1 row fewer" in note and "no longer there is 2 Bob." in note for note in take(store, file, 2).notes
    )
