"""Lines of hours as rows: what only says that a stage is done marks the hours that it ended with."""

import datetime as dt
from dataclasses import replace

import pytest
import xlsxwriter
from making.plans import TRADE
from making.working_day import in_files

from estimator.log.booking import done_by, hours_cells, label_of, note_cells, write_hours
from estimator.log.edits import row_at
from estimator.log.notebook.page import HoursLine, NoteLine
from estimator.log.store import FileStore
from estimator.words.errors import UsageError
from estimator.words.problems import Place
from estimator.words.records import Entry

MONDAY, TUESDAY, WEDNESDAY, THURSDAY = (dt.date(2026, 6, n) for n in (8, 9, 10, 11))
DONE = HoursLine("a", THURSDAY, "strip", 0.0, done=True)


def test_a_stage_that_is_said_to_be_done_ends_with_its_last_hours():
    first, last, between, other = (
        Entry("a", MONDAY, "strip", 2.0),
        Entry("a", WEDNESDAY, "strip", 3.0),
        Entry("a", TUESDAY, "strip", 1.0),
        Entry("a", THURSDAY, "sand", 1.0),
    )

    assert done_by([DONE], [first, last, between, other]) == ((), (last,))


def test_of_hours_over_several_days_those_that_end_last_are_the_last():
    long = Entry("a", MONDAY, "strip", 9.0, until=WEDNESDAY)
    short = Entry("a", MONDAY, "strip", 2.0)

    assert done_by([DONE], [long, short])[1] == done_by([DONE], [short, long])[1] == (long,)


def test_hours_beside_it_are_done_before_those_of_the_log_and_what_is_done_is_not_marked_again():
    hours = HoursLine("a", WEDNESDAY, "strip", 3.0, span=(0, 5))
    rows, ended = done_by([hours, replace(DONE, span=(6, 9))], [Entry("a", MONDAY, "strip", 2.0)])

    assert (rows, ended) == ((replace(hours, done=True),), ())
    assert done_by([DONE], [Entry("a", MONDAY, "strip", 2.0, done=True)])[1] == ()


def test_nothing_is_done_of_which_there_are_no_hours():
    with pytest.raises(UsageError, match="No hours are written of what is said to be done"):
        done_by([DONE], [Entry("a", MONDAY, "strip", 0.0)])
    with pytest.raises(UsageError, match="No hours are written of what is said to be done"):
        done_by([DONE], [Entry("a", MONDAY, "sand", 2.0), Entry("b", MONDAY, "strip", 2.0)])


def test_an_act_is_called_by_its_lines_and_their_sum():
    assert label_of([replace(DONE, hours=2.25), replace(DONE, hours=0.5)]) == "2 lines of hours, 2.75 h"


NOTE = NoteLine("b", WEDNESDAY, "pale blue")


@pytest.mark.parametrize(
    ("lines", "notes", "label"),
    [
        (1, 0, "1 line of hours, 2.25 h"),
        (1, 1, "1 line of hours, 2.25 h, 1 note"),
        (0, 2, "2 notes"),
    ],
)
def test_an_act_of_notes_alone_is_called_by_them(lines, notes, label):
    assert label_of([replace(DONE, hours=2.25)] * lines, [NOTE] * notes) == label


def test_a_line_is_written_so_that_it_reads_back():
    line = HoursLine(
        "a", MONDAY, "sand", 2.5, until=TUESDAY, done=False, again="me", note="dusty", written="about 2½"
    )
    cells = {
        "board": "a",
        "date": "2026-06-08",
        "until": "2026-06-09",
        "stage": "sand",
        "hours": "about 2½",
        "done": "no",
        "again": "me",
        "note": "dusty",
    }
    assert hours_cells(line) == cells
    plain = hours_cells(replace(line, until=None, done=None, written=""))
    assert (plain["until"], plain["done"], plain["hours"]) == ("", "", "2.5")
    assert note_cells(NOTE) == {"board": "b", "date": "2026-06-10", "note": "pale blue"}


