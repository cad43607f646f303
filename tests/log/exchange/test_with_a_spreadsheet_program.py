"""What goes out, opened and saved by a spreadsheet program, comes back as it was; a corrected cell as a correction."""

import datetime as dt

import pytest
from making.books import NOON, book
from making.spreadsheet_program import PROGRAM, corrected, saved_again

from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files

pytestmark = pytest.mark.skipif(not PROGRAM, reason="no spreadsheet program is installed")

ODD = [
    "=1+1", "+49 30 1", "-2+3", "@SUM(A1)", "'so", "''", "two\nlines", "two  spaces", 'say "so"', "007", "1e5",
    "12-05", "3/4", "TRUE", "yes", "#REF!", "1.50", "4 1/2", "9'6", "größer & <b>", "日本 🏄", "http://example.org", "50%",
]  # fmt: skip
TAB = "a\ttab"  # which the program loses when it opens what it saved as .ods itself
BOARDS = [
    {"board": f"N-{n}", "called": f"board {n}", "note": text, "Zeal": text} for n, text in enumerate(ODD)
]
HOURS = [
    {"board": "N-0", "date": "2026-05-04", "stage": "strip", "hours": "4.25", "done": "no"},
    {"board": "N-0", "date": "2026-05-04", "stage": "strip", "hours": "13 h to the nearest 6.5 h"},
    {"board": "shop", "date": "2026-05-05", "stage": "Tidy up", "hours": "0.1"},
]
MONEY = [{"date": "2026-05-04", "in": "350.50", "what": "deposit", "boards": "N-1; N-2"}]
TOLD = [
    {
        "board": "N-1",
        "date": "2026-05-04",
        "hours_low": "40",
        "hours_high": "50",
        "odds": "0.8",
        "price": "1800",
    }
]


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    boards = [
        *BOARDS,
        {
            "board": "N-100",
            "asked": "1899-12-31",
            "started": "2026-05-04",
            "price_quoted": "1800",
            "length": "9'6 1/2",
        },
    ]
    return book(tmp_path_factory.mktemp("book") / "shop", boards=boards, hours=HOURS, money=MONEY, told=TOLD)


@pytest.fixture(scope="module")
def out(store, tmp_path_factory):
    """Both kinds of spreadsheet as we write them."""
    folder = tmp_path_factory.mktemp("out")
    files = [folder / "ours.xlsx", folder / "theirs.ods"]
    for file in files:
        export_log(store, file, with_owners=True)
    return files


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_saved_again_it_changes_nothing(store, out, tmp_path, kind):
    for file in saved_again(out, kind, tmp_path / kind):
        done = import_files(store.folder, [file], NOON, ImportChoices(newer=True))
        assert done.problems == ()
        assert [(one.where, one.before, one.after) for one in done.changes] == []
        assert (done.written, sum(done.skipped.values())) == (False, len(BOARDS) + 6), file


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_a_tab_stays_where_a_file_is_saved_once(tmp_path, kind):
    store = book(tmp_path / "shop", boards=[{"board": "A", "note": TAB}])
    export_log(store, tmp_path / "out.xlsx")
    [file] = saved_again([tmp_path / "out.xlsx"], kind, tmp_path / kind)
    done = import_files(store.folder, [file], NOON, ImportChoices())
    assert (done.problems, dict(done.skipped)) == ((), {"boards": 1})


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_a_corrected_cell_comes_back_as_the_correction_of_its_row(store, out, tmp_path, kind):
    file = corrected(out[0], kind, tmp_path, 'office:value="4.25"', 'office:value="5.25"')
    refused = import_files(store.folder, [file], NOON, ImportChoices())
    assert [problem.wrong for problem in refused.problems] == [
        "the book says “4.25” here, and the file “5.25”."[:-1]
    ]
    done = import_files(store.folder, [file], NOON + dt.timedelta(days=1), ImportChoices(newer=True))
    assert (done.written, dict(done.changed), dict(done.added)) == (True, {"hours": 1}, {})
    [hours] = [sheet for sheet in store.read()[0].sheets if sheet.sheet == "hours"]
    assert hours.rows[1][1][hours.rows[0][1].index("hours")] == "5.25"
    store.undo(None, NOON + dt.timedelta(days=1))