def test_what_is_done_twice_over_and_rows_of_no_hours():
    not_needed = HoursLine("a", TUESDAY, "stain", 0.0, span=(0, 3))
    open_again = HoursLine("a", TUESDAY, "sand", 0.0, done=False, span=(4, 8))
    shop = HoursLine("shop", TUESDAY, "", 0.0, done=True, span=(9, 12))
    assert done_by([not_needed, open_again, shop], []) == ((not_needed, open_again, shop), ())
    later, sooner = (
        HoursLine("a", day, "strip", 1.0, span=(n, n + 1)) for n, day in ((0, WEDNESDAY), (2, MONDAY))
    )
    rows, _ = done_by([later, sooner, replace(DONE, span=(5, 9))], [])
    assert [row.done for row in rows] == [
        True,
        None,
    ]  # the last day of them, in the order in which they stand


def test_a_stage_that_was_opened_again_without_hours_ends_with_those_of_the_log():
    open_again = HoursLine("a", TUESDAY, "strip", 0.0, done=False, span=(0, 3))
    booked = Entry("a", MONDAY, "strip", 2.0)
    assert done_by([open_again, replace(DONE, span=(4, 9))], [booked]) == ((open_again,), (booked,))


def test_hours_of_a_later_day_are_done_too_where_that_is_said_with_them():
    hours = HoursLine("a", WEDNESDAY, "strip", 3.0, span=(4, 9))
    assert done_by([replace(DONE, date=MONDAY, span=(0, 3)), hours], []) == ((replace(hours, done=True),), ())


def test_beside_a_spreadsheet_notes_are_kept_and_hours_are_not(tmp_path):
    with xlsxwriter.Workbook(tmp_path / "log.xlsx") as book:
        for name, rows in (
            ("boards", [["board"], ["26-001"]]),
            ("hours", [["board", "date", "stage", "hours"], ["26-001", "2026-06-08", "strip", 2]]),
        ):
            sheet = book.add_worksheet(name)
            for at, cells in enumerate(rows):
                sheet.write_row(at, 0, cells)
    store = FileStore(tmp_path, TRADE)
    noon = dt.datetime(2026, 6, 11, 12, tzinfo=dt.UTC)
    row = row_at(store.read()[0], TRADE, "hours", Place("log.xlsx", "hours", row=2))
    for more in ({"lines": [HoursLine("26-001", MONDAY, "strip", 2.0)]}, {"lines": [], "ended": [row]}):
        with pytest.raises(UsageError, match=r"log\.xlsx stays as it is"):
            write_hours(store, at=noon, **more)
    kept = write_hours(store, [], noon, notes=[NoteLine("26-001", MONDAY, "x")])
    assert (kept.places, kept.notes_file) == ((), tmp_path / "notes.csv")


def test_hours_are_written_under_those_of_the_log_in_one_act_or_not_at_all(tmp_path):
    store = in_files(tmp_path, sheets=("hours", "notes"))
    noon = dt.datetime(2026, 6, 11, 12, tzinfo=dt.UTC)
    kept = write_hours(
        store, [HoursLine("26-001", MONDAY, "strip", 2.0)], noon, notes=[NoteLine("26-001", MONDAY, "x")]
    )
    assert (kept.file, kept.notes_file) == (tmp_path / "hours.csv", tmp_path / "notes.csv")
    assert [place.row for place in kept.places] == [2]
    assert (tmp_path / "hours.csv").read_text("utf-8").splitlines()[1] == "26-001,2026-06-08,,strip,2,,,"
    row = row_at(store.read()[0], store.held().named(), "hours", kept.places[0])
    done = write_hours(store, [], noon, ended=[row])
    assert (done.file, done.notes_file) == (tmp_path / "hours.csv", None)
    assert (tmp_path / "hours.csv").read_text("utf-8").splitlines()[1] == "26-001,2026-06-08,,strip,2,yes,,"
    with pytest.raises(UsageError, match="No hours are written there"):
        write_hours(store, [], noon)
